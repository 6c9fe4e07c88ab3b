"""Households for measuring: children, guardians, waivers and spots in bulk, the same for the same seed."""

import random
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from itertools import islice

from clinics.models import AgeBand, Clinic
from families.models import Child, Guardian, Guardianship, PhotoAnswer, Spot, SpotState, Waiver, WaiverText
from people.rules.ages import age_on

__all__ = ["load_children"]

BATCH = 5000
FIRST = ("Wren", "Osric", "Kasia", "Nico", "Zuri", "Tamsin", "Amos", "Paloma", "Cyrus", "Briony", "Silas", "Linnet")
FAMILY = ("Ashlock", "Brindlemoor", "Fennimore", "Montesol", "Pellwater", "Quarrier", "Roake", "Umberfield", "Vesper")


def load_children(
    *, count: int, clinics: list[Clinic], rng: random.Random, today: date, now: datetime
) -> dict[str, int]:
    """Write ``count`` children; returns how many children and spots there are.

    Each has a guardian, nine in ten a signed waiver, and a spot while the clinics have any. None has care notes.
    """
    text = _text(now)
    spots = 0
    seats = _seats(clinics)
    first = Child.objects.count()
    for start in range(0, count, BATCH):
        size = min(BATCH, count - start)
        children = Child.objects.bulk_create(
            Child(
                name=f"{rng.choice(FIRST)} {rng.choice(FAMILY)} {first + start + number}",
                birth_date=today - timedelta(days=rng.randrange(8 * 366, 11 * 365)),
                registered_at=now,
            )
            for number in range(size)
        )
        guardians = Guardian.objects.bulk_create(
            Guardian(
                name=f"Guardian {first + start + number:06}",
                email=f"guardian{first + start + number}@example.org",
                language="es" if rng.random() < 0.2 else "en",
                registered_at=now,
                confirmed_at=now,
            )
            for number in range(size)
        )
        Guardianship.objects.bulk_create(
            Guardianship(guardian=g, child=c, emergency_name="Aunt Sorrel", emergency_phone="555-0123")
            for c, g in zip(children, guardians, strict=True)
        )
        Waiver.objects.bulk_create(_waivers(children, guardians, text, rng, today, now))
        PhotoAnswer.objects.bulk_create(
            PhotoAnswer(child=c, guardian=g, allowed=rng.random() < 0.9, answered_at=now)
            for c, g in zip(children, guardians, strict=True)
        )
        spots += len(Spot.objects.bulk_create(_spots(children, guardians, seats)))
    return {"children": count, "spots": spots}


def _waivers(
    children: list[Child],
    guardians: list[Guardian],
    text: WaiverText,
    rng: random.Random,
    today: date,
    now: datetime,
) -> Iterator[Waiver]:
    digest = text.hash
    for child, guardian in zip(children, guardians, strict=True):
        if rng.random() < 0.1:
            continue
        signed = today - timedelta(days=rng.randrange(0, 400))
        yield Waiver(
            child=child, guardian=guardian, text=text, text_hash=digest, typed_name=guardian.name, signed_at=now,
            signed_on=signed, until=signed + timedelta(days=365), came_from="192.0.2.20",
        )  # fmt: skip


def _seats(clinics: list[Clinic]) -> Iterator[Clinic]:
    """Each clinic as often as it has spots."""
    bands = dict(AgeBand.objects.filter(clinic__in=[c.pk for c in clinics]).values_list("clinic_id", "children"))
    for clinic in clinics:
        for _ in range(bands.get(clinic.pk, 0)):
            yield clinic


def _spots(children: list[Child], guardians: list[Guardian], seats: Iterator[Clinic]) -> Iterator[Spot]:
    pairs = list(zip(children, guardians, strict=True))
    for (child, guardian), clinic in zip(pairs, list(islice(seats, len(pairs))), strict=False):
        yield Spot(
            clinic=clinic, child=child, guardian=guardian, state=SpotState.HELD,
            age=age_on(child.birth_date, clinic.starts_at.date()), asked_at=clinic.starts_at - timedelta(days=20),
        )  # fmt: skip


def _text(now: datetime) -> WaiverText:
    found = WaiverText.objects.published().order_by("-version").first()
    if found is not None:
        return found
    top = WaiverText.objects.order_by("-version").values_list("version", flat=True).first() or 0
    return WaiverText.objects.create(
        version=top + 1, language="en", title="Taking part", body="We take part.", placeholder=True, published_at=now
    )
