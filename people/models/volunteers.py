"""Adults and helpers who work clinics, and what they may be asked to do."""

from django.contrib.postgres.fields import ArrayField
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.utils.translation import gettext_lazy as _

from people.models.duties import duty_words


class VolunteerQuerySet(models.QuerySet["Volunteer"]):
    def active(self) -> "VolunteerQuerySet":
        return self.filter(left_on__isnull=True)

    def holding(self, duty: str) -> "VolunteerQuerySet":
        return self.filter(duties__contains=[duty])

    def called(self, words: str) -> "VolunteerQuerySet":
        """Volunteers whose name, email or home area holds ``words``."""
        return self.filter(Q(name__icontains=words) | Q(email__icontains=words) | Q(home_area__icontains=words))


class Volunteer(models.Model):
    name = models.CharField(_("name"), max_length=120)
    email = models.EmailField(_("email"))
    phone = models.CharField(_("phone"), max_length=40, blank=True)
    duties = ArrayField(models.CharField(max_length=20), verbose_name=_("duties"), default=list)
    adult = models.BooleanField(
        _("18 or over"),
        default=True,
        help_text=_("Helpers under 18 are welcome. They don’t count as adults."),
    )
    home_area = models.CharField(
        _("home area"),
        max_length=120,
        blank=True,
        help_text=_("A neighborhood or town, not a street address."),
    )
    latitude = models.FloatField(
        _("latitude"), null=True, blank=True, validators=[MinValueValidator(-90), MaxValueValidator(90)]
    )
    longitude = models.FloatField(
        _("longitude"), null=True, blank=True, validators=[MinValueValidator(-180), MaxValueValidator(180)]
    )
    left_on = models.DateField(_("left on"), null=True, blank=True)
    forgotten = models.BooleanField(default=False, editable=False)
    reminders = models.BooleanField(_("email reminders"), default=True)
    link_counter = models.PositiveIntegerField(default=0, editable=False)
    # Raised to renew the private address of the calendar feed; the old one then stops.
    feed_counter = models.PositiveIntegerField(default=0, editable=False)

    objects = VolunteerQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                Lower("email"),
                name="one_volunteer_per_address",
                violation_error_message=_("A volunteer with this email is already on file."),
            ),
            models.CheckConstraint(
                condition=Q(latitude__isnull=True, longitude__isnull=True)
                | Q(latitude__isnull=False, longitude__isnull=False),
                name="volunteer_home_has_both_or_neither",
                violation_error_message=_("Enter both latitude and longitude for the home area, or leave both empty."),
            ),
            models.CheckConstraint(
                condition=Q(adult=True) | Q(duties__contained_by=["helper"]),
                name="under_18_only_helps",
                violation_error_message=_("Volunteers under 18 can only be helpers. Choose helper only."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def given_name(self) -> str:
        return self.name.split()[0]

    @property
    def duty_words(self) -> str:
        return duty_words(self.duties)

    @property
    def home(self) -> tuple[float, float] | None:
        if self.latitude is None or self.longitude is None:
            return None
        return self.latitude, self.longitude
