"""What children do at clinics: the house's own activities and those that the office added."""

import pghistory
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from core.rules.refused import Refused
from runsheets.rules import activities as rule

__all__ = ["Activity", "ActivityQuerySet"]


def check_things(text: str) -> None:
    try:
        rule.parse_things(text.splitlines())
    except Refused as problem:
        # The form says what is wrong with which line; words are above models.
        words = gettext("Put each item on its own line with its amount, such as “strip of foil: 2 per head”.")
        raise ValidationError(words, code="things") from problem


class ActivityQuerySet(models.QuerySet["Activity"]):
    def offered(self) -> "ActivityQuerySet":
        return self.filter(retired=False)


@pghistory.track()
class Activity(models.Model):
    """One activity, with every field of the rule's (runsheets/rules/activities). Points are lines of text."""

    class Kind(models.TextChoices):
        OPENER = "opener", _("opener")
        STATION = "station", _("station")
        STEM = "stem", _("STEM")
        GAME = "game", _("game")
        WATER = "water", _("water break")
        CLOSER = "closer", _("closing circle")

    class Level(models.TextChoices):
        ALL = "all", _("everyone")
        NEWER = "newer", _("beginners")
        ADVANCED = "advanced", _("advanced players")

    code = models.SlugField(max_length=40, unique=True, editable=False)
    name = models.CharField(
        _("name"),
        max_length=80,
        unique=True,
        error_messages={
            "unique": _("There’s already an activity with that name. Choose another name, or edit that one.")
        },
    )
    kind = models.CharField(_("activity type"), max_length=8, choices=Kind.choices, default=Kind.STATION)
    least_minutes = models.PositiveSmallIntegerField(_("shortest time (minutes)"), default=8)
    most_minutes = models.PositiveSmallIntegerField(
        _("longest time (minutes)"),
        default=15,
        help_text=_("5 to 10 for an opener. Children get tired of longer ones."),
    )
    group_size = models.PositiveSmallIntegerField(
        _("maximum children"), default=10, help_text=_("Per station. For a game or opener, per hoop.")
    )
    hoops = models.PositiveSmallIntegerField(_("hoops"), default=0)
    balls = models.PositiveSmallIntegerField(_("balls per turn"), default=0)
    balls_each = models.PositiveSmallIntegerField(_("balls per child"), default=0)
    tables = models.PositiveSmallIntegerField(_("tables"), default=0)
    sockets = models.PositiveSmallIntegerField(_("power outlets"), default=0)
    adults = models.PositiveSmallIntegerField(
        _("minimum adults"), default=1, help_text=_("Even if the supervision table allows fewer.")
    )
    skill = models.CharField(
        _("one adult must be a"),
        max_length=40,
        blank=True,
        help_text=_("A duty one adult must have, such as STEM lead. Leave empty for any adult."),
    )
    youngest = models.PositiveSmallIntegerField(_("youngest age"), default=5)
    oldest = models.PositiveSmallIntegerField(_("oldest age"), default=18, validators=[MaxValueValidator(18)])
    level = models.CharField(_("for"), max_length=8, choices=Level.choices, default=Level.ALL)
    cycle_seconds = models.PositiveSmallIntegerField(_("seconds per turn"), default=30)
    players = models.PositiveSmallIntegerField(_("children active in each turn"), default=1)
    turns_at_once = models.PositiveSmallIntegerField(
        _("turns at the same time"),
        default=1,
        help_text=_("At its hoops. With no hoops, everyone goes at once."),
    )
    teaching = models.TextField(_("teaching points"), blank=True, help_text=_("One per line."))
    safety = models.TextField(_("safety points"), blank=True, help_text=_("One per line."))
    record = models.CharField(_("what to record"), max_length=200, blank=True)
    things = models.TextField(
        _("other items to pack"),
        blank=True,
        validators=[check_things],
        help_text=_(
            "One per line, with the amount: “cone: 6 once” (they stay at the station), “score card: 1 per group”, "
            "“strip of foil: 2 per head”."
        ),
    )
    retired = models.BooleanField(default=False, editable=False)

    objects = ActivityQuerySet.as_manager()

    class Meta:
        verbose_name = _("activity")
        verbose_name_plural = _("activities")
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(least_minutes__gte=1) & Q(most_minutes__gte=F("least_minutes")) & Q(most_minutes__lte=180),
                name="activity_minutes_in_order",
                violation_error_message=_("Enter the shortest time first, from 1 to 180 minutes."),
            ),
            models.CheckConstraint(
                condition=~Q(kind="opener") | Q(least_minutes__gte=5, most_minutes__lte=10),
                name="an_opener_lasts_5_to_10_minutes",
                violation_error_message=_("An opener must last 5 to 10 minutes. Change the minutes."),
            ),
            models.CheckConstraint(
                condition=Q(group_size__gte=1, cycle_seconds__gte=1, players__gte=1, turns_at_once__gte=1),
                name="activity_has_a_child_and_a_turn",
                violation_error_message=_("Enter at least 1 child, 1 second per turn, and 1 turn at a time."),
            ),
            models.CheckConstraint(
                condition=Q(cycle_seconds__lte=60 * F("least_minutes")),
                name="a_turn_fits_the_least_minutes",
                violation_error_message=_("One turn is longer than the whole activity. Enter a shorter turn."),
            ),
            models.CheckConstraint(
                condition=Q(oldest__gte=F("youngest"), oldest__lte=18),
                name="activity_ages_in_order",
                violation_error_message=_("Enter the youngest age first. The oldest can be 18."),
            ),
            models.CheckConstraint(
                condition=Q(group_size__lte=400, hoops__lte=40, balls__lte=100, balls_each__lte=5, adults__lte=40)
                & Q(tables__lte=60, sockets__lte=60, turns_at_once__lte=60, players__lte=60),
                name="activity_numbers_within_a_space",
                violation_error_message=_("A number is too high for a gym. Check children, hoops, and balls."),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def station(self) -> bool:
        """Groups take turns there; everything else is for the whole space at once."""
        return self.kind in (self.Kind.STATION, self.Kind.STEM)

    def as_rule(self) -> rule.Activity:
        return rule.Activity(
            code=self.code,
            name=self.name,
            kind=self.kind,  # type: ignore[arg-type]
            least_minutes=self.least_minutes,
            most_minutes=self.most_minutes,
            group_size=self.group_size,
            hoops=self.hoops,
            balls=self.balls,
            balls_each=self.balls_each,
            adults=self.adults,
            youngest=self.youngest,
            oldest=self.oldest,
            level=self.level,  # type: ignore[arg-type]
            cycle_seconds=self.cycle_seconds,
            players=self.players,
            turns_at_once=self.turns_at_once,
            tables=self.tables,
            sockets=self.sockets,
            skill=self.skill.strip().casefold(),
            teaching=_lines(self.teaching),
            safety=_lines(self.safety),
            record=self.record,
            things=_lines(self.things),
        )


def _lines(text: str) -> tuple[str, ...]:
    return tuple(line.strip() for line in text.splitlines() if line.strip())
