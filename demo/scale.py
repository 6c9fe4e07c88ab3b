"""Fills a database for measuring: as many volunteers and clinics as asked for, the same for the same seed."""

import random
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pgtrigger
from django.db import connection, transaction

from clinics.models import AgeBand, Center, Clinic, Space, Status
from clinics.rules.cover_needs import duties_needed
from clinics.rules.supervision import RATIO_TABLES
from demo.scale_children import load_children
from people.models import Clearance, ClearanceKind, Volunteer, duties
from people.services.policy import ensure_starter_policy
from scheduling.models import SET_UP, TAKE_DOWN, Answer, Booking
from shifts.models import Assignment, Reply, Shift
from shifts.queries.eligibility import assignment_period

__all__ = ["load_scale"]

TABLE = "aca_day_camp"
ZONE = ZoneInfo("America/New_York")
STARTS = (time(9), time(13), time(16))
BATCH = 2000


# Rows made for measuring need no history, and the history's triggers would take most of the time.
@pgtrigger.ignore()
@transaction.atomic
def load_scale(*, volunteers: int, clinics: int, children: int, seed: int, now: datetime) -> dict[str, int]:
    """Write the rows and return how many of each. Each child has a guardian and, while the clinics have any, a spot.

    Clinics lie from 180 days before ``now`` to 180 after. Raises ValueError for a number below zero.
    """
    if min(volunteers, clinics, children) < 0:
        raise ValueError("Give numbers of zero or more.")
    rng = random.Random(seed)
    today = now.astimezone(ZONE).date()
    ensure_starter_policy()
    people = _volunteers(volunteers, rng, today)
    spaces = _spaces(max(1, clinics // 25) if clinics else 0, rng)
    made = _clinics(clinics, children, spaces, rng, today)
    shifts = _shifts(made)
    rows = _assignments(shifts, people, rng, now)
    families = load_children(count=children, clinics=made, rng=rng, today=today, now=now) if children else {}
    with connection.cursor() as cursor:
        # A database that grew over months has its statistics; one filled this minute has none yet.
        cursor.execute("ANALYZE")
    return {
        "volunteers": len(people),
        "centers": len(spaces),
        "clinics": len(made),
        "shifts": len(shifts),
        "assignments": rows,
        **families,
    }


def _volunteers(count: int, rng: random.Random, today: date) -> list[Volunteer]:
    first = Volunteer.objects.count()
    people = Volunteer.objects.bulk_create(
        (
            Volunteer(
                name=f"Volunteer {first + number:05}",
                email=f"scale{first + number}@example.org",
                duties=sorted({"coach", *rng.sample(["lead", "door", "first_aider", "stem_lead"], 2)}),
                home_area="Larkmoor",
                latitude=41.5 + rng.uniform(-0.4, 0.4),
                longitude=-77.5 + rng.uniform(-0.4, 0.4),
            )
            for number in range(count)
        ),
        batch_size=BATCH,
    )
    kinds = list(ClearanceKind.objects.all())
    Clearance.objects.bulk_create(
        (
            Clearance(volunteer=person, kind=kind, issued_on=today - timedelta(days=rng.randrange(10, 330)))
            for person in people
            for kind in kinds
            if rng.random() < 0.97
        ),
        batch_size=BATCH,
    )
    return people


def _spaces(count: int, rng: random.Random) -> list[Space]:
    first = Center.objects.count()
    centers = Center.objects.bulk_create(
        Center(
            name=f"Center {first + number:04}",
            time_zone=ZONE.key,
            address="Larkmoor",
            latitude=41.5 + rng.uniform(-0.4, 0.4),
            longitude=-77.5 + rng.uniform(-0.4, 0.4),
            contact_name="The front desk",
            contact_email=f"desk{first + number}@example.org",
            defibrillator="Front desk",
            first_aid_kit="Kitchen",
            hospital="Larkmoor General",
            assembly_point="Parking lot",
            plan_seen_on=date(2026, 9, 1),
        )
        for number in range(count)
    )
    return Space.objects.bulk_create(Space(center=c, name="Main floor", hoops=4, capacity=120) for c in centers)


def _clinics(count: int, children: int, spaces: list[Space], rng: random.Random, today: date) -> list[Clinic]:
    slots = [(space, day, at) for space in spaces for day in range(-180, 181) for at in STARTS]
    chosen = rng.sample(slots, min(count, len(slots)))
    rows, booked_spaces = [], []
    for space, day, at in chosen:
        start = datetime.combine(today + timedelta(days=day), at, ZONE)
        rows.append(
            Clinic(
                center=space.center,
                starts_at=start,
                ends_at=start + timedelta(hours=2),
                status=Status.CONFIRMED,
                theme=rng.choice(["", "Paper bridges", "Simple circuits"]),
                ratio_table=TABLE,
            )
        )
        booked_spaces.append(space)
    made = Clinic.objects.bulk_create(rows, batch_size=BATCH)
    each = max(8, min(40, children // max(1, len(made)))) if children else 0
    AgeBand.objects.bulk_create(
        (AgeBand(clinic=clinic, youngest=7, oldest=11, children=each or rng.randrange(12, 33)) for clinic in made),
        batch_size=BATCH,
    )
    Booking.objects.bulk_create(
        (
            Booking(
                clinic=clinic,
                space=space,
                period=(clinic.starts_at - SET_UP, clinic.ends_at + TAKE_DOWN),
                status=Status.CONFIRMED,
                answer=Answer.AGREED,
                asked_at=clinic.starts_at - timedelta(days=40),
                answered_at=clinic.starts_at - timedelta(days=38),
            )
            for clinic, space in zip(made, booked_spaces, strict=True)
        ),
        batch_size=BATCH,
    )
    return made


def _shifts(clinics: list[Clinic]) -> list[Shift]:
    bands = {band.clinic_id: band for band in AgeBand.objects.filter(clinic__in=[c.pk for c in clinics])}
    table = RATIO_TABLES[TABLE]

    def wanted() -> Iterator[Shift]:
        for clinic in clinics:
            band = bands[clinic.pk]
            duties = duties_needed([(band.youngest, band.oldest, band.children)], table, bool(clinic.theme))
            for position, duty in enumerate(duties, start=1):
                yield Shift(clinic=clinic, duty_id=duty, position=position)

    return Shift.objects.bulk_create(wanted(), batch_size=BATCH)


def _assignments(shifts: list[Shift], people: list[Volunteer], rng: random.Random, now: datetime) -> int:
    """Four in five shifts get somebody who holds the duty and has no other clinic that day."""
    able: dict[str, list[Volunteer]] = {duty: [p for p in people if duty in p.duties] for duty in duties().codes}
    out: set[tuple[int, date]] = set()
    rows = []
    for shift in shifts:
        pool = able[shift.duty_id]
        if not pool or rng.random() > 0.8:
            continue
        day = shift.clinic.starts_at.date()
        person = next((p for p in rng.choices(pool, k=6) if (p.pk, day) not in out), None)
        if person is None:
            continue
        out.add((person.pk, day))
        accepted = rng.random() < 0.85
        asked_at = min(now, shift.clinic.starts_at - timedelta(days=20))
        rows.append(
            Assignment(
                shift=shift,
                volunteer=person,
                period=assignment_period(shift.clinic),
                reply=Reply.ACCEPTED if accepted else Reply.NEEDS_ACTION,
                asked_at=asked_at,
                replied_at=asked_at + timedelta(hours=5) if accepted else None,
            )
        )
    Assignment.objects.bulk_create(rows, batch_size=BATCH)
    return len(rows)
