"""Kinds of kits: what each asks for a head, and how often a kit of it is looked after."""

from django.db import models
from django.db.models import F, Q

from kits.rules.kit_state import MustHave
from kits.rules.pack_list import AskLine

__all__ = ["MOST_OF_ONE_ITEM", "KindLine", "KitKind"]

MOST_OF_ONE_ITEM = 999
OLDEST = 18


class KitKind(models.Model):
    name = models.CharField(max_length=60, unique=True, help_text="Such as full bag or STEM crate.")
    words = models.CharField("in a few words", max_length=200, blank=True)
    # Whom a kit is compared for on its own page; a clinic's pack list counts that clinic's children.
    children = models.PositiveSmallIntegerField("for how many children", default=20)
    youngest = models.PositiveSmallIntegerField("from age", default=7)
    oldest = models.PositiveSmallIntegerField("to age", default=12)
    pump_days = models.PositiveSmallIntegerField(
        "pump the balls every", null=True, blank=True, help_text="Days. Empty: never asked for."
    )
    charge_days = models.PositiveSmallIntegerField(
        "charge every", null=True, blank=True, help_text="Days. Empty: never asked for."
    )
    count_days = models.PositiveSmallIntegerField(
        "count every", null=True, blank=True, help_text="Days. Empty: never asked for."
    )

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(children__gte=1, children__lte=500),
                name="kit_kind_for_1_to_500_children",
                violation_error_message="Give 1 to 500 children.",
            ),
            models.CheckConstraint(
                condition=Q(oldest__gte=F("youngest"), oldest__lte=OLDEST),
                name="kit_kind_ages_in_order",
                violation_error_message="The oldest age is at least the youngest, and at most 18.",
            ),
            *(
                models.CheckConstraint(
                    condition=Q(**{f"{what}_days__isnull": True})
                    | Q(**{f"{what}_days__gte": 1, f"{what}_days__lte": 730}),
                    name=f"kit_kind_{what}_every_1_to_730_days",
                    violation_error_message=f"Say to {what} it every 1 to 730 days, or leave it empty.",
                )
                for what in ("pump", "charge", "count")
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def intervals(self) -> dict[str, int]:
        """Check to days, of the checks that this kind asks for."""
        every = {"pump": self.pump_days, "charge": self.charge_days, "count": self.count_days}
        return {what: days for what, days in every.items() if days}

    def asks(self) -> list[AskLine]:
        return [line.ask() for line in self.lines.all()]

    def must_haves(self, stem: bool) -> list[MustHave]:
        return [
            MustHave(line.item, line.needs_last_day, line.sized)
            for line in self.lines.all()
            if line.must_have and (stem or not line.stem_only)
        ]


class KindLine(models.Model):
    """One thing that a kind of kit asks for."""

    kind = models.ForeignKey(KitKind, on_delete=models.CASCADE, related_name="lines")
    item = models.CharField(max_length=60, help_text="In the singular, as it is written in the kits: cone, pinnie.")
    sized = models.BooleanField(
        "size by age",
        default=False,
        help_text="Balls: the size of each child's age by the published youth guidelines.",
    )
    per_children = models.PositiveSmallIntegerField(
        "one for how many children", null=True, blank=True, help_text="1: one each. Empty: a fixed number."
    )
    number = models.PositiveSmallIntegerField(
        "fixed or least number", default=0, help_text="How many whoever comes; with a number a head, at least so many."
    )
    from_age = models.PositiveSmallIntegerField(null=True, blank=True)
    to_age = models.PositiveSmallIntegerField(null=True, blank=True)
    spare_percent = models.PositiveSmallIntegerField("spare, in a hundred", default=0)
    spare_count = models.PositiveSmallIntegerField("spare, so many", default=0)
    stem_only = models.BooleanField("only with a STEM part", default=False)
    must_have = models.BooleanField(
        default=False,
        help_text="Said when it is missing. With a last day (first aid), the kit is not packed without it.",
    )
    needs_last_day = models.BooleanField("has a last day", default=False)

    class Meta:
        ordering = ["kind", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "item", "from_age", "to_age"],
                nulls_distinct=False,
                name="one_line_per_item_and_ages_of_a_kind",
                violation_error_message="This item stands in the list already for these ages.",
            ),
            models.CheckConstraint(
                condition=Q(per_children__isnull=False, per_children__gte=1, per_children__lte=500)
                | Q(per_children__isnull=True, number__gte=1),
                name="kind_line_asks_for_something",
                violation_error_message="Say one for how many children, or a fixed number of at least 1.",
            ),
            models.CheckConstraint(
                condition=Q(number__lte=MOST_OF_ONE_ITEM, spare_count__lte=MOST_OF_ONE_ITEM, spare_percent__lte=100),
                name="kind_line_within_reason",
                violation_error_message="At most 999 of one item, and at most 100 in a hundred spare.",
            ),
            models.CheckConstraint(
                condition=Q(sized=False) | Q(per_children__isnull=False, number=0),
                name="sized_line_is_per_head",
                violation_error_message="What has a size by age is counted a head: say one for how many children, "
                "and leave the fixed number at 0.",
            ),
            models.CheckConstraint(
                condition=Q(from_age__isnull=True) | Q(to_age__isnull=True) | Q(to_age__gte=F("from_age")),
                name="kind_line_ages_in_order",
                violation_error_message="The later age comes before the earlier one. Swap the two ages.",
            ),
        ]

    def __str__(self) -> str:
        return self.item

    def ask(self) -> AskLine:
        return AskLine(
            self.item, self.per_children, self.number, self.from_age, self.to_age,
            self.spare_percent, self.spare_count, self.sized, self.stem_only,
        )  # fmt: skip

    @property
    def amount(self) -> str:
        """one a child; one for 2 children, at least 10; 1 in all."""
        if self.per_children is None:
            words = f"{self.number} in all"
        else:
            words = "one a child" if self.per_children == 1 else f"one for {self.per_children} children"
            words += f", at least {self.number}" if self.number else ""
        if self.from_age is not None or self.to_age is not None:
            low, high = self.from_age, self.to_age
            words += f", ages {low or 0} to {high}" if high is not None else f", from age {low}"
        spare = [f"{self.spare_percent} in a hundred" if self.spare_percent else ""]
        spare.append(str(self.spare_count) if self.spare_count else "")
        kept = " and ".join(part for part in spare if part)
        return words + (f", {kept} spare" if kept else "")
