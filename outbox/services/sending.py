"""Sends what the outbox holds: claims in one short transaction, sends outside it, and marks by the claim."""

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

from core import clock
from outbox.letters import Stale, build
from outbox.models import Note, NoteState
from outbox.rules.backoff import next_try

log = logging.getLogger(__name__)

__all__ = ["SendReport", "send_due", "try_again"]

BATCH = 50
# A conversation may break off because of one note; two in a row are the server's or the network's doing.
MOST_BREAKS = 2


@dataclass
class SendReport:
    sent: int = 0
    dropped: int = 0
    waiting: int = 0  # could not be sent now and will be tried again
    stuck: int = 0


@dataclass
class Line:
    """The one connection of a batch. ``trouble`` says what keeps every further note of the batch from going out."""

    server: BaseEmailBackend
    trouble: str = ""
    breaks: int = 0

    def open(self) -> None:
        """Connect and sign in, unless that is done. If it fails, the line has trouble, which concerns every note."""
        try:
            self.server.open()
        except smtplib.SMTPResponseException as refusal:
            self.fail(f"The mail server rejected our sign-in: {_words(refusal.smtp_code, refusal.smtp_error)}")
        except (OSError, smtplib.SMTPException) as problem:
            self.fail(f"We couldn’t reach the mail server: {problem}")

    def fail(self, trouble: str) -> None:
        log.warning(trouble)
        self.trouble = trouble
        self.server.close()


def send_due(*, limit: int = 5000, now_fn: Callable[[], datetime] = clock.now) -> SendReport:
    """Send every note that is due, up to ``limit``. Two senders at once share the work and repeat nothing.

    1 claim a batch (FOR UPDATE SKIP LOCKED, committed at once), 2 for each: renew the claim, ask whether the
    note is still true, send it over the batch's one connection, mark it. A sender that is killed leaves claims
    that run out after NOTE_LEASE_SECONDS. A note goes out twice only after a crash between the server's 250 and
    our mark, and then it carries the same Message-ID.
    """
    report = SendReport()
    done = 0
    while done < limit:
        claim = uuid.uuid4()
        taken = _claim(claim, min(BATCH, limit - done), now_fn())
        if not taken:
            break
        done += len(taken)
        if _send_batch(taken, claim, report, now_fn):
            # What is left stays due: asking a server that is in trouble once per look is enough.
            break
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
    ids = list(rows.select_for_update(no_key=True, skip_locked=True).values_list("pk", flat=True)[:size])
    Note.objects.filter(pk__in=ids).update(state=NoteState.SENDING, claim=claim, claimed_until=_until(now))
    return ids


def _until(now: datetime) -> datetime:
    return now + timedelta(seconds=settings.NOTE_LEASE_SECONDS)


def _send_batch(ids: list[int], claim: uuid.UUID, report: SendReport, now_fn: Callable[[], datetime]) -> str:
    """Send the claimed notes over one connection; returns what is wrong with it, or nothing."""
    line = Line(get_connection())
    try:
        for pk in ids:
            mine = Note.objects.filter(pk=pk, claim=claim, state=NoteState.SENDING)
            # Whoever was slow enough to lose its claim just moves on.
            if not mine.update(claimed_until=_until(now_fn())):
                continue
            _send_one(Note.objects.get(pk=pk), line, report, now_fn())
    finally:
        line.server.close()
    return line.trouble


def _send_one(note: Note, line: Line, report: SendReport, now: datetime) -> None:
    """Send one claimed note and mark it. Once the line has trouble the rest of the batch waits without a try."""
    try:
        mail = build(note, now)
    except Stale as reason:
        _mark(note, report, state=NoteState.DROPPED, last_answer=str(reason))
        return
    except Exception:
        _give_up(note, report)
        return
    if not line.trouble:
        line.open()
    if line.trouble:
        _wait(note, report, line.trouble, now)
        return
    try:
        line.server.send_messages([mail])
    except smtplib.SMTPRecipientsRefused as refusal:
        line.breaks = 0
        _refused(note, report, *next(iter(refusal.recipients.values())), now)
    except smtplib.SMTPResponseException as refusal:
        if isinstance(refusal, smtplib.SMTPSenderRefused) and refusal.smtp_code >= 500:
            # It is our own address that may not send: no note would fare better.
            line.fail(f"The mail server rejected our “from” address: {_words(refusal.smtp_code, refusal.smtp_error)}")
            _wait(note, report, line.trouble, now)
            return
        _refused(note, report, refusal.smtp_code, refusal.smtp_error, now)
        line.server.close()
    except (OSError, smtplib.SMTPException) as problem:
        broken = f"The mail server dropped the connection: {problem}"
        line.breaks += 1
        if line.breaks >= MOST_BREAKS:
            line.fail(broken)
        else:
            line.server.close()
        _wait(note, report, broken, now)
    except Exception:
        _give_up(note, report)
        line.server.close()
    else:
        line.breaks = 0
        _mark(note, report, state=NoteState.SENT, sent_at=now, tries=F("tries") + 1, last_answer="")


def _give_up(note: Note, report: SendReport) -> None:
    """Our own fault, called where it is caught: one such note must not hold up the others, and must not be lost."""
    log.exception("Note %s could not be written.", note.pk)
    words = "We couldn’t build this email. Check the name and the address."
    _mark(note, report, state=NoteState.STUCK, last_answer=words)


def _words(code: int, said: bytes | str) -> str:
    """The server's own words, its number first."""
    return f"{code} {said.decode(errors='replace') if isinstance(said, bytes) else said}"


def _refused(note: Note, report: SendReport, code: int, said: bytes | str, now: datetime) -> None:
    if code >= 500:
        _mark(note, report, state=NoteState.STUCK, last_answer=_words(code, said), tries=F("tries") + 1)
    else:
        _wait(note, report, _words(code, said), now)


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
