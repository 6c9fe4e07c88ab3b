"""What a change would do to everybody, found by doing it and taking it back."""

import hashlib
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from django.db.models import Max

from clinics.models import Clinic, Place
from scheduling.models import Assignment, Booking, KitBooking, Note, NoteKind, Reply
from scheduling.services.changing import supposing
from scheduling.services.shifts import Difference, shift_count
from scheduling.words import clinic_words, span

__all__ = ["ClinicEffect", "Effects", "PersonEffect", "effects_of"]

CENTER_WORDS = {
    NoteKind.BOOKING_ASK: "is asked for the floor again; the clinic is tentative until then",
    NoteKind.BOOKING_SHORTER: "keeps its yes and is told that we need the floor for less",
    NoteKind.BOOKING_CALLED_OFF: "is told that the floor is given back",
}


@dataclass(frozen=True)
class PersonEffect:
    """``what`` is one of "stays", "asked again", "released", "called off"; ``why`` says it for a release."""

    name: str
    duty: str
    what: str
    why: str = ""


@dataclass(frozen=True)
class ClinicEffect:
    before: str
    after: str
    center: str
    kit: str
    shifts: str
    people: list[PersonEffect]
    households: int
    places_ended: int


@dataclass(frozen=True)
class Effects:
    clinics: list[ClinicEffect]
    notes: list[tuple[str, str]]  # to whom, what

    @property
    def fingerprint(self) -> str:
        """Changes whenever anything that the page shows does."""
        return hashlib.sha256(repr((self.clinics, self.notes)).encode()).hexdigest()[:32]

    @property
    def quiet(self) -> bool:
        """Whether nobody outside the office would notice."""
        return not self.notes and not any(one.people or one.places_ended or one.kit for one in self.clinics)


@dataclass(frozen=True)
class _Before:
    words: str
    people: dict[int, tuple[int, str]]
    shifts: Counter[str]
    kit: str
    places: set[int]


def effects_of(act: Callable[[], object], clinics: Iterable[Clinic]) -> Effects:
    """What ``act`` would do to these clinics and whom it would write to; nothing of it stays.

    Raises whatever ``act`` refuses with.
    """
    rows = list(clinics)
    before = {row.pk: _look(row) for row in rows}
    last = Note.objects.aggregate(last=Max("pk"))["last"] or 0
    with supposing():
        act()
        fresh = {row.pk: row for row in Clinic.objects.select_related("center").filter(pk__in=before)}
        written = list(Note.objects.filter(pk__gt=last).order_by("pk"))
        effects = [
            _effect(before[row.pk], fresh[row.pk], [note for note in written if note.clinic_id == row.pk])
            for row in rows
        ]
        notes = [(note.to_name, NoteKind(note.kind).label) for note in written]
    return Effects(effects, notes)


def _hours(clinic: Clinic) -> str:
    return f"{clinic_words(clinic)}, {span(clinic.local_start, clinic.local_end)}"


def _look(clinic: Clinic) -> _Before:
    people = Assignment.objects.live().filter(shift__clinic=clinic).values_list("pk", "sequence", "reply")
    return _Before(
        words=_hours(clinic),
        people={pk: (sequence, reply) for pk, sequence, reply in people},
        shifts=shift_count(clinic),
        kit=_kit(clinic),
        places=set(Place.objects.live().filter(clinic=clinic).values_list("pk", flat=True)),
    )


def _kit(clinic: Clinic) -> str:
    row = KitBooking.objects.exclude(status="cancelled").filter(clinic=clinic).select_related("kit").first()
    return row.kit.name if row else ""


def _effect(before: _Before, clinic: Clinic, notes: list[Note]) -> ClinicEffect:
    rows = Assignment.objects.filter(pk__in=before.people).select_related("volunteer", "shift").order_by("pk")
    people = [effect for row in rows if (effect := _person(row, *before.people[row.pk], clinic)) is not None]
    center = next((CENTER_WORDS[NoteKind(note.kind)] for note in notes if note.kind in CENTER_WORDS), "")
    kit = _kit(clinic)
    after = shift_count(clinic)
    live = set(Place.objects.live().filter(clinic=clinic).values_list("pk", flat=True))
    held = Booking.objects.live().filter(clinic=clinic).select_related("space").first()
    return ClinicEffect(
        before=before.words,
        after="cancelled" if not clinic.live else f"{_hours(clinic)}{f', {held.space.name}' if held else ''}",
        center=f"{clinic.center.booking_contact.name} {center}" if center else "",
        kit="" if kit == before.kit else f"{before.kit} is free again" if not kit else f"{kit} is packed for it",
        shifts=Difference(after - before.shifts, before.shifts - after, Counter()).words(),
        people=people,
        households=len({note.guardian_id for note in notes if note.guardian_id}),
        places_ended=len(before.places - live),
    )


def _person(row: Assignment, sequence: int, reply: str, clinic: Clinic) -> PersonEffect | None:
    name, duty = row.volunteer.name, row.shift.duty_name
    if row.released_at is not None:
        if not clinic.live:
            return PersonEffect(name, duty, "called off")
        return PersonEffect(name, duty, "released", row.released_because)
    if row.sequence == sequence:
        return None
    return PersonEffect(name, duty, "stays" if row.reply == Reply.ACCEPTED else "asked again")
