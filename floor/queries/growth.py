"""How a group's share of made shots went over the clinics of one center: of groups, never of a child.

A group here is all children who shot at one activity of one clinic. Fewer than FEWEST of them are not shown, since a
number of three children soon is the number of one.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from clinics.models import Clinic
from floor.models import Score, SignIn
from floor.rules.scoring import Growth, Rate, growth, make_rate
from floor.words import CHANGES
from runsheets.models import RunSheetPlan

__all__ = ["FEWEST", "GroupShare", "GrowthLine", "growth_lines"]

FEWEST = 5
# A group has grown or not since the last clinics of the same center; further back, other children came.
CLINICS_BACK = 6
EVERYBODY = "everybody"


@dataclass(frozen=True)
class GroupShare:
    """What the group of one clinic made at one activity; ``rate`` is None where it is too small to be shown."""

    clinic: Clinic
    rate: Rate | None
    here: bool = False

    @property
    def day(self) -> date:
        return self.clinic.day

    @property
    def percent(self) -> int:
        return round(100 * self.rate.value) if self.rate else 0

    @property
    def low(self) -> int:
        return round(100 * self.rate.low) if self.rate else 0

    @property
    def high(self) -> int:
        return round(100 * self.rate.high) if self.rate else 0

    @property
    def width(self) -> int:
        return max(1, self.high - self.low)


@dataclass(frozen=True)
class GrowthLine:
    """One activity: the clinic's own share last, those before it in the order of their days, and the change."""

    what: str
    shares: list[GroupShare]
    change: Growth | None

    @property
    def words(self) -> str:
        """Say how the clinic compares with those before it; "" when there are too few shots to say."""
        said = self.change.said if self.change is not None else ""
        return str(CHANGES[said]) if said in CHANGES else ""


def growth_lines(clinic: Clinic) -> list[GrowthLine]:
    """Compare the clinic with those before it: a line for each activity that has scores there. Four queries."""
    earlier = Clinic.objects.filter(center=clinic.center_id, starts_at__lt=clinic.starts_at, scores__isnull=False)
    last = list(earlier.select_related("center").order_by("-starts_at").distinct()[:CLINICS_BACK])
    clinics = [*reversed(last), clinic]
    sums, who = _sums(clinics)
    size = _Sizes(clinics)
    lines = []
    for what in sorted({what for pk, what in sums if pk == clinic.pk}):
        shares = []
        for one in clinics:
            pair = sums.get((one.pk, what))
            if pair is None:
                continue
            shown = size(one.pk, who[one.pk, what]) >= FEWEST
            shares.append(GroupShare(one, make_rate(*pair) if shown else None, here=one.pk == clinic.pk))
        before = [share.rate for share in shares if share.rate and not share.here]
        now = shares[-1].rate
        change = None
        if now and before:
            change = growth((sum(one.made for one in before), sum(one.tried for one in before)), (now.made, now.tried))
        lines.append(GrowthLine(what, shares, change))
    return lines


Who = set[tuple[int | None, str]]


def _sums(clinics: Iterable[Clinic]) -> tuple[dict[tuple[int, str], tuple[int, int]], dict[tuple[int, str], Who]]:
    sums: dict[tuple[int, str], tuple[int, int]] = {}
    who: dict[tuple[int, str], Who] = {}
    rows = Score.objects.filter(clinic__in=clinics, tried__gt=0)
    for pk, what, child, group, made, tried in rows.values_list(
        "clinic_id", "what", "child_id", "group", "made", "tried"
    ):
        key = pk, what.strip().casefold()
        had = sums.get(key, (0, 0))
        sums[key] = had[0] + made, had[1] + tried
        who.setdefault(key, set()).add((child, group))
    return sums, who


class _Sizes:
    """How many children shot: those named, and all of a group that shot together."""

    def __init__(self, clinics: Iterable[Clinic]) -> None:
        self.came: dict[int, set[int]] = {}
        stays = SignIn.objects.filter(clinic__in=clinics, child__isnull=False)
        for pk, child in stays.values_list("clinic_id", "child_id"):
            self.came.setdefault(pk, set()).add(child or 0)
        sheets = RunSheetPlan.objects.ready().filter(clinic__in=clinics).latest_each()
        self.groups = {
            pk: {one["code"]: one for one in groups} for pk, groups in sheets.values_list("clinic_id", "groups")
        }

    def __call__(self, pk: int, who: Who) -> int:
        came = self.came.get(pk, set())
        children: set[int] = set()
        unnamed = 0
        for child, group in who:
            if child is not None:
                children.add(child)
            elif group == EVERYBODY:
                children |= came
            elif (one := self.groups.get(pk, {}).get(group)) is not None:
                # Who stayed away did not shoot; a group of expected children has no names to look for.
                children |= set(one["children"]) & came
                unnamed += 0 if one["children"] else one["count"]
        return len(children) + unnamed
