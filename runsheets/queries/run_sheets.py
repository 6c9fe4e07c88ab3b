"""The run sheet's page: the board, each group's time, and what changed since."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from clinics.models import Clinic
from core.formats import clock_time
from families.models import Child
from runsheets.models import Activity, RunSheetPlan
from runsheets.queries.run_sheet_facts import expected_ages, facts_now, sheet_children
from runsheets.queries.run_sheet_floor import places_of
from runsheets.rules.rotation import GOAL_ACTIVE, WAITING

__all__ = ["Board", "SheetPage", "board_of", "changes_since", "run_sheet_page"]

KIND_WORDS = {"opener": "Opener", "rotation": "Stations", "water": "Water", "game": "Game", "closer": "Closing circle"}


@dataclass(frozen=True)
class Cell:
    group: str
    name: str
    where: str
    adults: list[str]
    waits: bool


@dataclass(frozen=True)
class BoardRow:
    """``everybody``: what the whole hall does; empty for a slot of the stations, whose groups are in ``cells``.

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


def run_sheet_page(clinic: Clinic, chosen: int | None = None) -> SheetPage:
    """Read the chosen sheet, or the latest, with everything around it, in a constant number of queries."""
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
    latest = row.pk == rows[0].pk or (holds is not None and row.pk == holds.pk)
    return SheetPage(
        row=row,
        board=board_of(row, names | names_gone, clinic.center.tz) if row.result.get("slots") else None,
        changed=changes_since(row, now, names, names_gone, len(expected), clinic.center.tz) if latest else [],
        helps=[_help(one) for one in row.result.get("changes", [])],
        others=[one for one in rows if one.pk != row.pk],
        holds=holds,
        now=now,
        children=len(children) or len(expected),
        registered=bool(children),
    )


def board_of(row: RunSheetPlan, names: dict[int, str], tz: ZoneInfo) -> Board:
    """Lay the sheet out as a board, with names and the center's clock."""
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
                by_code[one]["name"] if one in by_code else "Wait and watch",
                places.get(one, "beside the floor"),
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
                KIND_WORDS.get(slot["kind"], slot["kind"]),
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
        groups=[_group(one, result["times"].get(one["code"]), names) for one in row.groups],
        share=round(100 * result["share_court"]),
        met=result["goal_met"],
    )


def _group(one: dict[str, Any], time: dict[str, Any] | None, names: dict[int, str]) -> GroupLine:
    ages = str(one["youngest"]) if one["youngest"] == one["oldest"] else f"{one['youngest']} to {one['oldest']}"
    mine = [names.get(pk) or "somebody" for pk in one["children"]]
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
        balls=" or ".join(str(size) for size in time["ball_sizes"]),
        rim=f"{time['rim_ft']:g} ft",
        active=round(time["active"]),
        waiting=round(time["waiting"]),
        share=round(100 * share),
        met=share >= GOAL_ACTIVE,
    )


def changes_since(
    row: RunSheetPlan,
    now: dict[str, Any],
    names: dict[int, str],
    names_gone: dict[int, str],
    expected: int,
    tz: ZoneInfo,
) -> list[str]:
    """Say in sentences what differs now from the facts that the sheet was made from."""
    then = row.facts
    out = []
    if (then["starts_at"], then["ends_at"]) != (now["starts_at"], now["ends_at"]):
        hours = [
            " to ".join(clock_time(datetime.fromisoformat(facts[end]), tz) for end in ("starts_at", "ends_at"))
            for facts in (now, then)
        ]
        out.append(f"The clinic is from {hours[0]} now, and the sheet is for {hours[1]}.")
    planned = {one["who"]: one["name"] for one in then["adults"]}
    coming = {one["who"]: one["name"] for one in now["adults"]}
    out += [f"{name} no longer comes, or no longer counts." for who, name in planned.items() if who not in coming]
    out += [
        f"{name} comes and is not on the sheet."
        for who, name in coming.items()
        if who not in planned and who not in then["missing"]
    ]
    on_it = {pk for one in row.groups for pk in one["children"]}
    out += [f"{names_gone.get(pk, 'A child')} no longer has a place." for pk in sorted(on_it - set(names))]
    new = [pk for pk in names if pk not in on_it]
    if on_it:
        out += [f"{names[pk]} has a place and is in no group." for pk in new]
    elif new:
        many = f"{len(new)} children have" if len(new) > 1 else "1 child has"
        out.append(f"{many} a place now; the sheet was made from the number of expected children.")
    elif sum(one["count"] for one in row.groups) != expected:
        out.append(f"{expected} children are expected now, not {sum(one['count'] for one in row.groups)}.")
    hoops = now["floor"]["hoops"] - then["hoops_out"]
    if (now["space"], hoops, now["floor"]["capacity"]) != (
        then["space"],
        then["floor"]["hoops"],
        then["floor"]["capacity"],
    ):
        out.append(f"The floor is {now['space'] or 'no longer held'} now, with {now['floor']['hoops']} hoops.")
    if now["kit"] != then["kit"] or (now["kit"] and now["floor"]["balls"] != then["floor"]["balls"]):
        out.append(f"There are {now['floor']['balls']} balls now, not {then['floor']['balls']}.")
    out += [f"{one['name']} is no longer offered." for one in then["activities"] if one["code"] not in now["offered"]]
    if now["tables"] != then["tables"]:
        out.append("Another supervision table holds now.")
    return out


def _help(change: dict[str, Any]) -> Help:
    words = str(change["words"])
    words = words[:1].upper() + words[1:]
    if len(change["parts"]) == 1:
        what, amount = change["parts"][0]
        if what == "leave out":
            return Help(words, leave_out=amount)
        if what == "smaller groups":
            return Help(words, more_groups=True)
        if what == "minutes":
            return Help(words, route="clinic-change", route_words="Change the clinic’s hours")
        if what == "adults" or str(what).startswith("skill:"):
            return Help(words, route="clinic", route_words="See who is asked")
        if what in ("hoops", "capacity"):
            return Help(words, route="clinic-change", route_words="Choose another space")
        if what == "balls":
            return Help(words, route="clinic-pack", route_words="See what is packed")
    return Help(words)
