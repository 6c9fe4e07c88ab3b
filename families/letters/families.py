"""Letters to guardians. Subjects and headers never name a child; bodies say given names and nothing that is locked."""

from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clinics.letters.about_clinic import clinic_to_come, live_clinic
from clinics.models import Clinic, Status
from core import links
from core.formats import clock_time
from core.languages import SPOKEN
from families.models import Guardian, GuardianAddress, Spot, SpotState
from families.queries.family_page import (
    FamilySpot,
    calendar_sequence,
    calendar_uid,
    family_spots,
    unanswered_children,
    unsigned_children,
)
from outbox.letters import Letter, LetterKind, Stale, Stop, row_of
from outbox.models import Note
from outbox.rules.calendar_part import CalendarPart

__all__ = [
    "FAMILY_ADDRESS_CHANGED",
    "FAMILY_ADDRESS_CONFIRM",
    "FAMILY_CANCELLED",
    "FAMILY_LINK",
    "FAMILY_MOVED",
    "FAMILY_REMINDERS",
    "LETTERS",
    "SPOTS",
    "SPOT_LOST",
    "SPOT_OFFER",
    "WAIVER_ASK",
    "family_link_address",
    "family_page_link",
    "spot_link",
]

SPOTS = "spots"
SPOT_OFFER = "spot-offer"
SPOT_LOST = "spot-lost"
FAMILY_LINK = "family-link"
FAMILY_MOVED = "family-moved"
FAMILY_CANCELLED = "family-cancelled"
WAIVER_ASK = "waiver-ask"
FAMILY_ADDRESS_CONFIRM = "family-address-confirm"
FAMILY_ADDRESS_CHANGED = "family-address-changed"

FAMILY_PAGE_DAYS = 180
ADDRESS_DAYS = 3
FAMILY_REMINDERS = Stop("family-reminders", "family-stop", FAMILY_PAGE_DAYS)


def family_page_link(guardian: Guardian, expires_at: datetime) -> str:
    """The full address of the family's own page, good until ``expires_at`` or until it is replaced."""
    token = links.make("family", subject=guardian.pk, counter=guardian.link_counter, expires_at=expires_at)
    return links.address("family-page", token)


def family_link_address(guardian: Guardian, now: datetime) -> str:
    return family_page_link(guardian, now + timedelta(days=FAMILY_PAGE_DAYS))


def spot_link(spot: Spot, clinic: Clinic) -> str:
    token = links.make("spot", subject=spot.pk, counter=spot.link_counter, expires_at=clinic.starts_at)
    return links.address("spot-answer", token)


def _guardian(note: Note) -> Guardian:
    guardian = row_of(note, Guardian.objects.all())
    if guardian is None or guardian.forgotten_at is not None:
        raise Stale("The guardian’s record was deleted.")
    return guardian


def _spot(note: Note) -> Spot | None:
    """The spot, with nothing of the child that is locked."""
    return row_of(note, Spot.objects.select_related("child").defer("child__allergies", "child__care_notes"))


def _context(note: Note, now: datetime, clinic: Clinic | None = None) -> dict[str, Any]:
    guardian = _guardian(note)
    context: dict[str, Any] = {"guardian": guardian, "link": family_link_address(guardian, now)}
    if clinic is not None:
        context |= {
            "clinic": clinic,
            "center": clinic.center,
            "starts": clock_time(clinic.local_start),
            "ends": clock_time(clinic.local_end),
        }
    return context


def _own(guardian: Guardian, clinic: Clinic, now: datetime) -> list[FamilySpot]:
    return [row for row in family_spots(guardian, now) if row.clinic.pk == clinic.pk]


def _part(method: str, note: Note, clinic: Clinic) -> CalendarPart:
    guardian = _guardian(note)
    return CalendarPart(
        method=method,
        uid=calendar_uid(guardian, clinic, links.host()),
        sequence=calendar_sequence(guardian, clinic),
        stamped_at=note.written_at,
        starts_at=clinic.starts_at,
        ends_at=clinic.ends_at,
        summary=gettext("%(organisation)s at %(center)s")
        % {"organisation": settings.ORGANISATION, "center": clinic.center.name},
        location=f"{clinic.center.name}, {clinic.center.address}",
        # A calendar is shared and shown to others: neither a child nor the link of the page is in it.
        description=clinic.center.arrival,
        organizer_email=settings.MAIL_FROM,
        organizer_name=settings.ORGANISATION,
        attendee_email=note.to_email,
        attendee_name=note.to_name,
        confirmed=clinic.status == Status.CONFIRMED,
        partstat="ACCEPTED",
    )


def spots(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    guardian = _guardian(note)
    own = _own(guardian, clinic, now)
    if not own:
        raise Stale("The spots were given up.")
    groups = {state: [row for row in own if row.state == state] for state in ("held", "offered", "waiting")}
    context = _context(note, now, clinic) | {"groups": groups, "unsigned": [row for row in own if not row.signed]}
    return Letter(context, _part("REQUEST", note, clinic) if groups["held"] else None)


def spot_offer(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    row = _spot(note)
    if row is None or row.state != SpotState.HELD or f"link {row.link_counter}:" not in note.key:
        raise Stale("The spot was given up.")
    if row.answer_by is None:
        raise Stale("The guardian answered.")
    if row.answer_by <= now or clinic.starts_at <= now:
        raise Stale("The time to answer has passed.")
    by = row.answer_by.astimezone(clinic.center.tz)
    context = _context(note, now, clinic) | {
        "child": row.child,
        "by_day": by.date(),
        "by_time": clock_time(by),
        "answer": spot_link(row, clinic),
    }
    return Letter(context)


def spot_lost(note: Note, now: datetime) -> Letter:
    clinic = clinic_to_come(note, now)
    guardian, row = _guardian(note), _spot(note)
    if row is None or row.state != SpotState.GIVEN_UP:
        raise Stale("The child still has the spot.")
    if Spot.objects.live().filter(clinic=clinic, child=row.child_id).exists():
        raise Stale("The child is registered again.")
    # Only reasons of our own making are told; what the office wrote of it is not.
    why = {
        "not answered in time": "late",
        "no longer the right age": "age",
        "given up by the guardian": "own",
    }.get(row.because, "")
    context = _context(note, now, clinic) | {"child": row.child, "why": why}
    others = any(one.state == "held" for one in _own(guardian, clinic, now))
    return Letter(context, None if others else _part("CANCEL", note, clinic))


def family_link(note: Note, now: datetime) -> Letter:
    return Letter(_context(note, now))


def family_moved(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    own = _own(_guardian(note), clinic, now)
    if not own:
        raise Stale("The family is no longer registered for this clinic.")
    context = _context(note, now, clinic) | {"own": own, "tentative": clinic.status == Status.TENTATIVE}
    held = any(row.state == "held" for row in own)
    return Letter(context, _part("REQUEST", note, clinic) if held else None)


def family_cancelled(note: Note, now: datetime) -> Letter:
    clinic = clinic_to_come(note, now)
    if clinic.status != Status.CANCELLED:
        raise Stale("The clinic is back on.")
    return Letter(_context(note, now, clinic), _part("CANCEL", note, clinic))


def waiver_ask(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    guardian = _guardian(note)
    if clinic.starts_at <= now:
        raise Stale("The clinic has started.")
    if not guardian.reminders:
        raise Stale("The guardian turned off reminders.")
    later = Note.objects.about(guardian).about(clinic).filter(kind=WAIVER_ASK)
    later = later.filter(facts__revision=clinic.revision)
    if later.filter(due_at__gt=note.due_at, due_at__lte=now).exists():
        raise Stale("A later reminder covers this one.")
    children = unsigned_children(guardian, clinic)
    unanswered = unanswered_children(guardian, clinic)
    if not children and not unanswered:
        raise Stale("Everything is signed and answered, or the spot was given up.")
    stop = FAMILY_REMINDERS.address(guardian, guardian.link_counter, now)
    return Letter(
        _context(note, now, clinic) | {"children": children, "unanswered": unanswered, "stop": stop}, stop=stop
    )


def family_address_confirm(note: Note, now: datetime) -> Letter:
    """To a new address: is it theirs?"""
    guardian = _guardian(note)
    change = GuardianAddress.objects.filter(guardian=guardian, email=note.to_email, confirmed_at=None).first()
    if change is None:
        raise Stale("The email address is confirmed, or they’ve entered another one.")
    expires_at = now + timedelta(days=ADDRESS_DAYS)
    token = links.make("family-address", subject=change.pk, counter=change.link_counter, expires_at=expires_at)
    context = {"guardian": guardian, "link": links.address("family-address", token)}
    return Letter(context)


def family_address_changed(note: Note, _now: datetime) -> Letter:
    """To the old address: mail goes elsewhere now. Says nothing of where."""
    return Letter({"guardian": _guardian(note)})


LETTERS = (
    LetterKind(SPOTS, _("registration received"), "families/mail/spots", spots, languages=SPOKEN),
    LetterKind(SPOT_OFFER, _("spot opened up"), "families/mail/spot-offer", spot_offer, languages=SPOKEN),
    LetterKind(SPOT_LOST, _("registration ended"), "families/mail/spot-lost", spot_lost, languages=SPOKEN),
    LetterKind(FAMILY_LINK, _("link to the family page"), "families/mail/family-link", family_link, languages=SPOKEN),
    LetterKind(
        FAMILY_MOVED, _("clinic time changed (family)"), "families/mail/family-moved", family_moved, languages=SPOKEN
    ),
    LetterKind(
        FAMILY_CANCELLED,
        _("clinic cancelled (family)"),
        "families/mail/family-cancelled",
        family_cancelled,
        languages=SPOKEN,
    ),
    LetterKind(
        WAIVER_ASK, _("waiver to sign"), "families/mail/waiver-ask", waiver_ask, languages=SPOKEN, stop=FAMILY_REMINDERS
    ),
    LetterKind(
        FAMILY_ADDRESS_CONFIRM,
        _("new email to confirm (family)"),
        "families/mail/family-address-confirm",
        family_address_confirm,
        languages=SPOKEN,
    ),
    LetterKind(
        FAMILY_ADDRESS_CHANGED,
        _("email changed (family)"),
        "families/mail/family-address-changed",
        family_address_changed,
        languages=SPOKEN,
    ),
)
