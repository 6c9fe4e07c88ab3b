"""What children do at clinics: the house's own activities and those that the office added."""

import pghistory
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator
from django.db import models
from django.db.models import F, Q

from kits.rules.pack_list import amount_words
from people.models import duties
from runsheets.rules import activities as rule

__all__ = ["Activity", "ActivityQuerySet"]


def check_things(text: str) -> None:
    try:
        rule.parse_things(text.splitlines())
    except ValueError as problem:
        raise ValidationError(str(problem)) from problem


class ActivityQuerySet(models.QuerySet["Activity"]):
    def offered(self) -> "ActivityQuerySet":
        return self.filter(retired=False)


@pghistory.track()
class Activity(models.Model):
    """One activity, with every field of the rule's (clinics/rules/activities). Points are lines of text."""

    class Kind(models.TextChoices):
        OPENER = "opener", "opener"
        STATION = "station", "station"
        STEM = "stem", "STEM"
        GAME = "game", "game"
        WATER = "water", "water"
        CLOSER = "closer", "closing circle"

    class Level(models.TextChoices):
        ALL = "all", "everybody"
        NEWER = "newer", "those newer to it"
        ADVANCED = "advanced", "the advanced"

    code = models.SlugField(max_length=40, unique=True, editable=False)
    name = models.CharField(
        max_length=80,
        unique=True,
        error_messages={
            "unique": "There is an activity of that name already. Choose another name, or change that one."
        },
    )
    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.STATION)
    least_minutes = models.PositiveSmallIntegerField("least minutes", default=8)
    most_minutes = models.PositiveSmallIntegerField(
        "most minutes", default=15, help_text="An opener lasts 5 to 10: children tire of it."
    )
    group_size = models.PositiveSmallIntegerField(
        "most children", default=10, help_text="At one station; for a game or opener at each hoop."
    )
    hoops = models.PositiveSmallIntegerField(default=0)
    balls = models.PositiveSmallIntegerField("balls for each turn", default=0)
    balls_each = models.PositiveSmallIntegerField("balls for each child", default=0)
    tables = models.PositiveSmallIntegerField(default=0)
    sockets = models.PositiveSmallIntegerField("power sockets", default=0)
    adults = models.PositiveSmallIntegerField(
        "fewest adults", default=1, help_text="Whatever the supervision table says."
    )
    skill = models.CharField(
        "one adult is",
        max_length=40,
        blank=True,
        help_text="A duty that one of its adults must have, such as STEM lead; empty for anybody.",
    )
    youngest = models.PositiveSmallIntegerField("youngest age", default=5)
    oldest = models.PositiveSmallIntegerField("oldest age", default=18, validators=[MaxValueValidator(18)])
    level = models.CharField("for", max_length=8, choices=Level.choices, default=Level.ALL)
    cycle_seconds = models.PositiveSmallIntegerField("seconds in one turn", default=30)
    players = models.PositiveSmallIntegerField("children moving in one turn", default=1)
    turns_at_once = models.PositiveSmallIntegerField(
        "turns side by side", default=1, help_text="On its hoops. Without hoops all have their turn at once."
    )
    teaching = models.TextField("teaching points", blank=True, help_text="One on each line.")
    safety = models.TextField("safety points", blank=True, help_text="One on each line.")
    record = models.CharField("what is written down", max_length=200, blank=True)
    things = models.TextField(
        "what else is packed",
        blank=True,
        validators=[check_things],
        help_text="One on each line, with how many: “cone: 6 once” (they stay at the station), “score card: 1 per "
        "group”, “strip of foil: 2 per head”.",
    )
    retired = models.BooleanField(default=False, editable=False)

    objects = ActivityQuerySet.as_manager()

    class Meta:
        verbose_name_plural = "activities"
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(least_minutes__gte=1) & Q(most_minutes__gte=F("least_minutes")) & Q(most_minutes__lte=180),
                name="activity_minutes_in_order",
                violation_error_message="Give the least minutes first, 1 or more, and at most 180.",
            ),
            models.CheckConstraint(
                condition=~Q(kind="opener") | Q(least_minutes__gte=5, most_minutes__lte=10),
                name="an_opener_lasts_5_to_10_minutes",
                violation_error_message="An opener lasts 5 to 10 minutes: children tire of it. Change the minutes.",
            ),
            models.CheckConstraint(
                condition=Q(group_size__gte=1, cycle_seconds__gte=1, players__gte=1, turns_at_once__gte=1),
                name="activity_has_a_child_and_a_turn",
                violation_error_message="It needs at least 1 child, 1 second in a turn and 1 turn at once.",
            ),
            models.CheckConstraint(
                condition=Q(cycle_seconds__lte=60 * F("least_minutes")),
                name="a_turn_fits_the_least_minutes",
                violation_error_message="One turn is longer than the least minutes. Make the turn shorter.",
            ),
            models.CheckConstraint(
                condition=Q(oldest__gte=F("youngest"), oldest__lte=18),
                name="activity_ages_in_order",
                violation_error_message="Give the youngest age first, and none above 18.",
            ),
            models.CheckConstraint(
                condition=Q(group_size__lte=400, hoops__lte=40, balls__lte=100, balls_each__lte=5, adults__lte=40)
                & Q(tables__lte=60, sockets__lte=60, turns_at_once__lte=60, players__lte=60),
                name="activity_numbers_within_a_hall",
                violation_error_message="A number is more than a hall holds. Look at children, hoops and balls.",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def station(self) -> bool:
        """Groups take turns there; everything else is for the whole hall at once."""
        return self.kind in (self.Kind.STATION, self.Kind.STEM)

    @property
    def skill_words(self) -> str:
        """The skill as the duty is called, however it was typed."""
        names = {duties().name(code).casefold(): duties().name(code) for code in duties().codes}
        return names.get(self.skill.strip().casefold(), self.skill)

    @property
    def needs_words(self) -> str:
        """1 hoop, 2 balls a turn, STEM lead, cones."""
        parts = [amount_words(self.hoops, "hoop") if self.hoops else ""]
        parts += [f"{amount_words(self.balls, 'ball')} a turn" if self.balls else ""]
        parts += [f"{amount_words(self.balls_each, 'ball')} a child" if self.balls_each else ""]
        parts += [amount_words(self.tables, "table") if self.tables else "", self.skill_words]
        parts += [amount_words(thing.amount, thing.name).partition(" ")[2] for thing in self.as_rule().packed]
        return ", ".join(part for part in parts if part)

    @property
    def packed_words(self) -> list[str]:
        """6 cones; 2 strips of foil for each child."""
        ends = {"once": "", "group": " for each group", "head": " for each child"}
        return [amount_words(one.amount, one.name) + ends[one.per] for one in self.as_rule().packed]

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
