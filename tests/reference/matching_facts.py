"""Small random matching problems, and every hard rule and aim written down a second time, straight from the facts."""

import random
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from math import asin, ceil, cos, radians, sin, sqrt

from shifts.rules.availability import Availability
from shifts.rules.matching import Options, Person, Position, Requirement

Point = tuple[float, float]
FIRST = datetime(2027, 5, 1, 9, 0, tzinfo=UTC)  # a Saturday
PLACES = [(41.5, -77.5), (41.6, -77.5), (41.9, -77.1)]
DUTIES = ["lead", "coach", "first_aider"]


def problem(
    rng: random.Random, clinics: int, people: int, most: int = 3
) -> tuple[list[Position], list[Person], Options]:
    positions: list[Position] = []
    needed: dict[int, int] = {}
    for clinic in range(clinics):
        place = rng.randrange(3)
        begins = FIRST + timedelta(days=rng.choice((0, 0, 1)), hours=rng.choice((0, 1, 3)))
        wanted = [rng.choice(DUTIES) for _ in range(rng.randrange(1, most + 1))]
        needed[clinic] = rng.randrange(0, 3)
        for duty in wanted:
            positions.append(
                Position(
                    id=len(positions), clinic=clinic, duty=duty, starts=begins, ends=begins + timedelta(hours=2),
                    center=place, point=PLACES[place], rank=10 if duty == "lead" else 20 if duty != "coach" else 30,
                    in_ratio=duty != "first_aider",
                )
            )  # fmt: skip
    persons = []
    for number in range(people):
        duties = frozenset(d for d in DUTIES if rng.random() < 0.6)
        last = rng.choice((None, None, date(2027, 5, 1), date(2027, 4, 30)))
        persons.append(
            Person(
                id=100 + number, name=f"P{number}", duties=duties, home=(41.5 + rng.random() / 2, -77.5),
                known=Availability(
                    windows=rng.choice(({}, {}, {5: (time(9), time(12))})),
                    away=rng.choice(([], [], [(date(2027, 5, 2), date(2027, 5, 2))])),
                    shifts_a_month=rng.choice((None, 1, 2)), hours_a_month=rng.choice((None, 4, 6)),
                    farthest_km=rng.choice((None, 40)),
                ),
                needs={(d, ""): (Requirement("c", "conduct training", ((date(2026, 1, 1), last),)),) for d in duties},
                used={(2027, 5): (rng.choice((0, 0, 1)), rng.choice((0.0, 1.5)))},
                apart=frozenset({100} if number == 1 and rng.random() < 0.5 else ()),
                declined=frozenset({0} if rng.random() < 0.1 else ()),
                served=frozenset({rng.randrange(3)}), load=rng.randrange(3), may_ask=rng.choice((None, None, 1)),
            )
        )  # fmt: skip
    for place, position in enumerate(positions):
        if rng.random() < 0.2:
            asked = rng.choice(persons).id
            taken = {p.asked for p in positions if p.clinic == position.clinic}
            if asked not in taken:
                positions[place] = _with(position, asked)
    return positions, persons, Options(adults_needed=needed)


def _with(position: Position, asked: int) -> Position:
    return replace(position, asked=asked)


def km(here: Point | None, there: Point | None) -> float:
    """Haversine on a sphere of 6371.0 km, times 1.3 for the road."""
    a, b, c, d = map(radians, (*(here or ()), *(there or ())))
    return 1.3 * 2 * 6371.0 * asin(sqrt(sin((c - a) / 2) ** 2 + cos(a) * cos(c) * sin((d - b) / 2) ** 2))


def minutes(person: Person, position: Position) -> int:
    return round(120 + 2 * 60 * km(person.home, position.point) / 45)


def allowed(person: Person, position: Position) -> bool:
    known, day = person.known, position.starts.date()
    window = known.windows.get(position.starts.weekday())
    far = km(person.home, position.point)
    last = next(iter(person.needs.values()))[0].runs[0][1] if person.needs else None
    used = person.used[2027, 5]
    return (
        position.duty in person.duties
        and position.clinic not in person.declined
        and (not known.windows or (window is not None and window[0] <= position.starts.time()
             and position.ends.time() <= window[1]))
        and not any(first <= day <= end for first, end in known.away)
        and (known.farthest_km is None or far <= known.farthest_km)
        and (last is None or day <= last)
        and (known.shifts_a_month is None or used[0] + 1 <= known.shifts_a_month)
        and (known.hours_a_month is None or used[1] * 60 + minutes(person, position) <= known.hours_a_month * 60 + 1e-6)
        and (person.may_ask is None or person.may_ask > 0 or position.asked == person.id)
    )  # fmt: skip


def together(one: Position, other: Position) -> bool:
    """Whether one person can do both, with the drive between them."""
    if one.clinic == other.clinic:
        return False
    way = timedelta(minutes=60 * km(one.point, other.point) / 45) if one.point != other.point else timedelta(0)
    return one.ends + way <= other.starts or other.ends + way <= one.starts


def every_rule_holds(chosen: dict[int, int], positions: list[Position], people: list[Person]) -> bool:
    by_id, persons = {p.id: p for p in positions}, {p.id: p for p in people}
    for person_id in set(chosen.values()):
        person = persons[person_id]
        mine = [by_id[pk] for pk, one in chosen.items() if one == person_id]
        if not all(allowed(person, position) for position in mine):
            return False
        if not all(together(a, b) for n, a in enumerate(mine) for b in mine[n + 1 :]):
            return False
        used = person.used[2027, 5]
        if person.known.shifts_a_month is not None and used[0] + len(mine) > person.known.shifts_a_month:
            return False
        hours = used[1] * 60 + sum(minutes(person, position) for position in mine)
        if person.known.hours_a_month is not None and hours > person.known.hours_a_month * 60 + 1e-6:
            return False
        fresh = [p for p in mine if p.asked != person_id and not _asked_alike(p, person_id, positions)]
        if person.may_ask is not None and len(fresh) > person.may_ask:
            return False
        there = {p.clinic for p in mine}
        for other in person.apart:
            if there & {by_id[pk].clinic for pk, one in chosen.items() if one == other}:
                return False
    return True


def _asked_alike(position: Position, person_id: int, positions: list[Position]) -> bool:
    """Asked for another position of the same duty there: the same question."""
    return any(p.clinic == position.clinic and p.duty == position.duty and p.asked == person_id for p in positions)


def aims(chosen: dict[int, int], positions: list[Position], people: list[Person], options: Options) -> list[int]:
    """Unfilled, below ratio, moved, travel, fairness, new faces: lower is better, in this order."""
    persons = {p.id: p for p in people}
    others = sum(p.rank > 20 for p in positions)
    unfilled = sum((others + 1 if p.rank <= 20 else 1) for p in positions if p.id not in chosen)
    below = 0
    for clinic, needed in options.adults_needed.items():
        adults = sum(p.clinic == clinic and p.in_ratio and p.id in chosen for p in positions)
        below += needed > 0 and adults < needed
    groups: dict[tuple[int, str], list[Position]] = {}
    for p in positions:
        groups.setdefault((p.clinic, p.duty), []).append(p)
    moved = sum(
        allowed(persons[one], rows[0] if rows[0].asked else next(p for p in rows if p.asked == one))
        and one not in {chosen.get(p.id) for p in rows}
        for rows in groups.values()
        for one in {p.asked for p in rows if p.asked is not None}
    )
    by_id = {p.id: p for p in positions}
    travel = sum(ceil(km(persons[v].home, by_id[pk].point) - 1e-9) for pk, v in chosen.items())
    loads = {p.id: p.load for p in people}
    for v in chosen.values():
        loads[v] += 1
    new = sum(by_id[pk].center not in persons[v].served for pk, v in chosen.items())
    return [unfilled, below, moved, travel, sum(n * n for n in loads.values()), new]
