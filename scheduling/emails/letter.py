"""What every letter has: its words, its calendar part, and the facts of a clinic that is still as the note says."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from clinics.models import Clinic, Status
from people.models import Volunteer
from scheduling.models import BE_THERE_BEFORE, Assignment, Note
from scheduling.queries.link_pages import lead_name
from scheduling.rules.calendar_part import CalendarPart
from scheduling.words import children_words, clinic_words, long_day, span

__all__ = ["Letter", "Untrue", "assignment_of", "clinic_context", "live_clinic", "standing_clinic", "subject_number"]


class Untrue(Exception):
    """The note is no longer true; its text says why and is kept in the outbox."""


@dataclass
class Letter:
    template: str
    context: dict[str, Any]
    part: CalendarPart | None = None
    headers: dict[str, str] = field(default_factory=dict)


def standing_clinic(note: Note, now: datetime) -> Clinic:
    clinic = note.clinic
    if clinic is None:
        raise Untrue("The clinic is no longer in the books.")
    if clinic.ends_at <= now:
        raise Untrue("The clinic is over.")
    return clinic


def live_clinic(note: Note, now: datetime) -> Clinic:
    clinic = standing_clinic(note, now)
    if clinic.status == Status.CANCELLED:
        raise Untrue("The clinic was cancelled.")
    if note.revision != clinic.revision:
        raise Untrue("The clinic has moved since this was written.")
    return clinic


def assignment_of(note: Note) -> tuple[Assignment, Volunteer]:
    if note.assignment is None or note.volunteer is None:
        raise Untrue("The shift is no longer in the books.")
    return note.assignment, note.volunteer


def subject_number(note: Note) -> int:
    """The number of the row that the note's key names last: standby-call:call 7."""
    return int(note.key.rsplit(" ", 1)[-1].split(":")[0])


def clinic_context(clinic: Clinic) -> dict[str, Any]:
    return {
        "clinic": clinic,
        "center": clinic.center,
        "title": clinic_words(clinic),
        "day": long_day(clinic.day),
        "hours": span(clinic.local_start, clinic.local_end),
        "be_there": f"{(clinic.starts_at - BE_THERE_BEFORE).astimezone(clinic.center.tz):%H:%M}",
        "children": children_words(clinic),
        "lead": lead_name(clinic),
    }
