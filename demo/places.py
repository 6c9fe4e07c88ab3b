"""Writes the demo's places at one clinic together: one by one they would take a third of all the time of filling it."""

from collections import Counter
from collections.abc import Sequence
from datetime import datetime

from clinics.formatting import clinic_words
from clinics.models import Clinic
from families.letters.families import PLACES
from families.models import Child, Guardianship, Place, PlaceState
from families.queries.places import bands_of
from families.rules.places import age_at, band_of, free_places
from outbox.models import Note
from outbox.services.writing import new_note

__all__ = ["give_places"]


def give_places(*, clinic: Clinic, children: Sequence[Child], now: datetime) -> None:
    """Give children places by the office at a clinic that has none yet, as ``give_place`` does one by one."""
    bands, held = bands_of(clinic), Counter[int]()
    links = Guardianship.objects.filter(child__in=children).select_related("guardian").order_by("-pk")
    first = {link.child_id: link.guardian for link in links}
    rows = []
    for child in children:
        age = age_at(child.birth_date, clinic.day)
        band = band_of(age, bands)
        if band is None:
            continue
        free = free_places(bands, held)[band] > 0
        held[age] += free
        state = PlaceState.HELD if free else PlaceState.WAITING
        rows.append(Place(clinic=clinic, child=child, guardian=first[child.pk], state=state, age=age, asked_at=now))
    Place.objects.bulk_create(rows)
    summary = f"Spot given by our office: {clinic_words(clinic)}"
    notes = []
    for place in rows:
        to = place.guardian
        if to is None or not to.email:
            continue
        key = f"{PLACES}:guardian {to.pk}:places {place.pk}:r{clinic.revision}"
        notes.append(
            new_note(
                key=key, kind=PLACES, to_name=to.name, to_email=to.email, language=to.language,
                summary=summary, due_at=now, about=[to, clinic], revision=clinic.revision,
            )
        )  # fmt: skip
    Note.objects.bulk_create(notes)
