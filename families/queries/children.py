"""Children as lines of a list: the same number of queries for fifty of two hundred thousand."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from clinics.models import Clinic
from families.models import Child, Guardianship, Spot
from families.models.children import ChildQuerySet
from families.queries.waivers import open_waivers, photos_allowed
from families.words.waivers import until_words, waiver_flag
from people.rules.ages import age_on

__all__ = ["CSV_HEAD", "ChildLine", "at_clinic", "child_lines", "clinics_to_choose", "csv_rows"]

CSV_HEAD = (
    "child_name", "birth_date", "experience", "school_year", "guardian_name", "guardian_email", "guardian_phone",
    "language", "emergency_name", "emergency_phone", "waiver", "waiver_until", "photos",
)  # fmt: skip
PIECE = 2000


@dataclass(frozen=True)
class ChildLine:
    child: Child
    age: int
    flag_kind: str
    flag_word: str
    until: date | None
    until_words: str
    photos: bool
    guardians: list[Guardianship] = field(default_factory=list)
    next_spot: Spot | None = None


def at_clinic(rows: ChildQuerySet, clinic: Clinic) -> ChildQuerySet:
    """Only children with a spot at the clinic, held or waiting."""
    return rows.filter(pk__in=Spot.objects.live().filter(clinic=clinic).values("child_id"))


def clinics_to_choose(now: datetime) -> list[Clinic]:
    """The clinics by which the list of children can be narrowed."""
    rows = Clinic.objects.live().ahead(now).select_related("center").order_by("starts_at", "pk")
    return list(rows[:60])


def child_lines(children: Sequence[Child], today: date, now: datetime) -> list[ChildLine]:
    """Describe each child in a line. Five queries. What is locked stays closed; ``has_care`` says if there is some."""
    numbers = [child.pk for child in children]
    book, photos = open_waivers(numbers), photos_allowed(numbers)
    guardians: dict[int, list[Guardianship]] = {}
    for row in Guardianship.objects.filter(child_id__in=numbers).select_related("guardian").order_by("child_id", "pk"):
        guardians.setdefault(row.child_id, []).append(row)
    spots: dict[int, Spot] = {}
    coming = (
        Spot.objects.live().filter(child_id__in=numbers, clinic__ends_at__gt=now).exclude(clinic__status="cancelled")
    )
    for spot in coming.select_related("clinic__center").order_by("clinic__starts_at", "pk"):
        spots.setdefault(spot.child_id, spot)
    lines = []
    for child in children:
        standing = book.on(child.pk, today)
        kind, word = waiver_flag(standing)
        lines.append(
            ChildLine(
                child=child,
                age=age_on(child.birth_date, max(today, child.birth_date)),
                flag_kind=kind,
                flag_word=word,
                until=standing.until,
                until_words=until_words(standing),
                photos=child.pk in photos,
                guardians=guardians.get(child.pk, []),
                next_spot=spots.get(child.pk),
            )
        )
    return lines


def csv_rows(rows: ChildQuerySet, today: date, now: datetime) -> Iterator[tuple[object, ...]]:
    """One row for each guardian of each child; nothing that is locked."""
    numbers = list(rows.values_list("pk", flat=True))
    for start in range(0, len(numbers), PIECE):
        piece = Child.objects.filter(pk__in=numbers[start : start + PIECE]).order_by("name", "pk")
        for line in child_lines(list(piece.defer("allergies", "care_notes")), today, now):
            child = line.child
            guardians: list[Guardianship | None] = [*line.guardians] or [None]
            for one in guardians:
                who = one.guardian if one else None
                yield (
                    child.name, child.birth_date, child.experience, child.school_year,
                    who.name if who else "", who.email if who else "", who.phone if who else "",
                    who.language if who else "", one.emergency_name if one else "",
                    one.emergency_phone if one else "", line.flag_word, line.until, "yes" if line.photos else "no",
                )  # fmt: skip
