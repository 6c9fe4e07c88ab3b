"""Letters to guardians. Subjects and headers never name a child; bodies say given names and nothing that is locked."""

from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.utils.translation import gettext

from clinics.models import Clinic, Place, PlaceState, Status
from config import links
from people.models import Guardian, GuardianAddress
from scheduling.emails.letter import Letter, Untrue, live_clinic, standing_clinic
from scheduling.models import Note, NoteKind
from scheduling.queries.family_page import (
    FamilyPlace,
    calendar_sequence,
    calendar_uid,
    family_places,
    unsigned_children,
)
from scheduling.rules.calendar_part import CalendarPart
from scheduling.services.families.links import family_page_link

__all__ = [
    "family_address_changed",
    "family_address_confirm",
    "family_cancelled",
    "family_link",
    "family_link_address",
    "family_moved",
    "place_link",
    "place_lost",
    "place_offer",
    "places",
    "waiver_ask",
]

FAMILY_PAGE_DAYS = 180
ADDRESS_DAYS = 3


def family_link_address(guardian: Guardian, now: datetime) -> str:
    return family_page_link(guardian, now + timedelta(days=FAMILY_PAGE_DAYS))


def place_link(place: Place, clinic: Clinic) -> str:
    token = links.make("place", subject=place.pk, counter=place.link_counter, expires_at=clinic.starts_at)
    return links.address("place-answer", token)


def _guardian(note: Note) -> Guardian:
    if note.guardian is None or note.guardian.forgotten_at is not None:
        raise Untrue("The guardian is no longer in the books.")
    return note.guardian


def _context(note: Note, now: datetime, clinic: Clinic | None = None) -> dict[str, Any]:
    guardian = _guardian(note)
    context: dict[str, Any] = {"guardian": guardian, "link": family_link_address(guardian, now)}
    if clinic is not None:
        context |= {
            "clinic": clinic,
            "center": clinic.center,
            "starts": f"{clinic.local_start:%H:%M}",
            "ends": f"{clinic.local_end:%H:%M}",
        }
    return context


def _own(guardian: Guardian, clinic: Clinic, now: datetime) -> list[FamilyPlace]:
    return [row for row in family_places(guardian, now) if row.clinic.pk == clinic.pk]


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


def places(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    guardian = _guardian(note)
    own = _own(guardian, clinic, now)
    if not own:
        raise Untrue("The places were given up.")
    groups = {state: [row for row in own if row.state == state] for state in ("held", "offered", "waiting")}
    context = _context(note, now, clinic) | {"groups": groups, "unsigned": [row for row in own if not row.signed]}
    return Letter(note.kind, context, _part("REQUEST", note, clinic) if groups["held"] else None)


def place_offer(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    row = note.place
    if row is None or row.state != PlaceState.HELD or f"link {row.link_counter}:" not in note.key:
        raise Untrue("The place was given up.")
    if row.answer_by is None:
        raise Untrue("The guardian answered.")
    if row.answer_by <= now or clinic.starts_at <= now:
        raise Untrue("The time to answer is over.")
    by = row.answer_by.astimezone(clinic.center.tz)
    context = _context(note, now, clinic) | {
        "child": row.child,
        "by_day": by.date(),
        "by_time": f"{by:%H:%M}",
        "answer": place_link(row, clinic),
    }
    return Letter(note.kind, context)


def place_lost(note: Note, now: datetime) -> Letter:
    clinic = standing_clinic(note, now)
    guardian, row = _guardian(note), note.place
    if row is None or row.state != PlaceState.GIVEN_UP:
        raise Untrue("The child has the place.")
    if Place.objects.live().filter(clinic=clinic, child=row.child_id).exists():
        raise Untrue("The child has a place again.")
    # Only reasons of our own making are told; what the office wrote of it is not.
    why = {
        "not answered in time": "late",
        "no longer the right age": "age",
        "given up by the guardian": "own",
    }.get(row.because, "")
    context = _context(note, now, clinic) | {"child": row.child, "why": why}
    others = any(one.state == "held" for one in _own(guardian, clinic, now))
    return Letter(note.kind, context, None if others else _part("CANCEL", note, clinic))


def family_link(note: Note, now: datetime) -> Letter:
    return Letter(note.kind, _context(note, now))


def family_moved(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    own = _own(_guardian(note), clinic, now)
    if not own:
        raise Untrue("The household has no place there any more.")
    context = _context(note, now, clinic) | {"own": own, "tentative": clinic.status == Status.TENTATIVE}
    held = any(row.state == "held" for row in own)
    return Letter(note.kind, context, _part("REQUEST", note, clinic) if held else None)


def family_cancelled(note: Note, now: datetime) -> Letter:
    clinic = standing_clinic(note, now)
    if clinic.status != Status.CANCELLED:
        raise Untrue("The clinic takes place after all.")
    return Letter(note.kind, _context(note, now, clinic), _part("CANCEL", note, clinic))


def waiver_ask(note: Note, now: datetime) -> Letter:
    clinic = live_clinic(note, now)
    guardian = _guardian(note)
    if clinic.starts_at <= now:
        raise Untrue("The clinic has begun.")
    if not guardian.reminders:
        raise Untrue("The guardian asked for no reminders.")
    later = Note.objects.filter(kind=NoteKind.WAIVER_ASK, guardian=guardian, clinic=clinic, revision=note.revision)
    if later.filter(due_at__gt=note.due_at, due_at__lte=now).exists():
        raise Untrue("A later reminder to sign is due as well.")
    children = unsigned_children(guardian, clinic)
    if not children:
        raise Untrue("Everything is signed, or the place was given up.")
    token = links.make(
        "family-reminders",
        subject=guardian.pk,
        counter=guardian.link_counter,
        expires_at=now + timedelta(days=FAMILY_PAGE_DAYS),
    )
    stop = links.address("family-stop", token)
    # RFC 8058: one press in the mail program, answered by a POST without cookies.
    headers = {"List-Unsubscribe": f"<{stop}>", "List-Unsubscribe-Post": "List-Unsubscribe=One-Click"}
    return Letter(note.kind, _context(note, now, clinic) | {"children": children, "stop": stop}, headers=headers)


def family_address_confirm(note: Note, now: datetime) -> Letter:
    """To a new address: is it theirs?"""
    guardian = _guardian(note)
    change = GuardianAddress.objects.filter(guardian=guardian, email=note.to_email, confirmed_at=None).first()
    if change is None:
        raise Untrue("The address is confirmed, or another was given since.")
    expires_at = now + timedelta(days=ADDRESS_DAYS)
    token = links.make("family-address", subject=change.pk, counter=change.link_counter, expires_at=expires_at)
    context = {"guardian": guardian, "link": links.address("family-address", token)}
    return Letter("family-address-confirm", context)


def family_address_changed(note: Note, now: datetime) -> Letter:
    """To the old address: mail goes elsewhere now. Says nothing of where."""
    return Letter("family-address-changed", {"guardian": _guardian(note)})
