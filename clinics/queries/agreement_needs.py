"""Centers whose agreement or insurance does not hold on the day of a booked clinic."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.urls import reverse

from clinics.models import AgreementKind, Clinic
from clinics.needs import STANDING_DAYS, Need
from clinics.queries.agreements import AgreementLine, agreement_book
from clinics.rules.agreements import State
from core.formats import long_day

__all__ = ["agreement_needs"]


def agreement_needs(now: datetime) -> Iterator[Need]:
    """Yield a need for each center and kind of paper, on the first clinic's day without that paper. Three queries."""
    rows = Clinic.objects.live().filter(starts_at__gt=now, starts_at__lt=now + timedelta(days=STANDING_DAYS))
    clinics = list(rows.select_related("center").prefetch_related("center__contacts").order_by("starts_at", "pk"))
    book = agreement_book({clinic.center_id for clinic in clinics})
    seen: set[tuple[int, AgreementKind]] = set()
    for clinic in clinics:
        for line in book.gaps(clinic.center, clinic.day):
            if (clinic.center_id, line.kind) in seen:
                continue
            seen.add((clinic.center_id, line.kind))
            headline, detail = _words(clinic, line)
            yield Need(
                day=clinic.day,
                rank=2,
                headline=headline,
                detail=f"{detail} Ask {clinic.center.agreement_contact.name} for it.",
                action_label="Record it",
                action_href=f"{reverse('center-agreements', args=[clinic.center_id])}?kind={line.kind}",
            )


def _words(clinic: Clinic, line: AgreementLine) -> tuple[str, str]:
    center, name, state = clinic.center.name, line.name, line.state
    when = f"the clinic is on {long_day(clinic.day)}"
    if state.state == State.LAPSED:
        assert state.last_day is not None
        return (
            f"The {name} of {center} ends before its clinic",
            f"Its last day is {long_day(state.last_day)}; {when}.",
        )
    if state.begins is not None:
        return (
            f"The {name} of {center} begins after its clinic",
            f"It begins on {long_day(state.begins)}; {when}.",
        )
    return f"No {name} of {center}", f"None is recorded; {when}."
