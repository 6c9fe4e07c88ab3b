"""The coverage strip: one cell per position of a clinic. Three queries for any number of clinics."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from clinics.models import Clinic
from people.models import DutyBook, duties
from people.queries.standing import StandingBook, open_book
from people.rules.standing import Standing
from shifts.models import Assignment, Reply, Shift
from shifts.words.strips import cell_words, cover_words

__all__ = ["Cell", "Strip", "cover_flag", "strips"]


@dataclass(frozen=True)
class Cell:
    shift: Shift
    letter: str
    duty: str
    state: str  # accepted, asked, open or cannot
    assignment: Assignment | None = None
    standing: Standing | None = None

    @property
    def word(self) -> str:
        return cell_words(self.state)

    @property
    def person(self) -> str:
        return self.assignment.volunteer.name if self.assignment else ""


@dataclass(frozen=True)
class Strip:
    cells: list[Cell] = field(default_factory=list)

    def count(self, state: str) -> int:
        return sum(cell.state == state for cell in self.cells)

    @property
    def accepted(self) -> int:
        return self.count("accepted")

    @property
    def total(self) -> int:
        return len(self.cells)


def strips(clinics: Iterable[Clinic]) -> tuple[dict[int, Strip], StandingBook]:
    """A strip per clinic id, and the standing book that judged it. Clinics need ``center`` loaded."""
    by_id = {clinic.pk: clinic for clinic in clinics}
    live = {
        row.shift_id: row
        for row in Assignment.objects.live().filter(shift__clinic__in=by_id).select_related("volunteer")
    }
    book = open_book({row.volunteer_id for row in live.values()})
    names = duties()
    cells: dict[int, list[Cell]] = {pk: [] for pk in by_id}
    for shift in Shift.objects.filter(clinic__in=by_id).order_by("clinic_id", "position"):
        shift.clinic = by_id[shift.clinic_id]
        cells[shift.clinic_id].append(_cell(shift, live.get(shift.pk), book, names))
    return {pk: Strip(row) for pk, row in cells.items()}, book


def _cell(shift: Shift, row: Assignment | None, book: StandingBook, names: DutyBook) -> Cell:
    letter, name = names.letter(shift.duty_id), names.name(shift.duty_id)
    if row is None:
        return Cell(shift, letter, name, "open")
    standing = book.on(row.volunteer_id, shift.duty_id, shift.clinic.day, shift.clinic.center.place)
    state = "cannot" if not standing.ok else "accepted" if row.reply == Reply.ACCEPTED else "asked"
    return Cell(shift, letter, name, state, row, standing)


def cover_flag(strip: Strip) -> tuple[str, str]:
    """Return the flag's kind and its word, chosen by the worst cell of the strip."""
    cannot, opened, asked = strip.count("cannot"), strip.count("open"), strip.count("asked")
    if cannot:
        return "stop", cover_words("cannot", cannot)
    if opened:
        return "stop" if opened == strip.total else "due", cover_words("open", opened)
    if asked:
        return "due", cover_words("asked", asked)
    return ("set", cover_words("set", 0)) if strip.total else ("plain", cover_words("no shifts", 0))
