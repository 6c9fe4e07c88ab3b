"""Partners that lend space, who answers for them, and the floors they lend."""

from dataclasses import dataclass
from zoneinfo import ZoneInfo, available_timezones

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q


def check_time_zone(value: str) -> None:
    if value not in available_timezones():
        raise ValidationError(f"'{value}' is not a time zone. Write it like America/New_York.")


@dataclass(frozen=True, slots=True)
class Reach:
    """How to reach somebody at a center, be it its main contact or somebody with a row of their own."""

    name: str
    email: str
    phone: str


class CenterQuerySet(models.QuerySet["Center"]):
    def active(self) -> "CenterQuerySet":
        return self.filter(active=True)


class Center(models.Model):
    name = models.CharField(max_length=120, unique=True)
    time_zone = models.CharField(max_length=60, default="America/New_York", validators=[check_time_zone])
    address = models.CharField(max_length=200, help_text="As a visitor would need it.")
    arrival = models.CharField(
        "on arrival", max_length=300, blank=True, help_text="Which door, where to park, who has the key."
    )
    latitude = models.FloatField(null=True, blank=True, validators=[MinValueValidator(-90), MaxValueValidator(90)])
    longitude = models.FloatField(null=True, blank=True, validators=[MinValueValidator(-180), MaxValueValidator(180)])
    contact_name = models.CharField(max_length=120, help_text="Who answers for the floor.")
    contact_email = models.EmailField("contact's e-mail")
    contact_phone = models.CharField("contact's telephone", max_length=40, blank=True)
    place = models.CharField(
        "asks for its own clearances as",
        max_length=60,
        blank=True,
        help_text="The name under which the policy has extra rows for this center, such as a school district.",
    )
    ratio_table = models.CharField(
        "asks for the adults of",
        max_length=40,
        blank=True,
        help_text="A supervision table that holds at this center beside the clinic's own; the stricter one counts.",
    )
    asks_agreement = models.BooleanField(
        "a use-of-space agreement is needed", default=True, help_text="We ask for one that holds on each clinic's day."
    )
    asks_insurance = models.BooleanField(
        "a certificate of insurance is needed",
        default=True,
        help_text="We ask for one that holds on each clinic's day.",
    )
    active = models.BooleanField(default=True)
    # Raised to renew the private address of the calendar feed; the old one then stops.
    feed_counter = models.PositiveIntegerField(default=0, editable=False)

    # The safety sheet: asked for at the door and in an emergency, so no clinic is confirmed while a line is empty.
    defibrillator = models.CharField("where the defibrillator is", max_length=200, blank=True)
    first_aid_kit = models.CharField("where the first-aid kit is", max_length=200, blank=True)
    hospital = models.CharField("nearest hospital", max_length=200, blank=True, help_text="Name, address, telephone.")
    assembly_point = models.CharField("where everybody gathers outside", max_length=200, blank=True)
    plan_seen_on = models.DateField("emergency plan seen on", null=True, blank=True)

    objects = CenterQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(latitude__isnull=True, longitude__isnull=True)
                | Q(latitude__isnull=False, longitude__isnull=False),
                name="center_point_has_both_or_neither",
                violation_error_message="Give both latitude and longitude, or neither.",
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
        """Who answers for hours of the floor. One query unless ``contacts`` was prefetched."""
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
    name = models.CharField(max_length=80)
    hoops = models.PositiveSmallIntegerField(default=0)
    lowest_rim_ft = models.DecimalField(
        "lowest rim (ft)", max_digits=3, decimal_places=1, null=True, blank=True,
        validators=[MinValueValidator(4), MaxValueValidator(10)],
    )  # fmt: skip
    highest_rim_ft = models.DecimalField(
        "highest rim (ft)", max_digits=3, decimal_places=1, null=True, blank=True,
        validators=[MinValueValidator(4), MaxValueValidator(10)],
    )  # fmt: skip
    capacity = models.PositiveSmallIntegerField(help_text="Most people at once, children and adults.")
    sockets = models.PositiveSmallIntegerField("power sockets", default=0)
    # Nobody has counted them on most floors, which is no reason to plan a STEM part for a floor without any.
    tables = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="For the STEM part. Empty: nobody has counted, so as many as it takes."
    )
    wifi = models.BooleanField("Wi-Fi that we may use", default=False)
    indoors = models.BooleanField(default=True)
    active = models.BooleanField(default=True)

    class Meta:
        ordering = ["center__name", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["center", "name"],
                name="one_space_of_a_name_per_center",
                violation_error_message="This center already has a space of that name.",
            ),
            models.CheckConstraint(
                condition=Q(lowest_rim_ft__isnull=True)
                | Q(highest_rim_ft__isnull=True)
                | Q(highest_rim_ft__gte=F("lowest_rim_ft")),
                name="space_rims_in_order",
                violation_error_message="The highest rim is lower than the lowest. Check both heights.",
            ),
            models.CheckConstraint(
                condition=Q(capacity__gte=1),
                name="space_holds_somebody",
                violation_error_message="A space holds at least one person. Write how many.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.center}"
