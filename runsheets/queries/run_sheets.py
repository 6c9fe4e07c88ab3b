"""The run sheet's page: the board, each group's time, and what would help where there is none."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.text import capfirst
from django.utils.translation import gettext

from clinics.models import Clinic
from core.formats import listed
from families.models import Child
from runsheets.models import Activity, RunSheetPlan
from runsheets.queries.run_sheet_facts import expected_ages, facts_now, sheet_children
from runsheets.queries.run_sheet_floor import places_of
from runsheets.queries.sheet_changes import changes_since
from runsheets.rules.rotation import GOAL_ACTIVE, WAITING
from runsheets.words.groups import ages_words
from runsheets.words.reasons import binding_words, change_words, kept_words, trouble_words
from runsheets.words.sheets import KIND_WORDS, on_the_side, rest_words, wait_words

__all__ = ["Board", "SheetPage", "board_of", "run_sheet_page"]


@dataclass(frozen=True)
class Cell:
    group: str
    name: str
    where: str
    adults: list[str]
    waits: bool


@dataclass(frozen=True)
class BoardRow:
    """``everybody``: what the whole space does; empty for a slot of the stations, whose groups are in ``cells``.

    ``watch``: adults with all who wait, wherever in the board those stand.
    """

    starts_at: datetime
    ends_at: datetime
    minutes: int
    kind: str
    everybody: str
    adults: list[str]
    cells: list[Cell]
    spare: list[str]
    watch: list[str]


@dataclass(frozen=True)
class GroupLine:
    code: str
    count: int
    ages: str
    advanced: bool
    names: list[str]
    balls: str = ""
    rim: str = ""
    active: int = 0
    waiting: int = 0
    share: int = 0
    met: bool = False


@dataclass(frozen=True)
class Board:
    codes: list[str]
    rows: list[BoardRow]
    groups: list[GroupLine]
    share: int
    met: bool

    @property
    def waits(self) -> bool:
        return any(cell.waits for row in self.rows for cell in row.cells)


@dataclass(frozen=True)
class Help:
    """A change that would help: ``leave_out`` or ``more_groups`` when one press can try it, else where to look."""

    words: str
    leave_out: str = ""
    more_groups: bool = False
    route: str = ""
    route_words: str = ""


@dataclass(frozen=True)
class SheetPage:
    row: RunSheetPlan | None
    board: Board | None = None
    changed: list[str] = field(default_factory=list)
    helps: list[Help] = field(default_factory=list)
    others: list[RunSheetPlan] = field(default_factory=list)
    holds: RunSheetPlan | None = None
    now: dict[str, Any] = field(default_factory=dict)
    children: int = 0
    registered: bool = False
    binding: str = ""
    trouble: str = ""
    notes: list[str] = field(default_factory=list)
    rest: str = ""


def run_sheet_page(clinic: Clinic, chosen: int | None = None, *, with_names: bool = True) -> SheetPage:
    """Read the chosen sheet, or the latest, with everything around it, in a constant number of queries.

    ``with_names`` only for somebody who may know which children come.
    """
    rows = list(RunSheetPlan.objects.filter(clinic=clinic).select_related("asked_by", "rest_of")[:30])
    row = next((one for one in rows if chosen is None or one.pk == chosen), None)
    children = sheet_children(clinic)
    expected = expected_ages(clinic)
    now = facts_now(clinic, len(children) or len(expected))
    now["offered"] = set(Activity.objects.offered().values_list("code", flat=True))
    holds = next((one for one in rows if one.state == RunSheetPlan.State.READY), None)
    if row is None:
        return SheetPage(None, now=now, children=len(children) or len(expected), registered=bool(children))
    names = {child.pk: child.name for child in children}
    gone = {pk for one in row.groups for pk in one["children"]} - set(names)
    names_gone = dict(Child.objects.filter(pk__in=gone).values_list("pk", "name")) if gone else {}
    if not with_names:
        names, names_gone = dict.fromkeys(names, gettext("A child")), {}
    latest = row.pk == rows[0].pk or (holds is not None and row.pk == holds.pk)
    return SheetPage(
        row=row,
        board=board_of(row, names | names_gone, clinic.center.tz, with_names=with_names)
        if row.result.get("slots")
        else None,
        # Two children without their names are one line.
        changed=list(dict.fromkeys(changes_since(row, now, names, names_gone, len(expected), clinic.center.tz)))
        if latest
        else [],
        helps=_helps(row),
        others=[one for one in rows if one.pk != row.pk],
        holds=holds,
        now=now,
        children=len(children) or len(expected),
        registered=bool(children),
        binding=binding_words(row.result.get("binding", "")),
        trouble=trouble_words(row.trouble, row.result),
        notes=kept_words(row.result.get("notes", [])),
        rest=rest_words(row.rest) if row.rest else "",
    )


def board_of(row: RunSheetPlan, names: dict[int, str], tz: ZoneInfo, *, with_names: bool = True) -> Board:
    """Lay the sheet out as a board, with names, if asked for, and the center's clock."""
    result = row.result
    start = datetime.fromisoformat(row.facts["starts_at"]).astimezone(tz)
    by_code = {one["code"]: one for one in result["activities"]}
    places = places_of(result)
    rows = []
    for slot in result["slots"]:
        at = start + timedelta(minutes=slot["start"])
        whole = slot["kind"] != "rotation"
        code = next(iter(slot["stations"].values()))
        cells = [
            Cell(
                group,
                by_code[one]["name"] if one in by_code else wait_words(),
                places.get(one, on_the_side()),
                slot["adults"].get(one, []) if one != WAITING else [],
                one == WAITING,
            )
            for group, one in slot["stations"].items()
        ]
        rows.append(
            BoardRow(
                at,
                at + timedelta(minutes=slot["minutes"]),
                slot["minutes"],
                str(KIND_WORDS.get(slot["kind"], slot["kind"])),
                by_code[code]["name"] if whole else "",
                slot["adults"].get(code, []) if whole else [],
                [] if whole else cells,
                slot["spare"],
                slot["adults"].get(WAITING, []),
            )
        )
    return Board(
        codes=[one["code"] for one in row.groups],
        rows=rows,
        groups=[_group(one, result["times"].get(one["code"]), names if with_names else None) for one in row.groups],
        share=round(100 * result["share_court"]),
        met=result["goal_met"],
    )


def _group(one: dict[str, Any], time: dict[str, Any] | None, names: dict[int, str] | None) -> GroupLine:
    ages = ages_words(one["youngest"], one["oldest"])
    mine = [] if names is None else [names.get(pk) or gettext("someone") for pk in one["children"]]
    if time is None:
        return GroupLine(one["code"], one["count"], ages, one["advanced"], mine)
    court = time["active"] + time["waiting"]
    share = time["active"] / court if court else 0.0
    return GroupLine(
        one["code"],
        one["count"],
        ages,
        one["advanced"],
        mine,
        balls=listed(time["ball_sizes"], "or"),
        rim=gettext("%(feet)s ft") % {"feet": f"{time['rim_ft']:g}"},
        active=round(time["active"]),
        waiting=round(time["waiting"]),
        share=round(100 * share),
        met=share >= GOAL_ACTIVE,
    )


def _helps(row: RunSheetPlan) -> list[Help]:
    names = {one["code"]: one["name"] for one in row.result.get("activities", [])}
    return [_help(one, capfirst(change_words(one, names))) for one in row.result.get("changes", [])]


def _help(change: dict[str, Any], words: str) -> Help:
    if len(change["parts"]) == 1:
        what, amount = change["parts"][0]
        if what == "leave out":
            return Help(words, leave_out=amount)
        if what == "smaller groups":
            return Help(words, more_groups=True)
        if what == "minutes":
            return Help(words, route="clinic-change", route_words=gettext("Change the clinic’s hours"))
        if what == "adults" or str(what).startswith("skill:"):
            return Help(words, route="clinic", route_words=gettext("View cover"))
        if what in ("hoops", "capacity"):
            return Help(words, route="clinic-change", route_words=gettext("Choose another space"))
        if what == "balls":
            return Help(words, route="clinic-pack", route_words=gettext("View the pack list"))
    return Help(words)
