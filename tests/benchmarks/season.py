"""A season made up from a seed, with realistic gaps: few who lead, fewer who treat, everybody with days and limits."""

import random
from collections import defaultdict
from datetime import UTC, date, datetime, time, timedelta

from shifts.rules.availability import Availability
from shifts.rules.matching import Options, Person, Position, Requirement

FIRST = date(2027, 1, 4)  # a Monday
RANK = {"lead": 10, "first_aider": 20, "coach": 30, "door": 40, "stem_lead": 50}
STARTS = {2: (17,), 5: (9, 10, 13, 14), 6: (13, 14)}


def season(clinics: int, volunteers: int, seed: int = 0) -> tuple[list[Position], list[Person], Options]:
    rng = random.Random(seed)
    weeks = max(1, clinics // 8)
    centers = [(41.5 + rng.uniform(-0.35, 0.35), -77.5 + rng.uniform(-0.45, 0.45)) for _ in range(max(4, clinics // 6))]
    positions: list[Position] = []
    needed = {}
    for clinic in range(clinics):
        center = rng.randrange(len(centers))
        weekday = rng.choice((2, 5, 5, 5, 6))
        day = FIRST + timedelta(days=7 * rng.randrange(weeks) + weekday)
        begins = datetime.combine(day, time(rng.choice(STARTS[weekday])), UTC)
        coaches = rng.choice((2, 3, 3, 4))
        duties = ["lead", *["coach"] * coaches, "first_aider", "door", *["stem_lead"] * rng.randrange(2)]
        needed[clinic] = coaches + 1
        positions += [
            Position(
                id=len(positions) + number,
                clinic=clinic,
                duty=duty,
                starts=begins - timedelta(minutes=30),
                ends=begins + timedelta(minutes=135),
                center=center,
                point=centers[center],
                rank=RANK[duty],
                in_ratio=duty in ("lead", "coach"),
            )
            for number, duty in enumerate(duties)
        ]
    people = [_person(number, rng, weeks, len(centers)) for number in range(volunteers)]
    return positions, people, Options(adults_needed=needed)


def _person(number: int, rng: random.Random, weeks: int, centers: int) -> Person:
    duties = {"coach" if rng.random() < 0.75 else "door"}
    for duty, share in (("lead", 0.2), ("first_aider", 0.18), ("door", 0.4), ("stem_lead", 0.15)):
        if rng.random() < share:
            duties.add(duty)
    windows = {day: (time(8), time(21)) for day, share in ((2, 0.4), (5, 0.75), (6, 0.75)) if rng.random() < share} or {
        5: (time(8), time(13))
    }
    away = []
    for _ in range(rng.choice((0, 1, 2))):
        first = FIRST + timedelta(days=rng.randrange(weeks * 7))
        away.append((first, first + timedelta(days=rng.choice((3, 7, 14)))))
    last = FIRST + timedelta(days=rng.randrange(weeks * 7)) if rng.random() < 0.25 else None
    needs: dict[tuple[str, str], tuple[Requirement, ...]] = defaultdict(tuple)
    runs = ((date(2025, 1, 1), last),)
    for duty in duties:
        needs[duty, ""] = (Requirement("conduct", "conduct training", runs),)
    return Person(
        id=10_000 + number,
        name=f"Volunteer {number:04}",
        duties=frozenset(duties),
        home=(41.5 + rng.gauss(0, 0.2), -77.5 + rng.gauss(0, 0.26)),
        known=Availability(
            windows=windows,
            away=away,
            shifts_a_month=rng.choice((1, 2, 2, 3, 4)),
            hours_a_month=rng.choice((6, 8, 12, 20)),
            farthest_km=rng.choice((15, 20, 30, 40, 55)),
        ),
        needs=dict(needs),
        served=frozenset(rng.sample(range(centers), rng.choice((0, 1, 2)))),
        load=rng.choice((0, 0, 1, 2, 4)),
    )
