"""What becomes of spots: given up, come free, answered, passed on, moved and cancelled with the clinic."""

from collections.abc import Iterable
from datetime import datetime

from django.conf import settings
from django.db import transaction

from clinics.formatting import clinic_words
from clinics.models import Clinic
from families.letters.families import FAMILY_CANCELLED, FAMILY_MOVED, SPOT_LOST, SPOT_OFFER
from families.models import Guardian, Spot, SpotState
from families.queries.spots import bands_of
from families.rules.spots import age_at, answer_by, band_of
from families.services.notes_to_guardians import note_to_guardian
from families.services.spot_books import fill_free_spots, give_up_spot, lock_clinic, say_yes, unanswered_spots
from outbox.services.writing import drop_waiting
from people.models import User

__all__ = [
    "answer_offer",
    "carry_spots",
    "end_spot",
    "offer_free_spots",
    "pass_on_unanswered",
    "tell_families_cancelled",
]


@transaction.atomic
def end_spot(*, spot: Spot, because: str, now: datetime, by: User | None = None) -> list[Spot]:
    """Give a spot up and offer it to the first who waits, in one transaction; returns the offered spots.

    The guardian is told when the office does it (``by``), and of their own giving up when the clinic stands in their
    calendar, so that it leaves it.
    """
    lock_clinic(spot.clinic)
    # As it stands now: somebody may have ended it, or joined its household with another, while we waited.
    row = Spot.objects.select_related("clinic__center", "guardian").get(pk=spot.pk)
    if row.state == SpotState.GIVEN_UP:
        return []
    drop_waiting(why="The spot was given up.", about=row)
    in_calendar = row.state == SpotState.HELD and row.answer_by is None
    if row.guardian is not None and (by is not None or in_calendar):
        _tell_lost(row, now)
    offered = give_up_spot(spot=row, because=because, now=now)
    _tell_offered(offered, now)
    return offered


@transaction.atomic
def answer_offer(*, spot: Spot, yes: bool, now: datetime) -> Spot:
    """Record the guardian's answer to a spot that came free."""
    if yes:
        row = say_yes(spot=spot)
        drop_waiting(why="The guardian answered.", about=spot, kinds=[SPOT_OFFER])
        return row
    end_spot(spot=spot, because="the guardian said no", now=now)
    spot.refresh_from_db()
    return spot


@transaction.atomic
def offer_free_spots(*, clinic: Clinic, now: datetime) -> list[Spot]:
    """After the age groups changed, end the spots of ages that have no group any more and offer the free ones."""
    clinic = lock_clinic(clinic)
    bands = bands_of(clinic)
    for row in Spot.objects.live().filter(clinic=clinic).select_related("guardian"):
        if band_of(row.age, bands) is None:
            give_up_spot(spot=row, because="no longer the right age", now=now)
            if row.guardian is not None:
                _tell_lost(row, now)
    offered = fill_free_spots(clinic=clinic, now=now)
    _tell_offered(offered, now)
    return offered


def pass_on_unanswered(*, now: datetime) -> int:
    """Pass offers whose time is over on to the next who waits; returns how many. One transaction each."""
    count = 0
    for spot in unanswered_spots(now):
        with transaction.atomic():
            lock_clinic(spot.clinic)
            # Read after the lock: the guardian may have been joined with one known before in that moment.
            Spot.objects.select_for_update(no_key=True).get(pk=spot.pk)
            row = Spot.objects.select_related("clinic__center", "guardian").get(pk=spot.pk)
            # A yes may have come between looking and locking.
            if row.state != SpotState.HELD or row.answer_by is None or row.answer_by > now:
                continue
            if row.guardian is not None:
                _tell_lost(row, now)
            drop_waiting(why="The time to answer has passed.", about=row, kinds=[SPOT_OFFER])
            _tell_offered(give_up_spot(spot=row, because="not answered in time", now=now), now)
            count += 1
    return count


@transaction.atomic
def carry_spots(*, clinic: Clinic, now: datetime) -> list[Spot]:
    """After a clinic moved, count ages anew, end spots of children who no longer fit, and tell every household once.

    A spot that waits for a yes is offered again, since the offer speaks of the old time. Its answer is awaited until
    the day that the offer named, but never past the new start.

    Returns the spots that ended. Must run inside the move's transaction.
    """
    clinic = lock_clinic(clinic)
    bands = bands_of(clinic)
    ended, again = [], []
    told: dict[int, Guardian] = {}
    for row in Spot.objects.live().filter(clinic=clinic).select_related("child", "guardian"):
        age = age_at(row.child.birth_date, clinic.day)
        if age != row.age and age >= 0:
            row.age = age
            row.save(update_fields=["age"])
        if row.guardian is not None:
            told[row.guardian_id or 0] = row.guardian
        if band_of(age, bands) is None:
            give_up_spot(spot=row, because="no longer the right age", now=now)
            if row.guardian is not None:
                _tell_lost(row, now)
            ended.append(row)
        elif row.answer_by is not None:
            row.clinic = clinic
            again.append(_keep_offer(row, now))
    _tell_offered(again, now)
    _tell_each(told.values(), FAMILY_MOVED, "New time", clinic, now)
    _tell_offered(fill_free_spots(clinic=clinic, now=now), now)
    return ended


@transaction.atomic
def tell_families_cancelled(*, clinic: Clinic, now: datetime) -> int:
    """End every live spot of a cancelled clinic and write one note to each household; returns how many households."""
    rows = list(Spot.objects.live().filter(clinic=clinic).select_related("guardian"))
    guardians = {row.guardian_id: row.guardian for row in rows if row.guardian is not None}
    _tell_each(guardians.values(), FAMILY_CANCELLED, "Cancelled, to a family", clinic, now)
    for row in rows:
        row.state, row.given_up_at, row.because, row.answer_by = (
            SpotState.GIVEN_UP,
            max(now, row.asked_at),
            "the clinic was cancelled",
            None,
        )
        row.save()
    return len(guardians)


def _keep_offer(row: Spot, now: datetime) -> Spot:
    assert row.answer_by is not None
    if row.answer_by >= row.clinic.starts_at:
        row.answer_by = answer_by(now, row.clinic.starts_at, settings.SPOT_HOURS)
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


def _tell_offered(offered: list[Spot], now: datetime) -> None:
    for row in offered:
        if row.guardian is None:
            continue
        note_to_guardian(
            kind=SPOT_OFFER,
            what=f"spot {row.pk} link {row.link_counter}",
            guardian=row.guardian,
            summary=f"A spot opened up: {clinic_words(row.clinic)}",
            now=now,
            clinic=row.clinic,
            about=[row],
        )


def _tell_lost(row: Spot, now: datetime) -> None:
    assert row.guardian is not None
    note_to_guardian(
        kind=SPOT_LOST,
        what=f"spot {row.pk}",
        guardian=row.guardian,
        summary=f"Registration ended: {clinic_words(row.clinic)}",
        now=now,
        clinic=row.clinic,
        about=[row],
    )
