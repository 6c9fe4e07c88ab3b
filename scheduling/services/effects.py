"""What a change would do to everybody, found by doing it and taking it back."""

import hashlib
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext, gettext_lazy

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core.formats import span
from families.models import Guardian, Spot
from kits.services.holds import kit_of
from outbox.letters import label_of
from outbox.models import Note
from outbox.services.writing import noting
from people.models import duties
from scheduling.letters.bookings import (
    BOOKING_ASK,
    BOOKING_CALLED_OFF,
    BOOKING_SHORTER,
    BOOKING_TAKEN,
    SPACE_RELEASED,
)
from scheduling.models import Booking
from scheduling.services.changing import supposing
from shifts.models import Assignment, Backup, Reply, Swap
from shifts.queries.shift_needs import shift_count
from shifts.services.shifts import Difference

__all__ = ["ClinicEffect", "Effects", "PersonEffect", "carry_out", "effects_of"]

CENTER_WORDS = {
    BOOKING_ASK: gettext_lazy("We’ll ask %(name)s for the space again. The clinic is tentative until they answer."),
    BOOKING_SHORTER: gettext_lazy("%(name)s doesn’t need to answer again. We’ll tell them we need less time."),
    BOOKING_TAKEN: gettext_lazy("We’ll tell %(name)s we accept their suggested time."),
    BOOKING_CALLED_OFF: gettext_lazy("We’ll tell %(name)s we’re releasing the space."),
    SPACE_RELEASED: gettext_lazy("We’ll tell %(name)s we’re releasing the space."),
}


@dataclass(frozen=True)
class PersonEffect:
    """``what`` is one of "stays", "asked again", "released", "called off", "stands down", "swap ends".

    ``why`` gives the reason of a release, and the other person of a swap.
    """

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
    spots_ended: int


@dataclass(frozen=True)
class Effects:
    clinics: list[ClinicEffect]
    notes: list[tuple[str, str]]  # to whom, what

    @property
    def fingerprint(self) -> str:
        """A text that changes whenever anything that the page shows changes."""
        return hashlib.sha256(repr((self.clinics, self.notes)).encode()).hexdigest()[:32]

    @property
    def quiet(self) -> bool:
        """Whether nobody outside the office would notice."""
        return not self.notes and not any(one.people or one.spots_ended or one.kit for one in self.clinics)


@dataclass(frozen=True)
class _Before:
    words: str
    people: dict[int, int]
    shifts: Counter[str]
    kit: str
    spots: set[int]
    backups: dict[int, tuple[str, str]]
    swaps: dict[int, tuple[str, str, str]]


def effects_of(act: Callable[[], object], clinics: Iterable[Clinic]) -> Effects:
    """Say what ``act`` would do to these clinics and whom it would write to; everything is taken back.

    Raises whatever ``act`` raises.
    """
    with supposing():
        return _done(act, clinics)


def carry_out(act: Callable[[], object], clinics: Iterable[Clinic], seen: str) -> tuple[Effects, bool]:
    """Do ``act``, and keep it if its effects have the fingerprint ``seen`` or nobody outside the office would notice.

    Returns the effects and whether it was kept; when it was not, everything is taken back. Looking and doing are one
    transaction under the clinics' locks, so what somebody agreed to is what happens.
    """
    with transaction.atomic():
        effects = _done(act, clinics)
        done = effects.quiet or effects.fingerprint == seen
        if not done:
            transaction.set_rollback(True)
    return effects, done


def _done(act: Callable[[], object], clinics: Iterable[Clinic]) -> Effects:
    numbers = [row.pk for row in clinics]
    rows = {row.pk: row for row in Clinic.objects.locked_in(numbers)}
    before = {pk: _look(row) for pk, row in rows.items()}
    with noting() as written:
        act()
    fresh = {row.pk: row for row in Clinic.objects.select_related("center").filter(pk__in=numbers)}
    effects = [
        _effect(before[pk], fresh[pk], [note for note in written if note.number_of(Clinic) == pk])
        for pk in numbers
        if pk in before
    ]
    return Effects(effects, [(note.to_name, label_of(note.kind)) for note in written])


def _hours(clinic: Clinic) -> str:
    return f"{clinic_words(clinic)}, {span(clinic.local_start, clinic.local_end)}"


def _look(clinic: Clinic) -> _Before:
    people = Assignment.objects.live().filter(shift__clinic=clinic).values_list("pk", "sequence")
    return _Before(
        words=_hours(clinic),
        people=dict(people),
        shifts=shift_count(clinic),
        kit=_kit(clinic),
        spots=set(Spot.objects.live().filter(clinic=clinic).values_list("pk", flat=True)),
        backups={
            row.pk: (row.volunteer.name, duties().name(row.duty_id))
            for row in Backup.objects.filter(clinic=clinic).select_related("volunteer")
        },
        swaps={
            row.pk: (row.assignment.volunteer.name, row.assignment.shift.duty_name, row.to.name)
            for row in _open_swaps(clinic).select_related("assignment__volunteer", "assignment__shift", "to")
        },
    )


def _open_swaps(clinic: Clinic) -> QuerySet[Swap]:
    return Swap.objects.filter(assignment__shift__clinic=clinic, state__in=[Swap.State.ASKED, Swap.State.AGREED])


def _kit(clinic: Clinic) -> str:
    kit = kit_of(clinic)
    return kit.name if kit else ""


def _effect(before: _Before, clinic: Clinic, notes: list[Note]) -> ClinicEffect:
    rows = Assignment.objects.filter(pk__in=before.people).select_related("volunteer", "shift").order_by("pk")
    people = [effect for row in rows if (effect := _person(row, before.people[row.pk], clinic)) is not None]
    back_up = set(Backup.objects.filter(clinic=clinic).values_list("pk", flat=True))
    people += [PersonEffect(*who, "stands down") for pk, who in before.backups.items() if pk not in back_up]
    asked = set(_open_swaps(clinic).values_list("pk", flat=True))
    people += [
        PersonEffect(name, duty, "swap ends", gettext("the swap with %(name)s") % {"name": to})
        for pk, (name, duty, to) in before.swaps.items()
        if pk not in asked
    ]
    centers = [CENTER_WORDS[note.kind] % {"name": note.to_name} for note in notes if note.kind in CENTER_WORDS]
    kit = _kit(clinic)
    after = shift_count(clinic)
    live = set(Spot.objects.live().filter(clinic=clinic).values_list("pk", flat=True))
    held = Booking.objects.live().filter(clinic=clinic).select_related("space").first()
    return ClinicEffect(
        before=before.words,
        after="cancelled" if not clinic.live else f"{_hours(clinic)}{f', {held.space.name}' if held else ''}",
        center=" ".join(centers),
        kit=_kit_words(before.kit, kit, clinic.live),
        shifts=Difference(after - before.shifts, before.shifts - after, Counter()).words(),
        people=people,
        households=len({note.number_of(Guardian) for note in notes} - {None}),
        spots_ended=len(before.spots - live),
    )


def _kit_words(before: str, after: str, live: bool) -> str:
    if before == after:
        return ""
    if after:
        return gettext("%(kit)s will be booked for this clinic.") % {"kit": after}
    sentence = gettext("%(kit)s will no longer be used.") if live else gettext("%(kit)s will be free again.")
    return sentence % {"kit": before}


def _person(row: Assignment, sequence: int, clinic: Clinic) -> PersonEffect | None:
    name, duty = row.volunteer.name, row.shift.duty_name
    if row.released_at is not None:
        if not clinic.live:
            return PersonEffect(name, duty, "called off")
        return PersonEffect(name, duty, "released", row.released_because)
    if row.sequence == sequence:
        return None
    return PersonEffect(name, duty, "stays" if row.reply == Reply.ACCEPTED else "asked again")
