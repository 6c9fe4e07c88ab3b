"""Whether one person can take one position: the quick answer, and every reason with the change that would lift it.

Who may take what is decided in ``rules/eligibility.py``. ``can`` says the same of a pair without making its facts,
since a season has a million pairs; a test holds it against the rule.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import lru_cache
from math import ceil

from clinics.rules.distance import great_circle_km
from shifts.rules.eligibility import (
    HELPER,
    ROUNDING,
    AskedEnough,
    Away,
    Candidacy,
    Declined,
    DutyNotHeld,
    Engagement,
    Hours,
    Kind,
    NotCleared,
    Reason,
    Shifts,
    TooFar,
    Wanted,
    Window,
    reasons_against,
)
from shifts.rules.matching.facts import Options, Person, Point, Position, Requirement, Stay

__all__ = [
    "Block",
    "Change",
    "apply",
    "blocks",
    "can",
    "candidacy",
    "drive_minutes",
    "engagement",
    "lifted",
    "load_minutes",
    "road_km",
    "shift_minutes",
    "trip_km",
    "wanted",
]

DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Change:
    """The smallest change of one person's facts that lifts one reason.

    ``cost`` orders changes, the cheapest first: one more shift or hour, farther, another time, a renewal, a day away
    given up, a new duty. Common sense, no source. ``more``: by how much a limit would be passed. ``starts`` and
    ``ends``: of the position. ``kind`` is to be recorded by the day ``by``; ``held``: whether there was one before.
    """

    code: str  # shifts, hours, farther, window, renew, away, duty, again, ask
    person: int
    cost: float
    day: date | None = None
    amount: float = 0.0
    more: float = 0.0
    starts: datetime | None = None
    ends: datetime | None = None
    by: date | None = None
    held: bool = False
    kind: str = ""
    kind_name: str = ""
    duty: str = ""
    clinic: int = 0


@dataclass(frozen=True, slots=True)
class Block:
    reason: Reason
    change: Change | None = None


@lru_cache(maxsize=200_000)
def _great_circle(here: Point, there: Point) -> float:
    return great_circle_km(*here, *there)


def trip_km(home: Point | None, there: Point | None, options: Options) -> float | None:
    """Estimate the kilometers by road between two places, one way: the great circle times the road factor.

    None when a place is not known.
    """
    if home is None or there is None:
        return None
    return _great_circle(home, there) * options.road_factor


def road_km(person: Person, position: Position, options: Options) -> float | None:
    """Kilometers by road from the person's home to the position, one way; None when either place is not known."""
    return trip_km(person.home, position.point, options)


def drive_minutes(here: Point | None, there: Point | None, options: Options) -> float:
    """Estimate the minutes of the drive between two places: of ``options.unknown_km`` where one is not known."""
    km = trip_km(here, there, options)
    return 60 * (options.unknown_km if km is None else km) / options.km_per_hour


def load_minutes(person: Person, position: Position, options: Options) -> int:
    """Minutes that a position takes of the person's month: being there, and the way there and back."""
    return shift_minutes(position.starts, position.ends, person.home, position.point, options)


def shift_minutes(starts: datetime, ends: datetime, home: Point | None, there: Point | None, options: Options) -> int:
    """Minutes of being there plus the drive there and back."""
    return round((ends - starts).total_seconds() / 60 + 2 * drive_minutes(home, there, options))


def can(person: Person, position: Position, options: Options) -> bool:
    """Whether the person can take the position: True exactly when ``blocks`` finds nothing, and quicker than that.

    Limits over several positions are not looked at.
    """
    if person.left_on is not None or (position.duty != HELPER and not person.adult):
        return False
    if position.duty not in person.duties or position.clinic in person.declined:
        return False
    if person.may_ask is not None and person.may_ask <= 0 and person.id not in (position.accepted, position.asked):
        return False
    known, starts, ends, day = person.known, position.starts, position.ends, position.starts.date()
    if known.windows:
        window = known.windows.get(starts.weekday())
        if window is None or starts.time() < window[0] or ends.time() > window[1] or ends.date() != day:
            return False
    if any(first <= ends.date() and day <= last for first, last in known.away):
        return False
    needs = person.needs.get((position.duty, position.place), ())
    if any(need.holds(day) and not need.current(day) for need in needs):
        return False
    if known.farthest_km is not None:
        km = road_km(person, position, options)
        if km is not None and km > known.farthest_km:
            return False
    shifts, hours = person.used.get(position.month, (0, 0.0))
    if known.shifts_a_month is not None and shifts + 1 > known.shifts_a_month:
        return False
    limit = known.hours_a_month
    if limit is not None and hours + load_minutes(person, position, options) / 60 > limit + ROUNDING:
        return False
    return all(reachable(stay, position, options) for stay in person.stays)


def blocks(person: Person, position: Position, options: Options) -> list[Block]:
    """List every reason against the pair, each with the change that would lift it. Other positions play no part."""
    against = reasons_against(wanted(position), candidacy(person, position, options))
    return [Block(reason, lifted(person, position, reason)) for reason in against]


def wanted(position: Position) -> Wanted:
    return Wanted(position.clinic, position.duty, position.starts, position.ends)


def candidacy(person: Person, position: Position, options: Options) -> Candidacy:
    """Gather the facts of the pair. None of them depends on who else is put where."""
    shifts, hours = person.used.get(position.month, (0, 0.0))
    needs = person.needs.get((position.duty, position.place), ())
    return Candidacy(
        duties=person.duties,
        adult=person.adult,
        left_on=person.left_on,
        kinds=[need.on(position.day) for need in needs if need.holds(position.day)],
        engagements=[engagement(stay, position, options) for stay in person.stays],
        known=person.known,
        shifts=shifts,
        hours=hours,
        takes=load_minutes(person, position, options) / 60,
        km=road_km(person, position, options),
        declined=position.clinic in person.declined,
        may_ask=person.may_ask,
        asked_here=person.id in (position.accepted, position.asked),
    )


def engagement(other: Stay | Position, position: Position, options: Options) -> Engagement:
    """Describe another shift as seen from ``position``; a ``Position`` stands for where a plan would put the person."""
    minutes = 0.0 if other.point == position.point else drive_minutes(other.point, position.point, options)
    if isinstance(other, Position):
        return Engagement(other.clinic, other.starts, other.ends, minutes, other.title, planned=True)
    return Engagement(other.clinic, other.starts, other.ends, minutes, other.title, other.duty, other.reply)


def apply(person: Person, change: Change) -> Person:
    """Return the person as they would be after the change."""
    known = person.known
    if change.code == "duty":
        return replace(person, duties=person.duties | {change.duty})
    if change.code == "again":
        return replace(person, declined=person.declined - {change.clinic})
    if change.code == "ask":
        return replace(person, may_ask=int(change.amount))
    if change.code == "shifts":
        return replace(person, known=replace(known, shifts_a_month=int(change.amount)))
    if change.code == "hours":
        return replace(person, known=replace(known, hours_a_month=change.amount))
    if change.code == "farther":
        return replace(person, known=replace(known, farthest_km=change.amount))
    if change.code == "window":
        return replace(person, known=replace(known, windows={}))
    if change.code == "away":
        day = change.day
        away = [(a, b) for a, b in known.away if day is None or not a <= day <= b]
        return replace(person, known=replace(known, away=away))
    if change.code == "renew" and change.day is not None:
        needs = {
            key: tuple(_renewed(one, change.day) if one.kind == change.kind else one for one in rows)
            for key, rows in person.needs.items()
        }
        return replace(person, needs=needs)
    raise ValueError(f"{change.code} is no change of a person.")


def _renewed(need: Requirement, from_day: date) -> Requirement:
    return replace(need, runs=(*need.runs, (from_day, None)))


def reachable(one: Position | Stay, other: Position | Stay, options: Options) -> bool:
    """Whether one person can be at both, one after the other, with the drive between them."""
    way = timedelta(minutes=drive_minutes(one.point, other.point, options) if one.point != other.point else 0)
    return one.ends + way <= other.starts or other.ends + way <= one.starts


def lifted(person: Person, position: Position, reason: Reason) -> Change | None:
    """The change that lifts the reason; None when no change does."""
    pk, starts, ends = person.id, position.starts, position.ends
    match reason:
        case DutyNotHeld() if position.duty != HELPER and person.duties - {HELPER}:
            return Change("duty", pk, 60, duty=position.duty)
        case AskedEnough(planned):
            return Change("ask", pk, 5, amount=planned + 1)
        case Declined():
            return Change("again", pk, 70, clinic=position.clinic)
        case TooFar(km, most):
            far = ceil(km)
            return Change("farther", pk, 20 + (far - most) / 10, amount=far, more=far - most)
        case Window():
            return Change("window", pk, 30, starts=starts, ends=ends)
        case Away(first, _):
            return Change("away", pk, 50, day=max(first, position.day))
        case Shifts(has, most):
            return Change("shifts", pk, 10 + (has + 1 - most), amount=has + 1, starts=starts)
        case Hours(would, most):
            hours = ceil(would * 2 - ROUNDING) / 2
            return Change("hours", pk, 11 + (hours - most), amount=hours, more=hours - most, starts=starts)
        case NotCleared(kind, day):
            return _renewal(person, kind, day)
        case _:
            return None


def _renewal(person: Person, kind: Kind, day: date) -> Change:
    last = kind.last_day
    by = last if last is not None else day
    return Change(
        "renew",
        person.id,
        40 if last is not None else 65,
        day=min(day, by + DAY) if last is not None else day,
        by=by,
        held=last is not None,
        kind=kind.code,
        kind_name=kind.name,
    )
