"""Giving children spots, and passing on those that come free. Every change locks the clinic's row first.

The lock is what keeps fifty families from holding five spots: nobody counts or writes spots of a clinic without it.
"""

from collections import Counter
from datetime import datetime

from django.conf import settings
from django.db import IntegrityError, transaction
from django.db.models import prefetch_related_objects
from django.utils.translation import gettext as _

from clinics.models import Clinic, Status
from core.refusal import Refusal
from families.models import Child, Guardian, Spot, SpotState
from families.queries.spots import bands_of
from families.rules.spots import NoBand, age_at, answer_by, band_of, free_spots, no_band

__all__ = [
    "age_words",
    "fill_free_spots",
    "give_up_spot",
    "lock_clinic",
    "say_yes",
    "take_spot",
    "unanswered_spots",
]


def lock_clinic(clinic: Clinic) -> Clinic:
    """Lock the clinic's row until the transaction ends, and return it with its bands."""
    row = Clinic.objects.locked(clinic.pk)
    prefetch_related_objects([row], "bands")
    return row


@transaction.atomic
def take_spot(
    *, clinic: Clinic, child: Child, guardian: Guardian | None, now: datetime, by_office: bool = False
) -> Spot:
    """Give the child a spot, held or waiting; a child who has one already keeps that.

    Raises Refusal: "not open" (cancelled, not confirmed, closed to families), "too late", and by age "too young",
    "too old" or "between". The office may give spots where families can't register yet.
    """
    clinic = lock_clinic(clinic)
    _refuse_unless_open(clinic, now, by_office)
    known = Spot.objects.live().filter(clinic=clinic, child=child).first()
    if known is not None:
        return known
    bands = bands_of(clinic)
    age = age_at(child.birth_date, clinic.day)
    band = band_of(age, bands)
    if band is None:
        if not bands:
            raise Refusal.because("not open", _("This clinic has no spots for children yet."))
        why = no_band(age, bands)
        raise Refusal.because(why.code, age_words(why, age))
    free = free_spots(bands, _held_ages(clinic))[band]
    # Whoever waits in this band came first, so a spot that is free this moment is theirs.
    waits = Spot.objects.waiting().filter(clinic=clinic, age__gte=band.youngest, age__lte=band.oldest).exists()
    state = SpotState.HELD if free > 0 and not waits else SpotState.WAITING
    # A child of whom the notes had gone comes again, and is kept as any other from now on.
    Child.objects.filter(pk=child.pk, redacted_at__isnull=False).update(redacted_at=None)
    try:
        with transaction.atomic():
            return Spot.objects.create(
                clinic=clinic, child=child, guardian=guardian, state=state, age=age, asked_at=now
            )
    except IntegrityError:
        # Written by something that did not take the lock; the constraint held, so the child has a spot.
        return Spot.objects.live().get(clinic=clinic, child=child)


@transaction.atomic
def give_up_spot(*, spot: Spot, because: str, now: datetime) -> list[Spot]:
    """End a spot; returns the spots that were offered to children who waited. Ending it again changes nothing."""
    clinic = lock_clinic(spot.clinic)
    row = Spot.objects.select_for_update(no_key=True).get(pk=spot.pk)
    if row.state == SpotState.GIVEN_UP:
        return []
    row.state, row.given_up_at, row.because, row.answer_by = SpotState.GIVEN_UP, max(now, row.asked_at), because, None
    row.link_counter += 1
    row.save()
    return fill_free_spots(clinic=clinic, now=now)


@transaction.atomic
def fill_free_spots(*, clinic: Clinic, now: datetime) -> list[Spot]:
    """Offer free spots to children who wait, first come first; returns the spots that were offered just now."""
    clinic = lock_clinic(clinic)
    if clinic.status == Status.CANCELLED or clinic.starts_at <= now:
        return []
    offered: list[Spot] = []
    bands = bands_of(clinic)
    for band, free in free_spots(bands, _held_ages(clinic)).items():
        waiting = Spot.objects.waiting().filter(clinic=clinic, age__gte=band.youngest, age__lte=band.oldest)
        for row in waiting.select_for_update(no_key=True)[:free]:
            row.state = SpotState.HELD
            row.answer_by = answer_by(now, clinic.starts_at, settings.SPOT_HOURS)
            row.link_counter += 1
            row.save()
            row.clinic = clinic
            offered.append(row)
    return offered


@transaction.atomic
def say_yes(*, spot: Spot) -> Spot:
    """Take a spot that came free. Saying yes again changes nothing.

    Raises Refusal "gone" when the time was over and the spot is another child's, "cancelled" when the clinic is.
    """
    if lock_clinic(spot.clinic).status == Status.CANCELLED:
        raise Refusal.because("cancelled", _("This clinic is cancelled."))
    row = Spot.objects.select_for_update(no_key=True, of=("self",)).select_related("clinic__center").get(pk=spot.pk)
    if row.state != SpotState.HELD:
        raise Refusal.because("gone", _("The time to answer has passed, and the spot went to another child."))
    # A yes that comes late and before anybody has passed the spot on still counts.
    row.answer_by = None
    row.save()
    return row


def unanswered_spots(now: datetime) -> list[Spot]:
    """List offered spots whose time to answer has run out."""
    rows = Spot.objects.held().filter(answer_by__lte=now, clinic__starts_at__gt=now)
    return list(rows.exclude(clinic__status=Status.CANCELLED).select_related("clinic__center", "guardian"))


def age_words(why: NoBand, age: int) -> str:
    """Tell a guardian why a child of ``age`` on the clinic's day has no spot there."""
    if age < 0:
        return _("That date is in the future. Check the date of birth.")
    facts = {"least": why.least, "most": why.most, "age": age}
    if why.code == "between":
        words = _(
            "This clinic is for ages %(least)s to %(most)s, with a gap between its age groups. "
            "The child will be %(age)s that day."
        )
    elif why.least == why.most:
        words = _("This clinic is for age %(least)s. The child will be %(age)s that day.")
    else:
        words = _("This clinic is for ages %(least)s to %(most)s. The child will be %(age)s that day.")
    return words % facts


def _held_ages(clinic: Clinic) -> Counter[int]:
    return Counter(Spot.objects.held().filter(clinic=clinic).values_list("age", flat=True))


def _refuse_unless_open(clinic: Clinic, now: datetime, by_office: bool) -> None:
    if clinic.status == Status.CANCELLED:
        raise Refusal.because("not open", _("This clinic is cancelled."))
    if clinic.ends_at <= now or (clinic.starts_at <= now and not by_office):
        raise Refusal.because("too late", _("This clinic has started, so registration is closed."))
    if not by_office and (clinic.status != Status.CONFIRMED or not clinic.takes_families):
        raise Refusal.because("not open", _("This clinic isn’t open for registration."))
