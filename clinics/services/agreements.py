"""Adding a center's agreement, and removing one that was added by mistake."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext

from clinics.models import Agreement, AgreementKind, Center
from core.refusal import Refusal
from people.models import User

__all__ = ["Paper", "record_agreement", "take_back_agreement"]


@dataclass(frozen=True)
class Paper:
    raw: bytes
    name: str
    content_type: str


@transaction.atomic
def record_agreement(
    *,
    center: Center,
    kind: AgreementKind,
    from_day: date,
    until_day: date,
    reference: str,
    paper: Paper | None,
    by: User,
    now: datetime,
) -> Agreement:
    """Add one more paper; those before it stay readable. Recording the very same again adds nothing.

    Returns the new paper, or the one that is there already. Raises Refusal "backwards" when it ends before it begins.
    """
    if until_day < from_day:
        words = gettext("The last day is before the first day. Check both dates.")
        raise Refusal.because("backwards", words, "until_day")
    Center.objects.select_for_update(no_key=True).get(pk=center.pk)
    same = Agreement.objects.counting().filter(
        center=center, kind=kind, from_day=from_day, until_day=until_day, reference=reference
    )
    # A better scan of the same days often has the same name.
    for twin in same.filter(file_name=paper.name if paper else "").defer(None):
        if (bytes(twin.file) if twin.file is not None else None) == (paper.raw if paper else None):
            return twin
    return Agreement.objects.create(
        center=center,
        kind=kind,
        from_day=from_day,
        until_day=until_day,
        reference=reference,
        file=paper.raw if paper else None,
        file_name=paper.name if paper else "",
        file_type=paper.content_type if paper else "",
        recorded_by=by,
        recorded_at=now,
    )


@transaction.atomic
def take_back_agreement(*, agreement: Agreement, by: User, now: datetime) -> None:
    """Remove a paper: it counts no more and stays readable. Doing it twice changes nothing."""
    Agreement.objects.counting().filter(pk=agreement.pk).update(taken_back_at=now, taken_back_by=by)
