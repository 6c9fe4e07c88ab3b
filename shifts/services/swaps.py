"""One volunteer hands a shift to another: asked by link, checked like any other, settled at once or by the office."""

from datetime import datetime

from django.db import transaction
from django.db.models import F
from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core.refusal import Reason, Refusal
from people.models import User, Volunteer
from shifts.letters.backup_swaps import SWAP_ASK, SWAP_DONE
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
        reasons.append(Reason("not accepted", gettext("You can only swap a shift you’ve accepted.")))
    if Swap.objects.filter(assignment=row, state=Swap.State.AGREED).exists():
        text = gettext("You’ve both agreed. It’s waiting for our office to approve.")
        reasons.append(Reason("agreed", text, "email"))
    if reasons:
        raise Refusal(*reasons)
    # An earlier question makes way without a word: a refusal would tell that its address is a volunteer's.
    earlier = Swap.objects.filter(assignment=row, state=Swap.State.ASKED)
    words = gettext("someone else was asked")
    earlier.update(state=Swap.State.REFUSED, words=words, link_counter=F("link_counter") + 1)
    people = Volunteer.objects.active().select_for_update(no_key=True).exclude(pk=row.volunteer_id)
    other = people.filter(email__iexact=email.strip()).first()
    if other is None:
        return None
    swap = Swap.objects.create(assignment=row, to=other, asked_at=now)
    facts = {"one": row.volunteer, "other": other, "clinic": clinic_words(clinic)}
    _note(SWAP_ASK, swap, other, clinic, gettext("Swap: %(one)s asks %(other)s, %(clinic)s") % facts, now)
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
        summary = gettext("Swap declined, %(clinic)s") % {"clinic": clinic_words(clinic)}
        _note(SWAP_DONE, row, row.assignment.volunteer, clinic, summary, now)
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
        text = gettext("This swap is already done: %(state)s.") % {"state": row.get_state_display()}
        raise Refusal.because("settled", text)
    if agree:
        _check(row, clinic, now)
        _hand_over(row, clinic, now)
    else:
        row.state, row.words = Swap.State.REFUSED, gettext("%(name)s declined it") % {"name": by.name}
        row.save()
        summary = gettext("Swap didn’t work out, %(clinic)s") % {"clinic": clinic_words(clinic)}
        _note(SWAP_DONE, row, row.assignment.volunteer, clinic, summary, now)
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
        text = gettext("%(name)s is no longer on this shift, so you don’t need to take it.")
        reasons.append(Reason("gone", text % {"name": held.volunteer}))
    reasons += person_reasons(held.shift.duty_id, swap.to, clinic)
    if reasons:
        raise Refusal(*reasons)


def _hand_over(swap: Swap, clinic: Clinic, now: datetime) -> None:
    held = swap.assignment
    release(held, clinic, gettext("%(name)s is taking this shift") % {"name": swap.to}, now)
    by = gettext("%(name)s, for %(other)s") % {"name": swap.to, "other": held.volunteer}
    take_shift(held.shift, swap.to, clinic, by=by, now=now)
    swap.state = Swap.State.DONE
    swap.save()


def _note(kind: str, swap: Swap, person: Volunteer, clinic: Clinic, summary: str, now: datetime) -> None:
    what = f"swap {swap.pk}:{swap.state}"
    about = [swap, swap.assignment]
    note_about_clinic(kind=kind, what=what, volunteer=person, clinic=clinic, summary=summary, now=now, about=about)
