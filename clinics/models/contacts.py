"""People at a center beside its main contact, each with what they may answer."""

from django.db import models
from django.db.models import Q

from clinics.models.centers import Center, Reach

__all__ = ["CenterContact"]


class CenterContact(models.Model):
    """One contact. The main contact answers what no contact here may (``Center.booking_contact`` and its like)."""

    center = models.ForeignKey(Center, on_delete=models.CASCADE, related_name="contacts")
    name = models.CharField(max_length=120)
    email = models.EmailField("e-mail", blank=True)
    phone = models.CharField("telephone", max_length=40, blank=True)
    answers_bookings = models.BooleanField("answers for hours of the floor", default=False)
    looks_after_agreements = models.BooleanField("looks after agreements", default=False)
    opens_door = models.BooleanField("opens the door on the day", default=False)
    active = models.BooleanField(default=True, editable=False)

    class Meta:
        ordering = ["center", "name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["center"],
                condition=Q(active=True, answers_bookings=True),
                name="one_contact_answers_for_hours",
                violation_error_message="Somebody else here answers for hours of the floor. Untick it there first.",
            ),
            models.UniqueConstraint(
                fields=["center"],
                condition=Q(active=True, looks_after_agreements=True),
                name="one_contact_looks_after_agreements",
                violation_error_message="Somebody else here looks after agreements. Untick it there first.",
            ),
            models.CheckConstraint(
                condition=Q(answers_bookings=True) | Q(looks_after_agreements=True) | Q(opens_door=True),
                name="a_contact_answers_for_something",
                violation_error_message="Tick at least one thing that this contact may answer.",
            ),
            models.CheckConstraint(
                condition=Q(answers_bookings=False, looks_after_agreements=False) | ~Q(email=""),
                name="a_contact_who_is_written_to_has_an_address",
                violation_error_message="We write to whoever answers for hours or looks after agreements: "
                "give an e-mail address.",
            ),
            models.CheckConstraint(
                condition=Q(opens_door=False) | ~Q(phone=""),
                name="who_opens_the_door_has_a_telephone",
                violation_error_message="Whoever opens the door is telephoned when it stays shut: give a telephone.",
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
