"""Kit types: what each requires per child, and how often a kit of it is checked."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from kits.rules.kit_state import MustHave
from kits.rules.pack_list import AskLine

__all__ = ["MOST_OF_ONE_ITEM", "KindLine", "KitKind"]

MOST_OF_ONE_ITEM = 999
OLDEST = 18


class KitKind(models.Model):
    name = models.CharField(_("name"), max_length=60, unique=True, help_text=_("Such as full bag or STEM crate."))
    words = models.CharField(_("short description"), max_length=200, blank=True)
    # Whom a kit is compared for on its own page; a clinic's pack list counts that clinic's children.
    children = models.PositiveSmallIntegerField(_("number of children"), default=20)
    youngest = models.PositiveSmallIntegerField(_("from age"), default=7)
    oldest = models.PositiveSmallIntegerField(_("to age"), default=12)
    pump_days = models.PositiveSmallIntegerField(
        _("pump balls every (days)"), null=True, blank=True, help_text=_("Number of days. Leave empty for never.")
    )
    charge_days = models.PositiveSmallIntegerField(
        _("charge devices every (days)"), null=True, blank=True, help_text=_("Number of days. Leave empty for never.")
    )
    count_days = models.PositiveSmallIntegerField(
        _("count contents every (days)"), null=True, blank=True, help_text=_("Number of days. Leave empty for never.")
    )

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(children__gte=1, children__lte=500),
                name="kit_kind_for_1_to_500_children",
                violation_error_message=_("Enter 1 to 500 children."),
            ),
            models.CheckConstraint(
                condition=Q(oldest__gte=F("youngest"), oldest__lte=OLDEST),
                name="kit_kind_ages_in_order",
                violation_error_message=_("The oldest age must be from the youngest age up to 18."),
            ),
            *(
                models.CheckConstraint(
                    condition=Q(**{f"{what}_days__isnull": True})
                    | Q(**{f"{what}_days__gte": 1, f"{what}_days__lte": 730}),
                    name=f"kit_kind_{what}_every_1_to_730_days",
                    violation_error_message=_("Enter 1 to 730 days, or leave it empty."),
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
    item = models.CharField(_("item"), max_length=60, help_text=_("Singular, spelled as in the kits: cone, pinnie."))
    sized = models.BooleanField(
        _("size depends on age"),
        default=False,
        help_text=_("For balls: uses the published youth ball size for each child’s age."),
    )
    per_children = models.PositiveSmallIntegerField(
        _("children per item"), null=True, blank=True, help_text=_("1 means one each. Leave empty for a fixed number.")
    )
    number = models.PositiveSmallIntegerField(
        _("fixed number, or minimum"),
        default=0,
        help_text=_(
            "This many no matter how many children come. If you also set “children per item”, this is the minimum."
        ),
    )
    from_age = models.PositiveSmallIntegerField(_("from age"), null=True, blank=True)
    to_age = models.PositiveSmallIntegerField(_("to age"), null=True, blank=True)
    spare_percent = models.PositiveSmallIntegerField(_("spares (percent)"), default=0)
    spare_count = models.PositiveSmallIntegerField(_("spares (number)"), default=0)
    stem_only = models.BooleanField(_("only if there is a STEM activity"), default=False)
    must_have = models.BooleanField(
        _("required"),
        default=False,
        help_text=_(
            "We’ll warn you if it’s missing. If it also expires (first aid), the kit can’t be used without it."
        ),
    )
    needs_last_day = models.BooleanField(_("expires"), default=False)

    class Meta:
        ordering = ["kind", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["kind", "item", "from_age", "to_age"],
                nulls_distinct=False,
                name="one_line_per_item_and_ages_of_a_kind",
                violation_error_message=_("This item is already listed for these ages."),
            ),
            models.CheckConstraint(
                condition=Q(per_children__isnull=False, per_children__gte=1, per_children__lte=500)
                | Q(per_children__isnull=True, number__gte=1),
                name="kind_line_asks_for_something",
                violation_error_message=_("Enter children per item, or a fixed number of at least 1."),
            ),
            models.CheckConstraint(
                condition=Q(number__lte=MOST_OF_ONE_ITEM, spare_count__lte=MOST_OF_ONE_ITEM, spare_percent__lte=100),
                name="kind_line_within_reason",
                violation_error_message=_("Enter up to 999 of one item and up to 100 percent spares."),
            ),
            models.CheckConstraint(
                condition=Q(sized=False) | Q(per_children__isnull=False, number=0),
                name="sized_line_is_per_head",
                violation_error_message=_(
                    "Items sized by age are counted per child. Enter children per item and leave the fixed number at 0."
                ),
            ),
            models.CheckConstraint(
                condition=Q(from_age__isnull=True) | Q(to_age__isnull=True) | Q(to_age__gte=F("from_age")),
                name="kind_line_ages_in_order",
                violation_error_message=_("The ages are in the wrong order. Swap them."),
            ),
        ]

    def __str__(self) -> str:
        return self.item

    def ask(self) -> AskLine:
        return AskLine(
            self.item, self.per_children, self.number, self.from_age, self.to_age,
            self.spare_percent, self.spare_count, self.sized, self.stem_only,
        )  # fmt: skip
