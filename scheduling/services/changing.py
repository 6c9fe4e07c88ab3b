"""Moves, shortens and changes clinics, one or the rest of a row; and supposes a change, to show what it would do."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime, timedelta
from operator import attrgetter

from django.db import transaction

from clinics.formatting import clinic_words
from clinics.models import AgeBand, Clinic, Space, Status
from core.formats import short_day
from core.refusal import Reason, Refusal
from families.services.spots import carry_spots, offer_free_spots
from kits.models import Kit, KitBooking
from kits.services.holds import hold_kit, hold_kit_if_free
from people.models import Volunteer
from scheduling.letters.bookings import BOOKING_SHORTER
from scheduling.models import SET_UP, TAKE_DOWN, Answer, Booking
from scheduling.services.bookings import ask_center, refuse_unless_changeable, write_bands
from scheduling.services.clinic_facts import ClinicFacts, check_clinic_facts, facts_of
from scheduling.services.holds import hold_space
from scheduling.services.notes_to_centers import note_to_center
from scheduling.services.series import lock_rest
from shifts.models import Assignment
from shifts.rules.moves import within_hold
from shifts.services.moving import asks_again, carry_people, hours_of
from shifts.services.shifts import fit_shifts

__all__ = ["change_clinic", "change_rest", "supposing"]


@transaction.atomic
def change_clinic(*, clinic: Clinic, facts: ClinicFacts, now: datetime, kit_if_free: bool = False) -> Clinic:
    """Change a clinic that is still to come: 1 lock, 2 check, 3 move hold and kit, 4 carry people and families.

    The center is asked anew for another time or space, unless the new hours lie inside the hold that it agreed to: then
    it is told that we need less. People are asked anew at another center, on another day, or when an end moves by more
    than MOVE_TOLERANCE_MINUTES outside the old hours; otherwise people who said yes stay and are told. Families are
    told of every new time. A change of bands or theme alone keeps all answers. With ``kit_if_free`` a kit that is not
    free then stays behind; without it such a kit refuses the change.
    """
    clinic = Clinic.objects.locked(clinic.pk)
    refuse_unless_changeable(clinic, now)
    Space.objects.select_for_update(no_key=True).get(pk=facts.space.pk)
    booking = Booking.objects.live().filter(clinic=clinic).first()
    start, end = check_clinic_facts(facts, now, booking)
    before, same_center = hours_of(clinic), clinic.center_id == facts.center.pk
    moved = (clinic.starts_at, clinic.ends_at) != (start, end) or not same_center
    same_space = booking is not None and booking.space_id == facts.space.pk
    covered = booking is not None and within_hold(
        (booking.period.lower, booking.period.upper),
        (start - SET_UP, end + TAKE_DOWN),
        agreed=booking.status == Status.CONFIRMED,
        same_space=same_space,
    )
    clinic.center, clinic.starts_at, clinic.ends_at = facts.center, start, end
    clinic.theme, clinic.ratio_table = facts.theme, facts.ratio_table
    clinic.offer_next, clinic.funder_table = facts.offer_next, facts.funder_table
    if (moved or not same_space) and not covered:
        clinic.status = Status.TENTATIVE
    if moved:
        # Another space in the same center at the same hour changes nothing for the people who come.
        clinic.revision += 1
    clinic.save()
    AgeBand.objects.filter(clinic=clinic).delete()
    write_bands(clinic, facts.bands)
    fit_shifts(clinic)
    (hold_kit_if_free if kit_if_free else hold_kit)(clinic, facts.kit)
    if moved and covered:
        assert booking is not None
        held = hold_space(clinic, facts.space, now, booking, answer=Answer.AGREED)
        note_to_center(
            kind=BOOKING_SHORTER,
            booking=held,
            summary=f"Shorter booking of {held.space.name}: {clinic_words(clinic)}",
            now=now,
        )
    elif moved or not same_space:
        ask_center(hold_space(clinic, facts.space, now, booking), now)
    if moved:
        carry_people(clinic, now, ask=asks_again(before, clinic, same_center=same_center))
        carry_spots(clinic=clinic, now=now)
    else:
        offer_free_spots(clinic=clinic, now=now)
    return clinic


@transaction.atomic
def change_rest(*, clinic: Clinic, facts: ClinicFacts, now: datetime) -> list[Clinic]:
    """Change this clinic, and move the later ones of its row by the same difference on the wall clock: all or none.

    When this clinic takes a new space, the later ones take it too. When it keeps its space, each of them keeps its own;
    one that holds no floor, because its center said no or the hold ran out, takes this one. They keep their theme, ages
    and kit; a kit that is not free stays behind. When days move later, the last clinic moves first, so that the row
    never stands in its own way. Raises Refusal with every day that can't be.
    """
    rows = lock_rest(clinic, now)
    row = Clinic.objects.select_related("center").get(pk=clinic.pk)
    refuse_unless_changeable(row, now)
    _lock_what_they_use(rows, facts)
    old = hours_of(row)
    first = datetime.combine(facts.day, facts.starts) - old.start
    last = datetime.combine(facts.day, facts.ends) - old.end
    rest = sorted((other for other in rows if other.pk != row.pk), key=attrgetter("starts_at", "pk"))
    spaces = dict(Booking.objects.live().filter(clinic__in=rows).values_list("clinic", "space"))
    same_space = spaces.get(row.pk) == facts.space.pk
    wanted: list[tuple[Clinic, ClinicFacts]] = [(row, facts)]
    for other in rest:
        hours = hours_of(other)
        start, end = hours.start + first, hours.end + last
        its = replace(facts_of(other, otherwise=facts.space), day=start.date(), starts=start.time(), ends=end.time())
        if not (same_space and other.pk in spaces):
            its = replace(its, center=facts.center, space=facts.space)
        wanted.append((other, its))
    if first > timedelta(0):
        wanted.reverse()
    reasons: list[Reason] = []
    changed = []
    for one, its in wanted:
        try:
            with transaction.atomic():
                changed.append(change_clinic(clinic=one, facts=its, now=now, kit_if_free=one.pk != row.pk))
        except Refusal as refusal:
            # Nothing of this stays. Its hold is put away so that the next one isn't told of a clash with a clinic that
            # would have moved too.
            Booking.objects.live().filter(clinic=one).update(status=Status.CANCELLED)
            KitBooking.objects.filter(clinic=one).update(status=Status.CANCELLED)
            reasons += [
                Reason(
                    reason.code,
                    f"{short_day(its.day)}: {reason.text}" if one.pk != row.pk else reason.text,
                    reason.field,
                )
                for reason in refusal.reasons
            ]
    if reasons:
        raise Refusal(*reasons)
    return sorted(changed, key=lambda one: one.starts_at)


def _lock_what_they_use(rows: list[Clinic], facts: ClinicFacts) -> None:
    """Every space, kit and person of a row at once, each kind by number: the order of everybody, for many clinics."""
    spaces = Booking.objects.live().filter(clinic__in=rows).values_list("space", flat=True)
    list(Space.objects.select_for_update(no_key=True).filter(pk__in={facts.space.pk, *spaces}).order_by("pk"))
    kits = set(
        KitBooking.objects.exclude(status=Status.CANCELLED).filter(clinic__in=rows).values_list("kit", flat=True)
    )
    if facts.kit is not None:
        kits.add(facts.kit.pk)
    list(Kit.objects.select_for_update(no_key=True).filter(pk__in=kits).order_by("pk"))
    people = set(Assignment.objects.live().filter(shift__clinic__in=rows).values_list("volunteer", flat=True))
    list(Volunteer.objects.select_for_update(no_key=True).filter(pk__in=people).order_by("pk"))


@contextmanager
def supposing() -> Iterator[None]:
    """Take back whatever is written inside the block, so that a preview runs the same code as the change."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)
