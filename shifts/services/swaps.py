"""One volunteer hands a shift to another: asked by link, checked like any other, settled at once or by the office."""

from datetime import datetime

from django.db import transaction
from django.db.models import F

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core.refusal import Reason, Refusal
from people.models import User, Volunteer
from shifts.letters.standby_swaps import SWAP_ASK, SWAP_DONE
from shifts.models import AskingRules, Assignment, Reply, Swap
from shifts.services.cover_checks import clinic_reasons, lock_clinic, person_reasons, take_shift
from shifts.services.moving import release
from shifts.services.notes_to_volunteers import note_about_clinic

__all__ = ["answer_swap", "offer_swap", "settle_swap"]


@transaction.atomic
def offer_swap(*, assignment: Assignment, email: str, now: datetime) -> Swap | None:
    """Ask the volunteer with this address to take the shift over. None when nobody has it; the page doesn't say so."""
    clinic = lock_clinic(assignment.shift)
    row = Assignment.objects.locked(assignment.pk)
    reasons = clinic_reasons(clinic, now)
    if not row.live or row.reply != Reply.ACCEPTED:
        reasons.append(Reason("not accepted", "Only a shift that you said yes to can be handed on."))
    if Swap.objects.filter(assignment=row, state=Swap.State.AGREED).exists():
        reasons.append(Reason("agreed", "You have both agreed already: it waits for the office.", "email"))
    if reasons:
        raise Refusal(*reasons)
    # An earlier question makes way without a word: a refusal would tell that its address is a volunteer's.
    earlier = Swap.objects.filter(assignment=row, state=Swap.State.ASKED)
    earlier.update(state=Swap.State.REFUSED, words="somebody else was asked", link_counter=F("link_counter") + 1)
    people = Volunteer.objects.active().select_for_update(no_key=True).exclude(pk=row.volunteer_id)
    other = people.filter(email__iexact=email.strip()).first()
    if other is None:
        return None
    swap = Swap.objects.create(assignment=row, to=other, asked_at=now)
    _note(SWAP_ASK, swap, other, clinic, f"Swap: {row.volunteer} asks {other}", now)
    return swap


@transaction.atomic
def answer_swap(*, swap: Swap, yes: bool, now: datetime) -> Swap:
    """Record the other volunteer's answer: no ends the swap, yes hands over at once or waits for the office."""
    clinic, row = _locked(swap)
    if row.state != Swap.State.ASKED:
        return row
    row.answered_at = now
    if not yes:
        row.state = Swap.State.DECLINED
        row.save()
        _note(SWAP_DONE, row, row.assignment.volunteer, clinic, "Swap declined", now)
        return row
    _check(row, clinic, now)
    row.state = Swap.State.AGREED
    row.save()
    if AskingRules.current().swaps_by_themselves:
        _hand_over(row, clinic, now)
    return row


@transaction.atomic
def settle_swap(*, swap: Swap, agree: bool, by: User, now: datetime) -> Swap:
    """Settle a swap that two volunteers agreed on: hand the shift over, or leave it and tell them."""
    clinic, row = _locked(swap)
    if row.state != Swap.State.AGREED:
        raise Refusal.because("settled", f"This swap is settled: {row.get_state_display()}.")
    if agree:
        _check(row, clinic, now)
        _hand_over(row, clinic, now)
    else:
        row.state, row.words = Swap.State.REFUSED, f"{by.name} keeps it as it was"
        row.save()
        _note(SWAP_DONE, row, row.assignment.volunteer, clinic, "Swap refused", now)
    return row


def _locked(swap: Swap) -> tuple[Clinic, Swap]:
    clinic = lock_clinic(swap.assignment.shift)
    rows = Swap.objects.select_for_update(no_key=True, of=("self",)).select_related(
        "to", "assignment__shift", "assignment__volunteer"
    )
    return clinic, rows.get(pk=swap.pk)


def _check(swap: Swap, clinic: Clinic, now: datetime) -> None:
    held = swap.assignment
    reasons = clinic_reasons(clinic, now)
    if not held.live or held.reply != Reply.ACCEPTED:
        reasons.append(
            Reason("gone", f"{held.volunteer} is no longer on this shift, so there is nothing to take over.")
        )
    reasons += person_reasons(held.shift.duty_id, swap.to, clinic)
    if reasons:
        raise Refusal(*reasons)


def _hand_over(swap: Swap, clinic: Clinic, now: datetime) -> None:
    held = swap.assignment
    release(held, clinic, f"{swap.to} takes it over", now)
    take_shift(held.shift, swap.to, clinic, by=f"{swap.to}, for {held.volunteer}", now=now)
    swap.state = Swap.State.DONE
    swap.save()


def _note(kind: str, swap: Swap, person: Volunteer, clinic: Clinic, summary: str, now: datetime) -> None:
    words = f"{summary}, {clinic_words(clinic)}"
    what = f"swap {swap.pk}:{swap.state}"
    about = [swap, swap.assignment]
    note_about_clinic(kind=kind, what=what, volunteer=person, clinic=clinic, summary=words, now=now, about=about)
