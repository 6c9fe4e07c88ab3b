"""Whether one person can take one position: every reason against, each with the change that would lift it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache
from math import ceil

from clinics.rules.distance import great_circle_km
from scheduling.rules.availability import DAYS
from scheduling.rules.matching.facts import Options, Person, Point, Position, Requirement, Stay

__all__ = ["Block", "Change", "apply", "blocks", "can", "drive_minutes", "load_minutes", "road_km", "trip_km"]

DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Change:
    """The smallest change of one person's facts that lifts one reason.

    ``cost`` orders changes, the cheapest first: one more shift or hour, farther, another time, a renewal, a day away
    given up, a new duty. Common sense, no source.
    """

    code: str  # shifts, hours, farther, window, renew, away, duty, again
    person: int
    words: str
    cost: float
    day: date | None = None
    amount: float = 0.0
    kind: str = ""
    duty: str = ""
    clinic: int = 0


@dataclass(frozen=True, slots=True)
class Block:
    code: str
    words: str
    change: Change | None = None


@lru_cache(maxsize=200_000)
def _great_circle(here: Point, there: Point) -> float:
    return great_circle_km(*here, *there)


def trip_km(home: Point | None, there: Point | None, options: Options) -> float | None:
    """Kilometers by road one way, estimated: great circle times the road factor. None when a place is not known."""
    if home is None or there is None:
        return None
    return _great_circle(home, there) * options.road_factor


def road_km(person: Person, position: Position, options: Options) -> float | None:
    return trip_km(person.home, position.point, options)


def drive_minutes(here: Point | None, there: Point | None, options: Options) -> float:
    km = trip_km(here, there, options)
    return 60 * (options.unknown_km if km is None else km) / options.km_per_hour


def load_minutes(person: Person, position: Position, options: Options) -> int:
    """What a position costs somebody of their month: being there, and the way there and back."""
    there = (position.ends - position.starts).total_seconds() / 60
    return round(there + 2 * drive_minutes(person.home, position.point, options))


def can(person: Person, position: Position, options: Options) -> bool:
    """Whether nothing stands against the pair by itself: no ``blocks``, found sooner than with their words.

    Limits over several positions are not looked at.
    """
    if position.duty not in person.duties or position.clinic in person.declined:
        return False
    known, starts, ends, day = person.known, position.starts, position.ends, position.starts.date()
    if known.windows:
        window = known.windows.get(starts.weekday())
        if window is None or starts.time() < window[0] or ends.time() > window[1] or ends.date() != day:
            return False
    if any(first <= ends.date() and day <= last for first, last in known.away):
        return False
    needs = person.needs.get((position.duty, position.place), ())
    if any(need.holds(day) and not need.in_date(day) for need in needs):
        return False
    if known.farthest_km is not None:
        km = road_km(person, position, options)
        if km is not None and km > known.farthest_km:
            return False
    return not (_asked_enough(person, position, options) or _month(person, position, options)) and not _elsewhere(
        person, position, options
    )


def blocks(person: Person, position: Position, options: Options) -> list[Block]:
    """Every reason against, in no order."""
    found: list[Block] = []
    for reason in (_duty, _asked_enough, _declined, _too_far, _window, _away, _month, _elsewhere, _standing):
        found += reason(person, position, options)
    return found


def apply(person: Person, change: Change) -> Person:
    """The same person after a change."""
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


def _duty(person: Person, position: Position, options: Options) -> list[Block]:
    if position.duty in person.duties:
        return []
    change = None
    if position.duty != "helper" and person.duties - {"helper"}:
        words = f"ask whether {person.name} would take on this duty"
        change = Change("duty", person.id, words, 60, duty=position.duty)
    return [Block("duty", "does not do this duty", change)]


def _asked_enough(person: Person, position: Position, options: Options) -> list[Block]:
    if person.may_ask is None or person.may_ask > 0 or person.id in (position.accepted, position.asked):
        return []
    change = Change("ask", person.id, f"let {person.name} have one more open question", 5, amount=1)
    return [Block("asked enough", "has as many open questions as one may have", change)]


def _declined(person: Person, position: Position, options: Options) -> list[Block]:
    if position.clinic not in person.declined:
        return []
    change = Change("again", person.id, f"ask {person.name} again", 70, clinic=position.clinic)
    return [Block("declined", "said no to this clinic", change)]


def _too_far(person: Person, position: Position, options: Options) -> list[Block]:
    farthest, km = person.known.farthest_km, road_km(person, position, options)
    if farthest is None or km is None or km <= farthest:
        return []
    more = ceil(km)
    words = f"ask {person.name} to come {more - farthest:.0f} km farther, to this center"
    change = Change("farther", person.id, words, 20 + (more - farthest) / 10, amount=more)
    return [Block("too far", f"{km:.0f} km away, farther than {farthest:g} km", change)]


def _window(person: Person, position: Position, options: Options) -> list[Block]:
    windows = person.known.windows
    if not windows:
        return []
    starts, ends = position.starts, position.ends
    window = windows.get(starts.weekday())
    hours = f"{starts:%H:%M} to {ends:%H:%M}"
    day = f"{starts:%A}"
    if window is None:
        words = f"not free on a {DAYS[starts.weekday()]}"
    elif starts.time() < window[0] or ends.time() > window[1] or ends.date() != starts.date():
        words = f"free on a {DAYS[starts.weekday()]} only from {window[0]:%H:%M} to {window[1]:%H:%M}"
    else:
        return []
    change = Change("window", person.id, f"ask {person.name} whether {day} {hours} would do for once", 30)
    return [Block("window", words, change)]


def _away(person: Person, position: Position, options: Options) -> list[Block]:
    found = []
    for begins, last in person.known.away:
        if begins <= position.ends.date() and position.starts.date() <= last:
            until = "" if begins == last else f" to {last.day} {last:%b}"
            words = f"ask {person.name} to come although away"
            change = Change("away", person.id, words, 50, day=max(begins, position.day))
            found.append(Block("away", f"away {begins.day} {begins:%b}{until}", change))
    return found


def _month(person: Person, position: Position, options: Options) -> list[Block]:
    shifts, hours = person.used.get(position.month, (0, 0.0))
    return month_blocks(person, position, options, shifts, hours)


def month_blocks(person: Person, position: Position, options: Options, shifts: int, hours: float) -> list[Block]:
    """Limits of the calendar month, with ``shifts`` and ``hours`` of it given elsewhere already."""
    found = []
    most = person.known.shifts_a_month
    if most is not None and shifts + 1 > most:
        words = f"ask {person.name} for one more shift in {position.starts:%B}"
        found.append(
            Block(
                "shifts",
                f"has {shifts} of at most {most} shifts that month",
                Change("shifts", person.id, words, 10 + (shifts + 1 - most), amount=shifts + 1),
            )
        )
    limit, takes = person.known.hours_a_month, load_minutes(person, position, options) / 60
    if limit is not None and hours + takes > limit + 1e-9:
        amount = ceil((hours + takes) * 2 - 1e-9) / 2
        words = f"ask {person.name} for {amount - limit:g} more hours in {position.starts:%B}"
        change = Change("hours", person.id, words, 11 + (amount - limit), amount=amount)
        found.append(Block("hours", f"would give more than {limit:g} hours that month, travel counted", change))
    return found


def _elsewhere(person: Person, position: Position, options: Options) -> list[Block]:
    found = []
    for stay in person.stays:
        if not reachable(stay, position, options):
            where = stay.title or "another clinic"
            touching = stay.starts < position.ends and position.starts < stay.ends
            found.append(
                Block("elsewhere", f"at {where} then" if touching else f"can't get here from {where} in time", None)
            )
    return found


def reachable(one: Position | Stay, other: Position | Stay, options: Options) -> bool:
    """Whether somebody can be at both: one after the other, with the drive between them."""
    way = timedelta(minutes=drive_minutes(one.point, other.point, options) if one.point != other.point else 0)
    return one.ends + way <= other.starts or other.ends + way <= one.starts


def _standing(person: Person, position: Position, options: Options) -> list[Block]:
    day = position.day
    found = []
    for need in person.needs.get((position.duty, position.place), ()):
        if not need.holds(day) or need.in_date(day):
            continue
        last = max((last for begins, last in need.runs if last is not None and last < day), default=None)
        if last is None:
            words = f"no {need.name} on record for that day"
        else:
            gone = (day - last).days
            words = f"{need.name} lapses {'the day' if gone == 1 else f'{gone} days'} before"
        by = last if last is not None else day
        told = f"record {person.name}'s {need.name}" if last is None else f"have {person.name} renew {need.name}"
        change = Change(
            "renew",
            person.id,
            f"{told} by {by.day} {by:%B}",
            40 if last is not None else 65,
            day=min(day, by + DAY) if last is not None else day,
            kind=need.kind,
        )
        found.append(Block("standing", words, change))
    return found
