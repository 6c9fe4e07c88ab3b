"""Notes to volunteers about their shifts and about clinics."""

from collections.abc import Iterable
from datetime import datetime

from django.db.models import Model

from clinics.models import Clinic
from outbox.models import Note
from outbox.services.writing import write_note
from people.models import Volunteer
from shifts.models import Assignment

__all__ = ["note_about_clinic", "note_to_volunteer"]


def note_to_volunteer(
    *,
    kind: str,
    assignment: Assignment,
    clinic: Clinic,
    summary: str,
    now: datetime,
    sequence: int | None = None,
) -> Note | None:
    """Write a note about an assignment to its volunteer.

    ``sequence`` is the calendar part's SEQUENCE, for kinds that carry one.
    """
    return write_note(
        key=f"{kind}:assignment {assignment.pk}:seq {assignment.sequence}:r{clinic.revision}",
        kind=kind,
        to_name=assignment.volunteer.name,
        to_email=assignment.volunteer.email,
        summary=summary,
        due_at=now,
        about=[clinic, assignment, assignment.volunteer],
        revision=clinic.revision,
        sequence=sequence,
    )


def note_about_clinic(
    *,
    kind: str,
    what: str,
    volunteer: Volunteer,
    clinic: Clinic,
    summary: str,
    now: datetime,
    about: Iterable[Model] = (),
) -> Note | None:
    """Write a note about a clinic to a volunteer. ``what`` names the row that it speaks of, such as "call 7".

    ``about`` are the rows that the letter reads beside the clinic and the volunteer.
    """
    return write_note(
        key=f"{kind}:{what}",
        kind=kind,
        to_name=volunteer.name,
        to_email=volunteer.email,
        summary=summary[:200],
        due_at=now,
        about=[clinic, volunteer, *about],
        revision=clinic.revision,
    )
