"""Sending what the outbox holds: claim in one short transaction, send outside it, mark by the claim."""

import logging
import smtplib
import uuid
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.core.mail import get_connection
from django.core.mail.backends.base import BaseEmailBackend
from django.db import transaction
from django.db.models import F, Q

from config import clock
from scheduling.emails import Untrue, build
from scheduling.models import Note, NoteState
from scheduling.rules.backoff import next_try

log = logging.getLogger(__name__)

__all__ = ["SendReport", "send_due", "try_again"]

BATCH = 50
RELATED = (
    "clinic__center",
    "booking__space",
    "assignment__shift",
    "volunteer",
    "account",
    "clearance_kind",
    "application",
)


@dataclass
class SendReport:
    sent: int = 0
    dropped: int = 0
    waiting: int = 0  # could not be sent now and will be tried again
    stuck: int = 0


def send_due(*, limit: int = 5000, now_fn: Callable[[], datetime] = clock.now) -> SendReport:
    """Send every note that is due, up to ``limit``. Two senders at once share the work and repeat nothing.

    1 claim a batch (FOR UPDATE SKIP LOCKED, committed at once), 2 for each: renew the claim, ask whether the
    note is still true, send it over the batch's one connection, mark it. A sender that is killed leaves claims
    that run out after NOTE_LEASE_SECONDS; the only repeat possible is one crash between the server's 250 and
    our mark, and it carries the same Message-ID.
    """
    report = SendReport()
    done = 0
    while done < limit:
        claim = uuid.uuid4()
        taken = _claim(claim, min(BATCH, limit - done), now_fn())
        if not taken:
            break
        done += len(taken)
        _send_batch(taken, claim, report, now_fn)
    return report


@transaction.atomic
def try_again(*, note: Note, now: datetime) -> bool:
    """Make a stuck or waiting note due at once; False when it has gone out or is going out."""
    changed = Note.objects.filter(pk=note.pk, state__in=[NoteState.STUCK, NoteState.WAITING]).update(
        state=NoteState.WAITING, due_at=now, tries=0
    )
    return bool(changed)


@transaction.atomic
def _claim(claim: uuid.UUID, size: int, now: datetime) -> list[int]:
    due = Q(state=NoteState.WAITING) | Q(state=NoteState.SENDING, claimed_until__lt=now)
    rows = Note.objects.filter(due, due_at__lte=now).order_by("due_at", "pk")
    ids = list(rows.select_for_update(skip_locked=True).values_list("pk", flat=True)[:size])
    Note.objects.filter(pk__in=ids).update(state=NoteState.SENDING, claim=claim, claimed_until=_until(now))
    return ids


def _until(now: datetime) -> datetime:
    return now + timedelta(seconds=settings.NOTE_LEASE_SECONDS)


def _send_batch(ids: list[int], claim: uuid.UUID, report: SendReport, now_fn: Callable[[], datetime]) -> None:
    server = get_connection()
    trouble = ""
    try:
        for pk in ids:
            mine = Note.objects.filter(pk=pk, claim=claim, state=NoteState.SENDING)
            # Whoever was slow enough to lose its claim just moves on.
            if not mine.update(claimed_until=_until(now_fn())):
                continue
            note = Note.objects.select_related(*RELATED).prefetch_related("clinic__bands").get(pk=pk)
            trouble = _send_one(note, server, trouble, report, now_fn())
    finally:
        server.close()


def _send_one(note: Note, server: BaseEmailBackend, trouble: str, report: SendReport, now: datetime) -> str:
    """Send one claimed note and mark it. Returns what is wrong with the connection, if anything is.

    After one failure to reach the server the rest of the batch waits without trying it again each time.
    """
    try:
        mail = build(note, now)
    except Untrue as reason:
        _mark(note, report, state=NoteState.DROPPED, last_answer=str(reason))
        return trouble
    except Exception:
        # Our own fault: one note that can't be written must not hold up the others, and must not be lost.
        log.exception("Note %s could not be written.", note.pk)
        _mark(note, report, state=NoteState.STUCK, last_answer="The text could not be made; the log says why.")
        return trouble
    if trouble:
        _wait(note, report, trouble, now)
        return trouble
    try:
        server.open()
        server.send_messages([mail])
    except smtplib.SMTPRecipientsRefused as refusal:
        code, words = next(iter(refusal.recipients.values()))
        _refused(note, report, code, words, now)
    except smtplib.SMTPResponseException as refusal:
        _refused(note, report, refusal.smtp_code, refusal.smtp_error, now)
        server.close()
    except (OSError, smtplib.SMTPException) as problem:
        trouble = f"The mail server could not be reached: {problem}"
        log.warning(trouble)
        _wait(note, report, trouble, now)
        server.close()
    else:
        _mark(note, report, state=NoteState.SENT, sent_at=now, tries=F("tries") + 1, last_answer="")
    return trouble


def _refused(note: Note, report: SendReport, code: int, words: bytes | str, now: datetime) -> None:
    text = words.decode(errors="replace") if isinstance(words, bytes) else words
    answer = f"{code} {text}"
    if code >= 500:
        _mark(note, report, state=NoteState.STUCK, last_answer=answer, tries=F("tries") + 1)
    else:
        _wait(note, report, answer, now)


def _wait(note: Note, report: SendReport, answer: str, now: datetime) -> None:
    again = next_try(note.tries + 1, now)
    if again is None:
        _mark(note, report, state=NoteState.STUCK, last_answer=answer, tries=F("tries") + 1)
    else:
        _mark(note, report, state=NoteState.WAITING, last_answer=answer, tries=F("tries") + 1, due_at=again)


def _mark(note: Note, report: SendReport, *, state: NoteState, **facts: object) -> None:
    """Write down what became of a note, but only while the claim is still ours."""
    mine = Note.objects.filter(pk=note.pk, claim=note.claim, state=NoteState.SENDING)
    if not mine.update(state=state, claim=None, claimed_until=None, **facts):
        log.warning("Note %s was taken over by another sender.", note.pk)
        return
    setattr(report, state.value, getattr(report, state.value) + 1)
