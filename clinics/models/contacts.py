"""People at a center beside its main contact, each with what they handle."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from clinics.models.centers import Center, Reach

__all__ = ["CenterContact"]


class CenterContact(models.Model):
    """One contact. The main contact handles what no contact here does (``Center.booking_contact`` and its like)."""

    center = models.ForeignKey(Center, on_delete=models.CASCADE, related_name="contacts")
    name = models.CharField(_("name"), max_length=120)
    email = models.EmailField(_("email"), blank=True)
    phone = models.CharField(_("phone"), max_length=40, blank=True)
    answers_bookings = models.BooleanField(_("answers our booking requests"), default=False)
    looks_after_agreements = models.BooleanField(_("handles agreements"), default=False)
    opens_door = models.BooleanField(_("opens the door on the day"), default=False)
    active = models.BooleanField(default=True, editable=False)

    class Meta:
        ordering = ["center", "name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["center"],
                condition=Q(active=True, answers_bookings=True),
                name="one_contact_answers_for_hours",
                violation_error_message=_(
                    "Another contact already answers booking requests. Uncheck it for them first."
                ),
            ),
            models.UniqueConstraint(
                fields=["center"],
                condition=Q(active=True, looks_after_agreements=True),
                name="one_contact_looks_after_agreements",
                violation_error_message=_("Another contact already handles agreements. Uncheck it for them first."),
            ),
            models.CheckConstraint(
                condition=Q(answers_bookings=True) | Q(looks_after_agreements=True) | Q(opens_door=True),
                name="a_contact_answers_for_something",
                violation_error_message=_("Check at least one thing this contact handles."),
            ),
            models.CheckConstraint(
                condition=Q(answers_bookings=False, looks_after_agreements=False) | ~Q(email=""),
                name="a_contact_who_is_written_to_has_an_address",
                violation_error_message=_(
                    "Enter an email. We need one for the person who answers bookings or handles agreements."
                ),
            ),
            models.CheckConstraint(
                condition=Q(opens_door=False) | ~Q(phone=""),
                name="who_opens_the_door_has_a_telephone",
                violation_error_message=_(
                    "Enter a phone number. We’ll call the person who opens the door if it’s locked."
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def reach(self) -> Reach:
        return Reach(self.name, self.email, self.phone)

    @property
    def may_answer(self) -> list[str]:
        flags = ("answers_bookings", "looks_after_agreements", "opens_door")
        return [str(self._meta.get_field(name).verbose_name) for name in flags if getattr(self, name)]  # type: ignore[union-attr]
