"""Recording evidence: a renewal, a result that is waited for, a "not cleared". The database keeps the history."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext, ngettext

from core import clock
from core.refusal import Reason, Refusal
from people.hooks import standing_fell
from people.models import Clearance, ClearanceKind, ClearanceState, User, Volunteer
from people.services.volunteers import hold_shifts

__all__ = ["ClearanceFacts", "change_clearance", "confirm_refusal", "record_clearance"]

OLDEST_YEARS = 60
FARTHEST_YEARS = 20


@dataclass(frozen=True)
class ClearanceFacts:
    kind: ClearanceKind
    state: str
    issued_on: date | None
    expires_on: date | None
    reference: str = ""
    issuer: str = ""


def check_clearance(facts: ClearanceFacts, today: date) -> None:
    """Raise Refusal with every reason why this can't be a record of a clearance."""
    reasons = []
    awaiting = facts.state == ClearanceState.AWAITING
    if facts.issued_on is None and not awaiting:
        empty = gettext("Enter the issue date. You can leave it empty only while you’re waiting for a result.")
        reasons.append(Reason("no date", empty, "issued_on"))
    if facts.issued_on and facts.issued_on > today:
        future = gettext("This date is in the future. Record it as “waiting for result” until it’s issued.")
        reasons.append(Reason("in the future", future, "issued_on"))
    if facts.issued_on and (today.year - facts.issued_on.year) > OLDEST_YEARS:
        old = ngettext(
            "That’s more than %(n)d year ago. Check the year.",
            "That’s more than %(n)d years ago. Check the year.",
            OLDEST_YEARS,
        )
        reasons.append(Reason("too old", old % {"n": OLDEST_YEARS}, "issued_on"))
    if facts.expires_on and facts.issued_on and facts.expires_on < facts.issued_on:
        order = gettext("The last valid day is before the issue date. Check both dates.")
        reasons.append(Reason("expiry before issue", order, "expires_on"))
    if facts.expires_on and (facts.expires_on.year - today.year) > FARTHEST_YEARS:
        far = ngettext(
            "That’s more than %(n)d year from now. Check the year.",
            "That’s more than %(n)d years from now. Check the year.",
            FARTHEST_YEARS,
        )
        reasons.append(Reason("too far off", far % {"n": FARTHEST_YEARS}, "expires_on"))
    if reasons:
        raise Refusal(*reasons)


@transaction.atomic
def record_clearance(*, volunteer: Volunteer, facts: ClearanceFacts, by: User, now: datetime) -> Clearance:
    """Add one record; pressing twice adds one. Earlier records stay, since they were true on their days."""
    check_clearance(facts, now.astimezone(clock.home_zone()).date())
    hold_shifts(volunteer=volunteer, now=now)
    Volunteer.objects.select_for_update(no_key=True).get(pk=volunteer.pk)
    said = {
        "volunteer": volunteer,
        "kind": facts.kind,
        "state": facts.state,
        "issued_on": facts.issued_on,
        "expires_on": facts.expires_on,
        "reference": facts.reference,
    }
    # Two records of one person that became one may hold the same evidence twice.
    same = Clearance.objects.filter(**said).first()
    if same is None:
        same = Clearance.objects.create(**said, issuer=facts.issuer, recorded_by=by)
    _settle(same, now)
    return same


@transaction.atomic
def change_clearance(*, clearance: Clearance, facts: ClearanceFacts, by: User, now: datetime) -> Clearance:
    """Correct a record; what it said before stays in its history."""
    check_clearance(facts, now.astimezone(clock.home_zone()).date())
    hold_shifts(volunteer=clearance.volunteer, now=now)
    row = Clearance.objects.select_for_update(no_key=True).get(pk=clearance.pk)
    row.kind, row.state = facts.kind, facts.state
    row.issued_on, row.expires_on = facts.issued_on, facts.expires_on
    row.reference, row.issuer, row.recorded_by = facts.reference, facts.issuer, by
    row.confirmed_by = row.confirmed_at = None
    row.save()
    _settle(row, now)
    return row


@transaction.atomic
def confirm_refusal(*, clearance: Clearance, by: User, now: datetime) -> Clearance:
    """Confirm a refused result as a second person: shifts are released now, and the person is told.

    Until then the person stands nowhere, since the result is on record, but nobody is written to: a slip of the
    hand must not read as a verdict. Raises Refusal "not refused" or "same person".
    """
    hold_shifts(volunteer=clearance.volunteer, now=now)
    row = Clearance.objects.select_for_update(no_key=True).get(pk=clearance.pk)
    if row.state != ClearanceState.REFUSED:
        raise Refusal.because("not refused", gettext("Only a “not cleared” result needs a second admin."))
    if row.confirmed_at is not None:
        return row
    if row.recorded_by_id == by.pk:
        raise Refusal.because("same person", gettext("You recorded this result, so a different admin must confirm it."))
    row.confirmed_by, row.confirmed_at = by, now
    row.save()
    _settle(row, now)
    return row


def _settle(row: Clearance, now: datetime) -> None:
    if not row.needs_second_look:
        standing_fell.ask(row.volunteer, now)
