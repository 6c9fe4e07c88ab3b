"""Partners that host clinics, their main contacts, and their spaces."""

from dataclasses import dataclass
from zoneinfo import ZoneInfo, available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _


def check_time_zone(value: str) -> None:
    if value not in available_timezones():
        words = gettext("“%(value)s” is not a time zone. Enter it like America/New_York.")
        raise ValidationError(words % {"value": value})


@dataclass(frozen=True, slots=True)
class Reach:
    """How to reach someone at a center, be it its main contact or someone with a row of their own."""

    name: str
    email: str
    phone: str


class CenterQuerySet(models.QuerySet["Center"]):
    def active(self) -> "CenterQuerySet":
        return self.filter(active=True)


class Center(models.Model):
    name = models.CharField(_("name"), max_length=120, unique=True)
    time_zone = models.CharField(
        _("time zone"), max_length=60, default="America/New_York", validators=[check_time_zone]
    )
    address = models.CharField(_("address"), max_length=200, help_text=_("Street address, as a visitor would need it."))
    arrival = models.CharField(
        _("when you arrive"),
        max_length=300,
        blank=True,
        help_text=_("Which door, where to park, who has the key."),
    )
    latitude = models.FloatField(
        _("latitude"), null=True, blank=True, validators=[MinValueValidator(-90), MaxValueValidator(90)]
    )
    longitude = models.FloatField(
        _("longitude"), null=True, blank=True, validators=[MinValueValidator(-180), MaxValueValidator(180)]
    )
    contact_name = models.CharField(
        _("contact’s name"), max_length=120, help_text=_("The person who approves use of the space.")
    )
    contact_email = models.EmailField(_("contact’s email"))
    contact_phone = models.CharField(_("contact’s phone"), max_length=40, blank=True)
    place = models.CharField(
        _("name in the clearance policy"),
        max_length=60,
        blank=True,
        help_text=_(
            "If this center requires extra clearances, the name used for it in the policy, such as a school district."
        ),
    )
    ratio_table = models.CharField(
        _("extra supervision table"),
        max_length=40,
        blank=True,
        help_text=_("A supervision table for this center, used along with the clinic’s own. We use the stricter one."),
    )
    asks_agreement = models.BooleanField(
        _("a use-of-space agreement is required"),
        default=True,
        help_text=_("We check that one is in effect on each clinic’s day."),
    )
    asks_insurance = models.BooleanField(
        _("a certificate of insurance is required"),
        default=True,
        help_text=_("We check that one is in effect on each clinic’s day."),
    )
    active = models.BooleanField(_("hosts our clinics"), default=True)
    # Raised to renew the private address of the calendar feed; the old one then stops.
    feed_counter = models.PositiveIntegerField(default=0, editable=False)

    # The safety sheet: asked for at the door and in an emergency, so no clinic is confirmed while a line is empty.
    defibrillator = models.CharField(_("where the defibrillator is"), max_length=200, blank=True)
    first_aid_kit = models.CharField(_("where the first-aid kit is"), max_length=200, blank=True)
    hospital = models.CharField(_("nearest hospital"), max_length=200, blank=True, help_text=_("Name, address, phone."))
    assembly_point = models.CharField(_("meeting point outside"), max_length=200, blank=True)
    plan_seen_on = models.DateField(_("emergency plan reviewed on"), null=True, blank=True)

    objects = CenterQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(latitude__isnull=True, longitude__isnull=True)
                | Q(latitude__isnull=False, longitude__isnull=False),
                name="center_point_has_both_or_neither",
                violation_error_message=_("Enter both latitude and longitude, or leave both empty."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def tz(self) -> ZoneInfo:
        return ZoneInfo(self.time_zone)

    @property
    def safety_missing(self) -> list[str]:
        """The lines of the safety sheet that are empty, in words."""
        lines = ("defibrillator", "first_aid_kit", "hospital", "assembly_point", "plan_seen_on")
        return [str(self._meta.get_field(name).verbose_name) for name in lines if not getattr(self, name)]  # type: ignore[union-attr]

    @property
    def main_contact(self) -> Reach:
        return Reach(self.contact_name, self.contact_email, self.contact_phone)

    @property
    def booking_contact(self) -> Reach:
        """Who answers our booking requests. One query unless ``contacts`` was prefetched."""
        return self._who("answers_bookings")

    @property
    def agreement_contact(self) -> Reach:
        return self._who("looks_after_agreements")

    @property
    def door_contacts(self) -> list[Reach]:
        """Who opens the door on the day, by name; the main contact when nobody else does."""
        found = [row.reach for row in self.contacts.all() if row.active and row.opens_door]
        return found or [self.main_contact]

    def _who(self, flag: str) -> Reach:
        # Filtered here and not by the database, so that a prefetch serves every one of these.
        return next((row.reach for row in self.contacts.all() if row.active and getattr(row, flag)), self.main_contact)

    @property
    def point(self) -> tuple[float, float] | None:
        if self.latitude is None or self.longitude is None:
            return None
        return self.latitude, self.longitude


class Space(models.Model):
    center = models.ForeignKey(Center, on_delete=models.CASCADE, related_name="spaces")
    name = models.CharField(_("name"), max_length=80)
    hoops = models.PositiveSmallIntegerField(_("hoops"), default=0)
    lowest_rim_ft = models.DecimalField(
        _("lowest rim (ft)"), max_digits=3, decimal_places=1, null=True, blank=True,
        validators=[MinValueValidator(4), MaxValueValidator(10)],
    )  # fmt: skip
    highest_rim_ft = models.DecimalField(
        _("highest rim (ft)"), max_digits=3, decimal_places=1, null=True, blank=True,
        validators=[MinValueValidator(4), MaxValueValidator(10)],
    )  # fmt: skip
    capacity = models.PositiveSmallIntegerField(
        _("capacity"), help_text=_("Most people allowed at once, children and adults.")
    )
    sockets = models.PositiveSmallIntegerField(_("power outlets"), default=0)
    # No one has counted them in most spaces, which is no reason to plan a STEM activity for a space without any.
    tables = models.PositiveSmallIntegerField(
        _("tables"),
        null=True,
        blank=True,
        help_text=_("For the STEM activity. Leave empty if you don’t know; we’ll assume there are enough."),
    )
    wifi = models.BooleanField(_("Wi-Fi we can use"), default=False)
    indoors = models.BooleanField(_("indoors"), default=True)
    active = models.BooleanField(_("in use"), default=True)

    class Meta:
        ordering = ["center__name", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["center", "name"],
                name="one_space_of_a_name_per_center",
                violation_error_message=_("This center already has a space with that name."),
            ),
            models.CheckConstraint(
                condition=Q(lowest_rim_ft__isnull=True)
                | Q(highest_rim_ft__isnull=True)
                | Q(highest_rim_ft__gte=F("lowest_rim_ft")),
                name="space_rims_in_order",
                violation_error_message=_("The highest rim is lower than the lowest. Check both heights."),
            ),
            models.CheckConstraint(
                condition=Q(capacity__gte=1),
                name="space_holds_somebody",
                violation_error_message=_("Enter how many people the space holds, at least 1."),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.center}"
