"""Notes about clearances: to their holders before they expire, to the admins when one expires before a clinic."""

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta

from django.db import transaction
from django.utils.translation import gettext

from clinics.formatting import clinic_words
from core import clock
from outbox.models import Note
from outbox.services.writing import new_note, write_missing
from people.models import ClearanceKind, NoticeStep, User, Volunteer
from people.queries.standing import StandingBook, open_book
from shifts.letters.clearances import CLEARANCE_NOTICE, CLINIC_BREAKS
from shifts.queries.horizon import Broken, broken_assignments

__all__ = ["plan_notices"]

# In the organisation's own morning. A step missed while nothing ran is made up for within three days.
AT = time(9)
CATCH_UP_DAYS = 3


@transaction.atomic
def plan_notices(*, now: datetime) -> int:
    """Write the clearance notes that are due by today; returns how many were new. Constant queries.

    Planning twice writes once: the key names whom, which clearance, its last day and the step.
    """
    today = now.astimezone(clock.home_zone()).date()
    notes = [*_to_volunteers(today), *_to_admins(now, today)]
    return write_missing(notes)


def _to_volunteers(today: date) -> Iterator[Note]:
    schedule = list(NoticeStep.objects.values_list("days_before", flat=True))
    kinds = {kind.code: kind for kind in ClearanceKind.objects.all()}
    people = list(Volunteer.objects.active())
    book = open_book(person.pk for person in people)
    for person in people:
        for code, last_day in _last_days(person, book, today).items():
            due = [days for days in schedule if 0 <= (today - (last_day - timedelta(days=days))).days < CATCH_UP_DAYS]
            if not due:
                continue
            step = min(due)
            yield new_note(
                key=f"{CLEARANCE_NOTICE}:volunteer {person.pk}:{code}:{last_day}:{step}",
                kind=CLEARANCE_NOTICE,
                to_name=person.name,
                to_email=person.email,
                summary=gettext("Renewal reminder to %(name)s: %(clearance)s (%(step)s)")
                % {"name": person, "clearance": kinds[code].name, "step": NoticeStep(days_before=step)},
                due_at=_morning(today),
                about=[person, kinds[code]],
                last_day=last_day,
                step=str(NoticeStep(days_before=step)),
            )


def _last_days(person: Volunteer, book: StandingBook, today: date) -> dict[str, date]:
    """Per kind current today that some duty of theirs needs, the earliest last day."""
    found: dict[str, date] = {}
    for duty in person.duties:
        standing = book.on(person.pk, duty, today)
        for kind, state, _ in standing.reasons:
            last = standing.last_days.get(kind)
            if state in ("current", "expires soon") and last is not None:
                found[kind] = min(last, found.get(kind, last))
    return found


def _to_admins(now: datetime, today: date) -> Iterator[Note]:
    broken = broken_assignments(now)
    if not broken:
        return
    admins = list(User.objects.filter(groups__name="admin", is_active=True))
    for one in broken:
        for admin in admins:
            yield _to_admin(one, admin, today)


def _to_admin(one: Broken, admin: User, today: date) -> Note:
    row = one.assignment
    clinic = row.shift.clinic
    why = "+".join(
        f"{kind}={state}" for kind, state, _ in one.standing.reasons if state not in ("current", "expires soon")
    )
    return new_note(
        key=f"{CLINIC_BREAKS}:account {admin.pk}:assignment {row.pk}:r{clinic.revision}:{why}"[:200],
        kind=CLINIC_BREAKS,
        to_name=admin.name,
        to_email=admin.email,
        summary=gettext("%(name)s isn’t cleared: %(clinic)s") % {"name": row.volunteer, "clinic": clinic_words(clinic)},
        due_at=_morning(today),
        about=[clinic, row, row.volunteer, admin],
        revision=clinic.revision,
    )


def _morning(today: date) -> datetime:
    return datetime.combine(today, AT, clock.home_zone())
