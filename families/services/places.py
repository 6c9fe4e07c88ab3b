"""What becomes of places: given up, come free, answered, passed on, moved and cancelled with the clinic."""

from collections.abc import Iterable
from datetime import datetime

from django.conf import settings
from django.db import transaction

from clinics.formatting import clinic_words
from clinics.models import Clinic
from families.letters.families import FAMILY_CANCELLED, FAMILY_MOVED, PLACE_LOST, PLACE_OFFER
from families.models import Guardian, Place, PlaceState
from families.queries.places import bands_of
from families.rules.places import age_at, answer_by, band_of
from families.services.notes_to_guardians import note_to_guardian
from families.services.place_books import fill_free_places, give_up_place, lock_clinic, say_yes, unanswered_places
from outbox.services.writing import drop_waiting
from people.models import User

__all__ = [
    "answer_offer",
    "carry_places",
    "end_place",
    "offer_free_places",
    "pass_on_unanswered",
    "tell_families_cancelled",
]


@transaction.atomic
def end_place(*, place: Place, because: str, now: datetime, by: User | None = None) -> list[Place]:
    """Give a place up and offer it to the first who waits, in one transaction; returns the offered places.

    The guardian is told when the office does it (``by``), and of their own giving up when the clinic stands in their
    calendar, so that it leaves it.
    """
    lock_clinic(place.clinic)
    # As it stands now: somebody may have ended it, or joined its household with another, while we waited.
    row = Place.objects.select_related("clinic__center", "guardian").get(pk=place.pk)
    if row.state == PlaceState.GIVEN_UP:
        return []
    drop_waiting(why="The spot was given up.", about=row)
    in_calendar = row.state == PlaceState.HELD and row.answer_by is None
    if row.guardian is not None and (by is not None or in_calendar):
        _tell_lost(row, now)
    offered = give_up_place(place=row, because=because, now=now)
    _tell_offered(offered, now)
    return offered


@transaction.atomic
def answer_offer(*, place: Place, yes: bool, now: datetime) -> Place:
    """Record the guardian's answer to a place that came free."""
    if yes:
        row = say_yes(place=place)
        drop_waiting(why="The guardian answered.", about=place, kinds=[PLACE_OFFER])
        return row
    end_place(place=place, because="the guardian said no", now=now)
    place.refresh_from_db()
    return place


@transaction.atomic
def offer_free_places(*, clinic: Clinic, now: datetime) -> list[Place]:
    """After the age groups changed, end the places of ages that have no group any more and offer the free ones."""
    clinic = lock_clinic(clinic)
    bands = bands_of(clinic)
    for row in Place.objects.live().filter(clinic=clinic).select_related("guardian"):
        if band_of(row.age, bands) is None:
            give_up_place(place=row, because="no longer the right age", now=now)
            if row.guardian is not None:
                _tell_lost(row, now)
    offered = fill_free_places(clinic=clinic, now=now)
    _tell_offered(offered, now)
    return offered


def pass_on_unanswered(*, now: datetime) -> int:
    """Pass offers whose time is over on to the next who waits; returns how many. One transaction each."""
    count = 0
    for place in unanswered_places(now):
        with transaction.atomic():
            lock_clinic(place.clinic)
            # Read after the lock: the guardian may have been joined with one known before in that moment.
            Place.objects.select_for_update(no_key=True).get(pk=place.pk)
            row = Place.objects.select_related("clinic__center", "guardian").get(pk=place.pk)
            # A yes may have come between looking and locking.
            if row.state != PlaceState.HELD or row.answer_by is None or row.answer_by > now:
                continue
            if row.guardian is not None:
                _tell_lost(row, now)
            drop_waiting(why="The time to answer has passed.", about=row, kinds=[PLACE_OFFER])
            _tell_offered(give_up_place(place=row, because="not answered in time", now=now), now)
            count += 1
    return count


@transaction.atomic
def carry_places(*, clinic: Clinic, now: datetime) -> list[Place]:
    """After a clinic moved, count ages anew, end places of children who no longer fit, and tell every household once.

    A place that waits for a yes is offered again, since the offer speaks of the old time. Its answer is awaited until
    the day that the offer named, but never past the new start.

    Returns the places that ended. Must run inside the move's transaction.
    """
    clinic = lock_clinic(clinic)
    bands = bands_of(clinic)
    ended, again = [], []
    told: dict[int, Guardian] = {}
    for row in Place.objects.live().filter(clinic=clinic).select_related("child", "guardian"):
        age = age_at(row.child.birth_date, clinic.day)
        if age != row.age and age >= 0:
            row.age = age
            row.save(update_fields=["age"])
        if row.guardian is not None:
            told[row.guardian_id or 0] = row.guardian
        if band_of(age, bands) is None:
            give_up_place(place=row, because="no longer the right age", now=now)
            if row.guardian is not None:
                _tell_lost(row, now)
            ended.append(row)
        elif row.answer_by is not None:
            row.clinic = clinic
            again.append(_keep_offer(row, now))
    _tell_offered(again, now)
    _tell_each(told.values(), FAMILY_MOVED, "New time", clinic, now)
    _tell_offered(fill_free_places(clinic=clinic, now=now), now)
    return ended


@transaction.atomic
def tell_families_cancelled(*, clinic: Clinic, now: datetime) -> int:
    """End every live place of a cancelled clinic and write one note to each household; returns how many households."""
    rows = list(Place.objects.live().filter(clinic=clinic).select_related("guardian"))
    guardians = {row.guardian_id: row.guardian for row in rows if row.guardian is not None}
    _tell_each(guardians.values(), FAMILY_CANCELLED, "Cancelled, to a family", clinic, now)
    for row in rows:
        row.state, row.given_up_at, row.because, row.answer_by = (
            PlaceState.GIVEN_UP,
            max(now, row.asked_at),
            "the clinic was cancelled",
            None,
        )
        row.save()
    return len(guardians)


def _keep_offer(row: Place, now: datetime) -> Place:
    assert row.answer_by is not None
    if row.answer_by >= row.clinic.starts_at:
        row.answer_by = answer_by(now, row.clinic.starts_at, settings.PLACE_HOURS)
        row.save(update_fields=["answer_by"])
    return row


def _tell_each(guardians: Iterable[Guardian], kind: str, words: str, clinic: Clinic, now: datetime) -> None:
    """One note of the clinic to each household."""
    for guardian in guardians:
        note_to_guardian(
            kind=kind,
            what=f"clinic {clinic.pk}",
            guardian=guardian,
            summary=f"{words}: {clinic_words(clinic)}",
            now=now,
            clinic=clinic,
        )


def _tell_offered(offered: list[Place], now: datetime) -> None:
    for row in offered:
        if row.guardian is None:
            continue
        note_to_guardian(
            kind=PLACE_OFFER,
            what=f"place {row.pk} link {row.link_counter}",
            guardian=row.guardian,
            summary=f"A spot opened up: {clinic_words(row.clinic)}",
            now=now,
            clinic=row.clinic,
            about=[row],
        )


def _tell_lost(row: Place, now: datetime) -> None:
    assert row.guardian is not None
    note_to_guardian(
        kind=PLACE_LOST,
        what=f"place {row.pk}",
        guardian=row.guardian,
        summary=f"Registration ended: {clinic_words(row.clinic)}",
        now=now,
        clinic=row.clinic,
        about=[row],
    )
