"""Writing notes: the row is made in the event's own transaction; Celery is only woken after it."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import datetime
from typing import Any

from django.db import transaction

from clinics.models import Clinic
from config.wake import wake
from people.models import Guardian, User, Volunteer
from scheduling.models import Asking, Assignment, Booking, Note, NoteKind, NoteState, new_message_id

__all__ = [
    "drop_waiting",
    "note_about_clinic",
    "note_of_asking",
    "note_to_account",
    "note_to_center",
    "note_to_guardian",
    "note_to_volunteer",
    "noting",
    "wake_sender",
    "write_note",
]


_heard: ContextVar[list[Note] | None] = ContextVar("heard", default=None)


@contextmanager
def noting() -> Iterator[list[Note]]:
    """A list that fills with the notes that are written within, and with nobody else's of the same moment."""
    written: list[Note] = []
    token = _heard.set(written)
    try:
        yield written
    finally:
        _heard.reset(token)


def write_note(*, key: str, **facts: Any) -> Note | None:
    """Write one note unless its key is already here. Must run inside the event's transaction.

    Returns the new row, or None when this note was written before: planning twice sends once.
    """
    rows = Note.objects.bulk_create([Note(key=key, message_id=new_message_id(), **facts)], ignore_conflicts=True)
    written = Note.objects.filter(key=key, message_id=rows[0].message_id).first()
    if written is not None:
        _wake_after_commit()
        heard = _heard.get()
        if heard is not None:
            heard.append(written)
    return written


def note_to_center(*, kind: NoteKind, booking: Booking, summary: str, now: datetime) -> Note | None:
    clinic = booking.clinic
    contact = clinic.center.booking_contact
    return write_note(
        key=f"{kind}:booking {booking.pk}:link {booking.link_counter}:r{clinic.revision}",
        kind=kind,
        to_name=contact.name,
        to_email=contact.email,
        summary=summary,
        due_at=now,
        clinic=clinic,
        revision=clinic.revision,
        booking=booking,
    )


def note_of_asking(*, asking: Asking, summary: str, now: datetime) -> Note | None:
    """One letter to a center for all days of an asking. It hangs on no single day, so that it outlives each."""
    contact = asking.center.booking_contact
    return write_note(
        key=f"{NoteKind.BOOKING_ASK_MANY}:asking {asking.pk}:link {asking.link_counter}",
        kind=NoteKind.BOOKING_ASK_MANY,
        to_name=contact.name,
        to_email=contact.email,
        summary=summary,
        due_at=now,
        asking=asking,
    )


def note_to_volunteer(
    *,
    kind: NoteKind,
    assignment: Assignment,
    clinic: Clinic,
    summary: str,
    now: datetime,
    sequence: int | None = None,
) -> Note | None:
    """``sequence`` is the calendar part's SEQUENCE, for kinds that carry one."""
    return write_note(
        key=f"{kind}:assignment {assignment.pk}:seq {assignment.sequence}:r{clinic.revision}",
        kind=kind,
        to_name=assignment.volunteer.name,
        to_email=assignment.volunteer.email,
        summary=summary,
        due_at=now,
        clinic=clinic,
        revision=clinic.revision,
        assignment=assignment,
        volunteer=assignment.volunteer,
        sequence=sequence,
    )


def note_to_guardian(
    *,
    kind: NoteKind,
    what: str,
    guardian: Guardian,
    summary: str,
    now: datetime,
    clinic: Clinic | None = None,
    **more: Any,
) -> Note | None:
    """A note to a guardian; ``what`` names the row that it speaks of, such as "place 7", and never a child.

    None, and nothing written, for a guardian without a mail address: the office telephones them.
    """
    if not guardian.email:
        return None
    revision = clinic.revision if clinic is not None else None
    return write_note(
        key=f"{kind}:guardian {guardian.pk}:{what}" + (f":r{revision}" if clinic is not None else ""),
        kind=kind,
        to_name=guardian.name,
        to_email=guardian.email,
        summary=summary,
        due_at=now,
        guardian=guardian,
        clinic=clinic,
        revision=revision,
        **more,
    )


def note_about_clinic(
    *, kind: NoteKind, what: str, volunteer: Volunteer, clinic: Clinic, summary: str, now: datetime, **more: Any
) -> Note | None:
    """A note to a volunteer about a clinic; ``what`` names the row that it speaks of, such as "call 7"."""
    return write_note(
        key=f"{kind}:{what}",
        kind=kind,
        to_name=volunteer.name,
        to_email=volunteer.email,
        summary=summary[:200],
        due_at=now,
        clinic=clinic,
        revision=clinic.revision,
        volunteer=volunteer,
        **more,
    )


def note_to_account(*, kind: NoteKind, account: User, summary: str, key: str, now: datetime) -> Note | None:
    return write_note(
        key=key,
        kind=kind,
        to_name=account.name,
        to_email=account.email,
        summary=summary,
        due_at=now,
        account=account,
    )


def drop_waiting(*, why: str, **which: Any) -> int:
    """Drop notes that have not gone out and are no longer true; returns how many."""
    return Note.objects.filter(state=NoteState.WAITING, **which).update(state=NoteState.DROPPED, last_answer=why)


def _wake_after_commit() -> None:
    """Once for a transaction, however many notes it writes: with Redis away each call costs the page time."""
    if all(entry[1] is not wake_sender for entry in transaction.get_connection().run_on_commit):
        transaction.on_commit(wake_sender, robust=True)


def wake_sender() -> None:
    """Ask a worker to look at the outbox; with Redis away the note waits for beat's next look."""
    wake("outbox.send_notes", expires=300)
