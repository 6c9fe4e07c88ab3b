"""Clinics as lines by day, and everything that one clinic's page shows."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby

from django.urls import reverse
from django.utils.translation import gettext

from clinics.formatting import children_words
from clinics.models import Clinic, ClinicQuerySet, Status
from core.formats import clock_time
from families.models import Guardian
from kits.models import KitBooking
from outbox.models import Note, NoteState
from people.words.standing import why_not, worth_knowing
from scheduling.models import Booking
from scheduling.words.answers import answer_told, why_no_space
from shifts.models import Backup, Reply, ReplyRecord, Swap
from shifts.queries.backup_swaps import open_swaps
from shifts.queries.strips import Cell, Strip, cover_flag, strips

__all__ = [
    "ClinicLine",
    "ClinicPage",
    "Position",
    "clinic_page",
    "clinics_ahead",
    "clinics_past",
    "lines_by_day",
    "page_of_note",
]


@dataclass(frozen=True)
class ClinicLine:
    clinic: Clinic
    strip: Strip
    flag_kind: str
    flag_word: str

    @property
    def href(self) -> str:
        return reverse("clinic", args=[self.clinic.pk])

    @property
    def starts(self) -> str:
        return clock_time(self.clinic.local_start)

    @property
    def ends(self) -> str:
        return clock_time(self.clinic.local_end)

    @property
    def center(self) -> str:
        return self.clinic.center.name

    @property
    def status(self) -> str:
        return self.clinic.status

    @property
    def summary(self) -> str:
        return children_words(self.clinic)


def clinics_ahead(now: datetime) -> ClinicQuerySet:
    return Clinic.objects.ahead(now).select_related("center").prefetch_related("bands").order_by("starts_at", "pk")


def clinics_past(now: datetime) -> ClinicQuerySet:
    past = Clinic.objects.filter(ends_at__lte=now)
    return past.select_related("center").prefetch_related("bands").order_by("-starts_at", "-pk")


def lines_by_day(clinics: Iterable[Clinic]) -> list[tuple[date, list[ClinicLine]]]:
    """Clinics with their strips, grouped by the day at their center, in the order given."""
    rows = list(clinics)
    found, _ = strips([clinic for clinic in rows if clinic.live])
    lines = []
    for clinic in rows:
        strip = found.get(clinic.pk, Strip())
        kind, word = cover_flag(strip) if clinic.live else ("stop", gettext("cancelled"))
        lines.append(ClinicLine(clinic, strip, kind, word))
    return [(day, list(group)) for day, group in groupby(lines, key=lambda line: line.clinic.day)]


@dataclass(frozen=True)
class Position:
    """One shift on the clinic's page, with what is wrong or worth knowing about who has it."""

    cell: Cell
    problems: list[str]
    worth_knowing: list[str]


@dataclass(frozen=True)
class HistoryLine:
    at: datetime
    text: str
    flag_kind: str = ""
    flag_word: str = ""


@dataclass(frozen=True)
class ClinicPage:
    clinic: Clinic
    strip: Strip
    flag_kind: str
    flag_word: str
    positions: list[Position]
    booking: Booking | None
    earlier_bookings: list[Booking]
    kit: KitBooking | None
    history: list[HistoryLine]
    summary: str
    swaps: list[Swap]
    backups: list[Backup]
    no_space: str

    @property
    def suggested_start(self) -> datetime | None:
        return self._local(self.booking.suggested_start) if self.booking else None

    @property
    def suggested_end(self) -> datetime | None:
        return self._local(self.booking.suggested_end) if self.booking else None

    def _local(self, moment: datetime | None) -> datetime | None:
        return moment.astimezone(self.clinic.center.tz) if moment else None


def clinic_page(clinic: Clinic, today: date) -> ClinicPage:
    """Read everything that one clinic's page shows, in the same number of queries for any clinic.

    ``clinic`` needs ``center`` and ``bands`` loaded.
    """
    found, book = strips([clinic])
    strip = found[clinic.pk]
    flag_kind, flag_word = cover_flag(strip) if clinic.live else ("stop", gettext("cancelled"))
    positions = []
    for cell in strip.cells:
        problems: list[str] = []
        known: list[str] = []
        if cell.standing is not None:
            problems = why_not(cell.standing, book.kind_names, clinic.day, today)
            known = worth_knowing(cell.standing, book.kind_names, clinic.day)
        positions.append(Position(cell, problems, known))
    bookings = list(Booking.objects.filter(clinic=clinic).select_related("space").order_by("-pk"))
    live = next((b for b in bookings if b.status != Status.CANCELLED), None)
    return ClinicPage(
        clinic=clinic,
        strip=strip,
        flag_kind=flag_kind,
        flag_word=flag_word,
        positions=positions,
        booking=live,
        earlier_bookings=[b for b in bookings if b is not live],
        kit=KitBooking.objects.exclude(status=Status.CANCELLED)
        .filter(clinic=clinic)
        .select_related("kit__now_at")
        .first(),
        history=_history(clinic, bookings),
        summary=children_words(clinic),
        swaps=list(open_swaps().filter(assignment__shift__clinic=clinic)),
        backups=list(Backup.objects.filter(clinic=clinic).select_related("volunteer")),
        no_space=why_no_space(bookings[0] if bookings else None),
    )


def page_of_note(note: Note, may: Callable[[str], bool]) -> str:
    """The address of the clinic's page for a note about a clinic; "" for other notes and for who may not see it.

    Answers ``outbox.hooks.page_of_subject``.
    """
    number = note.number_of(Clinic)
    return reverse("clinic", args=[number]) if number is not None and may("people.see_clinics") else ""


NOTE_FLAGS = {
    NoteState.WAITING: "plain",
    NoteState.SENDING: "plain",
    NoteState.SENT: "set",
    NoteState.DROPPED: "plain",
    NoteState.STUCK: "stop",
}


def _history(clinic: Clinic, bookings: list[Booking]) -> list[HistoryLine]:
    """Answers, releases and notes of one clinic, latest first."""
    lines = [
        HistoryLine(
            note.sent_at or note.due_at,
            note.summary,
            NOTE_FLAGS[NoteState(note.state)],
            note.get_state_display(),
        )
        # Forty households would bury the few answers that the coordinator looks for; the outbox has their notes.
        for note in Note.objects.about(clinic).about_no(Guardian).order_by("-due_at", "-pk")[:50]
    ]
    replies = ReplyRecord.objects.filter(assignment__shift__clinic=clinic)
    for record in replies.select_related("assignment__shift", "assignment__volunteer").order_by("-at", "-pk")[:50]:
        row = record.assignment
        words = {
            Reply.ACCEPTED: gettext("%(name)s accepted: %(duty)s"),
            Reply.DECLINED: gettext("%(name)s declined: %(duty)s"),
            Reply.NEEDS_ACTION: gettext("%(name)s was asked again: %(why)s"),
        }[Reply(record.reply)]
        facts = {"name": row.volunteer.name, "duty": row.shift.duty_name, "why": record.by}
        lines.append(HistoryLine(record.at, words % facts))
    lines += [
        HistoryLine(booking.answered_at, answer_told(clinic.center.name, booking))
        for booking in bookings
        if booking.answered_at is not None
    ]
    return sorted(lines, key=lambda line: line.at, reverse=True)
