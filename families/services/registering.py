"""A household asks for spots: the public form once, and the family's own page afterwards."""

import uuid
from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core.acting import typed_by
from core.refusal import Reason, Refusal
from families.letters.families import SPOTS
from families.models import Child, Guardian, Registration, Spot
from families.queries.spots import bands_of
from families.rules.spots import age_at, band_of, no_band
from families.services.households import ChildFacts, HouseholdFacts, write_household
from families.services.notes_to_guardians import note_to_guardian
from families.services.spot_books import age_words, lock_clinic, take_spot

__all__ = ["Registered", "ask_spots", "refuse_ages", "register"]


@dataclass(frozen=True)
class Registered:
    registration: Registration
    spots: list[Spot]
    again: bool = False  # the same sending came a second time


def register(*, clinic: Clinic, facts: HouseholdFacts, once: uuid.UUID, now: datetime) -> Registered:
    """Write the household and take its spots, all or nothing; the same ``once`` again gives the same answer.

    1 lock the clinic, 2 check every child's age, 3 write the household with signatures, 4 take a spot for each child,
    5 write one note.

    Raises Refusal with a reason beside each child whose age does not fit (field ``children-<n>-birth_date``).
    """
    try:
        with transaction.atomic():
            clinic = lock_clinic(clinic)
            # Looked up under the lock: a second press waits here until the first is written.
            before = Registration.objects.filter(once=once).first()
            if before is not None:
                return _as_before(before)
            refuse_ages(clinic, facts.children)
            guardian, children = write_household(facts=facts, today=now.astimezone(clinic.center.tz).date(), now=now)
            typed_by(guardian)
            registration = Registration.objects.create(once=once, clinic=clinic, guardian=guardian, sent_at=now)
            spots = ask_spots(clinic=clinic, guardian=guardian, children=children, now=now)
            return Registered(registration, spots)
    except IntegrityError:
        # The same page was sent for two clinics at once: the first one counts.
        before = Registration.objects.filter(once=once).first()
        if before is None:
            raise
        return _as_before(before)


@transaction.atomic
def ask_spots(*, clinic: Clinic, guardian: Guardian, children: list[Child], now: datetime) -> list[Spot]:
    """Ask for a spot for each child, held or waiting, and write one note to the guardian that says which."""
    spots = [take_spot(clinic=clinic, child=child, guardian=guardian, now=now) for child in children]
    numbers = ", ".join(str(spot.pk) for spot in spots)
    note_to_guardian(
        kind=SPOTS,
        what=f"spots {numbers}",
        guardian=guardian,
        summary=f"Registration: {clinic_words(clinic)}",
        now=now,
        clinic=clinic,
    )
    return spots


def refuse_ages(clinic: Clinic, children: list[ChildFacts]) -> None:
    """Raise Refusal that names each child whose age has no band at this clinic; reads ``bands``."""
    bands = bands_of(clinic)
    if not bands:
        raise Refusal.because("not open", _("This clinic has no spots for children yet."))
    reasons = []
    for place, one in enumerate(children):
        age = age_at(one.birth_date, clinic.day)
        if band_of(age, bands) is None:
            why = no_band(age, bands)
            reasons.append(Reason(why.code, age_words(why, age), f"children-{place}-birth_date"))
    if reasons:
        raise Refusal(*reasons)


def _as_before(registration: Registration) -> Registered:
    return Registered(registration, list(Spot.objects.asked_in(registration).live()), again=True)
