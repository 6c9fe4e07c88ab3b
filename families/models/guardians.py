"""Adults who answer for children. They have no account: they use a link that we email."""

import pghistory
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from families.models.children import Child


class Language(models.TextChoices):
    ENGLISH = "en", "English"
    SPANISH = "es", "Español"


class GuardianQuerySet(models.QuerySet["Guardian"]):
    def confirmed_at_address(self, email: str) -> "GuardianQuerySet":
        """Whoever answered from this address, in whatever letters it is typed: one or no one."""
        return self.filter(email__iexact=email, confirmed_at__isnull=False, forgotten_at__isnull=True)


@pghistory.track()
class Guardian(models.Model):
    """``confirmed_at`` is when a link mailed to the address was used, or a coordinator saw the person.

    Until then the address is only what someone typed, so nothing that was here before is shown or joined to it.
    """

    name = models.CharField(max_length=120)
    email = models.EmailField(_("email"), blank=True)
    phone = models.CharField(_("phone"), max_length=40, blank=True)
    language = models.CharField(max_length=2, choices=Language.choices, default=Language.ENGLISH)
    # Waiver reminders alone may be stopped; what happens to a spot is always told.
    reminders = models.BooleanField(default=True)
    registered_at = models.DateTimeField()
    confirmed_at = models.DateTimeField(null=True, blank=True)
    link_counter = models.PositiveIntegerField(default=0, editable=False)
    forgotten_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = GuardianQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(email="") | ~Q(phone="") | Q(forgotten_at__isnull=False),
                name="a_guardian_can_be_reached",
                violation_error_message=_("Enter an email or a phone number so we can reach someone."),
            ),
            models.UniqueConstraint(
                Lower("email"),
                condition=Q(confirmed_at__isnull=False) & ~Q(email=""),
                name="one_confirmed_guardian_per_address",
                violation_error_message=_("A guardian with this email is already on file."),
            ),
        ]
        indexes = [models.Index(Lower("email"), name="guardian_by_address")]

    def __str__(self) -> str:
        return self.name or gettext("(name deleted)")

    @property
    def given_name(self) -> str:
        return self.name.split()[0] if self.name.strip() else str(self)

    @property
    def confirmed(self) -> bool:
        return self.confirmed_at is not None


@pghistory.track()
class Guardianship(models.Model):
    """One guardian of one child, with whom that guardian wants called. Another guardian does not see it."""

    guardian = models.ForeignKey(Guardian, on_delete=models.CASCADE, related_name="guardianships")
    child = models.ForeignKey(Child, on_delete=models.CASCADE, related_name="guardianships")
    emergency_name = models.CharField(_("emergency contact"), max_length=120, blank=True)
    emergency_phone = models.CharField(_("emergency contact’s phone"), max_length=40, blank=True)

    class Meta:
        ordering = ["child", "guardian"]
        constraints = [
            models.UniqueConstraint(fields=["guardian", "child"], name="one_guardianship_each"),
        ]

    def __str__(self) -> str:
        return gettext("%(guardian)s for %(child)s") % {"guardian": self.guardian, "child": self.child}
