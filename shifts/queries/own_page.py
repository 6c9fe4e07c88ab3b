"""What a volunteer's own page and calendar feed show."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.conf import settings
from django.utils.translation import gettext

from clinics.models import Clinic, Status
from core import links
from core.formats import long_day, span
from outbox.rules.calendar_part import FeedEvent
from people.models import ClearanceKind, Volunteer
from people.queries.standing import open_book
from people.rules.standing import WORST_FIRST
from shifts.models import Assignment, Backup, Reply

__all__ = ["Due", "OwnBackup", "OwnPage", "OwnShift", "feed_events", "own_page"]

FEED_YEARS = 10


@dataclass(frozen=True)
class OwnShift:
    when: str
    where: str
    duty: str
    reply: str
    link: str


@dataclass(frozen=True)
class OwnBackup:
    when: str
    where: str
    duty: str
    link: str


@dataclass(frozen=True)
class Due:
    name: str
    state: str
    last_day: date | None
    renew: str = ""  # how it is renewed, in the admin's words


@dataclass(frozen=True)
class OwnPage:
    shifts: list[OwnShift]
    backups: list[OwnBackup]
    due: list[Due]
    hours: float
    clinics: int
    feed: str


def own_page(volunteer: Volunteer, now: datetime, today: date) -> OwnPage:
    """Read what the own page shows: coming shifts, where they are a backup, clearances, hours given, the feed."""
    coming = _coming(volunteer, now)
    given = (
        Assignment.objects.accepted()
        .filter(volunteer=volunteer, shift__clinic__ends_at__lte=now)
        .exclude(shift__clinic__status=Status.CANCELLED)
        .values_list("shift__clinic__starts_at", "shift__clinic__ends_at")
    )
    spans = list(given)
    token = links.make(
        "feed",
        subject=volunteer.pk,
        counter=volunteer.feed_counter,
        expires_at=now + timedelta(days=365 * FEED_YEARS),
    )
    return OwnPage(
        shifts=[_shift(row) for row in coming],
        backups=[_backup(row) for row in _backup_rows(volunteer, now)],
        due=_due(volunteer, today),
        hours=sum((end - start).total_seconds() for start, end in spans) / 3600,
        clinics=len(spans),
        feed=links.address("own-feed", token),
    )


def _coming(volunteer: Volunteer, now: datetime) -> list[Assignment]:
    rows = Assignment.objects.live().filter(volunteer=volunteer, shift__clinic__ends_at__gt=now)
    rows = rows.exclude(shift__clinic__status=Status.CANCELLED)
    return list(rows.select_related("shift__clinic__center").order_by("shift__clinic__starts_at"))


def _shift(row: Assignment) -> OwnShift:
    clinic = row.shift.clinic
    token = links.make("shift", subject=row.pk, counter=row.link_counter, expires_at=clinic.ends_at)
    return OwnShift(
        when=_when(clinic),
        where=clinic.center.name,
        duty=row.shift.duty_name,
        reply=row.reply,
        link=links.address("shift-reply", token),
    )


def _when(clinic: Clinic) -> str:
    facts = {"day": long_day(clinic.day), "hours": span(clinic.local_start, clinic.local_end)}
    return gettext("%(day)s, %(hours)s") % facts


def _backup_rows(volunteer: Volunteer, now: datetime) -> list[Backup]:
    rows = Backup.objects.filter(volunteer=volunteer, clinic__starts_at__gt=now)
    rows = rows.exclude(clinic__status=Status.CANCELLED)
    return list(rows.select_related("clinic__center").order_by("clinic__starts_at", "pk"))


def _backup(row: Backup) -> OwnBackup:
    clinic = row.clinic
    token = links.make("backup", subject=row.pk, counter=row.link_counter, expires_at=clinic.ends_at)
    link = links.address("backup-link", token)
    return OwnBackup(when=_when(clinic), where=clinic.center.name, duty=row.duty_name, link=link)


def _due(volunteer: Volunteer, today: date) -> list[Due]:
    """Each clearance that some duty of theirs needs, what needs renewing first."""
    book = open_book([volunteer.pk])
    found: dict[str, Due] = {}
    order = WORST_FIRST
    renew = dict(ClearanceKind.objects.values_list("code", "renew"))
    for duty in volunteer.duties:
        standing = book.on(volunteer.pk, duty, today)
        for kind, state, _ in standing.reasons:
            known = found.get(kind)
            if known is None or order.index(state) < order.index(known.state):
                found[kind] = Due(
                    book.kind_names.get(kind, kind), state, standing.last_days.get(kind), renew.get(kind, "")
                )
    return sorted(found.values(), key=lambda due: (order.index(due.state), due.last_day or date.max))


def feed_events(volunteer: Volunteer, now: datetime) -> list[FeedEvent]:
    """List the volunteer's coming shifts as calendar events."""
    events = []
    for row in _coming(volunteer, now):
        clinic = row.shift.clinic
        confirmed = row.reply == Reply.ACCEPTED and clinic.status == Status.CONFIRMED
        events.append(
            FeedEvent(
                uid=f"{row.uid}@{links.host()}",
                sequence=row.sequence,
                stamped_at=row.replied_at or row.asked_at,
                starts_at=clinic.starts_at,
                ends_at=clinic.ends_at,
                summary=gettext("%(organization)s: %(duty)s at %(center)s")
                % {
                    "organization": settings.ORGANISATION,
                    "duty": row.shift.duty_name,
                    "center": clinic.center.name,
                },
                location=f"{clinic.center.name}, {clinic.center.address}",
                description=gettext("Bring: %(what)s") % {"what": clinic.bring},
                status="CONFIRMED" if confirmed else "TENTATIVE",
            )
        )
    return events
