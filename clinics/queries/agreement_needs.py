"""Centers whose agreement or insurance does not hold on the day of a booked clinic."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.urls import reverse
from django.utils.translation import gettext

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
            ask = gettext("Ask %(name)s to send it.") % {"name": clinic.center.agreement_contact.name}
            yield Need(
                day=clinic.day,
                rank=2,
                headline=headline,
                detail=f"{detail} {ask}",
                action_label=gettext("Add the document"),
                action_href=f"{reverse('center-agreements', args=[clinic.center_id])}?kind={line.kind}",
            )


def _words(clinic: Clinic, line: AgreementLine) -> tuple[str, str]:
    state = line.state
    facts = {"center": clinic.center.name, "document": line.name, "clinic_day": long_day(clinic.day)}
    if state.state == State.EXPIRED:
        assert state.last_day is not None
        facts["day"] = long_day(state.last_day)
        return (
            gettext("%(center)s’s %(document)s ends before a clinic") % facts,
            gettext("Its last day is %(day)s. The clinic is on %(clinic_day)s.") % facts,
        )
    if state.begins is not None:
        facts["day"] = long_day(state.begins)
        return (
            gettext("%(center)s’s %(document)s starts after a clinic") % facts,
            gettext("It starts on %(day)s. The clinic is on %(clinic_day)s.") % facts,
        )
    return (
        gettext("Missing: %(document)s from %(center)s") % facts,
        gettext("None on file. The clinic is on %(clinic_day)s.") % facts,
    )
