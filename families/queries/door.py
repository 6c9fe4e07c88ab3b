"""The sign-in sheet: who has a spot, who may pick them up, and what to look out for."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from clinics.models import Clinic
from families.hooks import kept_from_play
from families.models import Child, Guardianship, PickupPerson, Spot, SpotState
from families.queries.waivers import open_waivers, photos_allowed
from families.rules.waivers import WaiverStanding
from families.words.waivers import until_words, waiver_flag, waiver_words
from people.rules.names import same_name
from people.rules.near_names import near

__all__ = [
    "BandSpots",
    "DoorLine",
    "MayPickUp",
    "band_spots",
    "by_family_name",
    "door_lines",
    "spot_lines",
    "with_twins",
]


@dataclass(frozen=True)
class MayPickUp:
    """Someone who may take the child home. ``like``: who must not pick up and has a name like theirs."""

    name: str
    relation: str
    like: str


@dataclass(frozen=True)
class DoorLine:
    spot: Spot
    child: Child
    waiver: WaiverStanding
    flag_kind: str
    flag_word: str
    until_words: str
    photos: bool
    guardianships: list[Guardianship] = field(default_factory=list)
    pickup_people: list[PickupPerson] = field(default_factory=list)
    kept_away: list[PickupPerson] = field(default_factory=list)
    # Lines that may be the same child: until somebody says so or not, what is known of either stands at both.
    twins: list["DoorLine"] = field(default_factory=list)
    # Since which day the child may watch and not play; see ``families.hooks.not_to_play``.
    not_to_play: date | None = None

    @property
    def has_care(self) -> bool:
        return any(one.child.has_care for one in (self, *self.twins))

    @property
    def allergies(self) -> str:
        return _each_once(one.child.allergies for one in (self, *self.twins))

    @property
    def care_notes(self) -> str:
        return _each_once(one.child.care_notes for one in (self, *self.twins))

    @property
    def handed_to(self) -> list[Guardianship]:
        """Guardians who may take the child home: one of them may be whom the office keeps away."""
        return [one for one in self.guardianships if not _barred(one.guardian.name, self.kept_away)]

    @property
    def may_pick_up(self) -> list[MayPickUp]:
        """Guardians first, then the others."""
        named = [(one.guardian.name, "") for one in self.handed_to]
        named += [(one.name, one.relation) for one in self.pickup_people]
        return [MayPickUp(name, relation, _like(name, self.kept_away)) for name, relation in named]

    @property
    def emergency(self) -> Guardianship | None:
        """The first guardian's contact, where that one has named any."""
        named = [one for one in self.guardianships if one.emergency_phone]
        return next(iter([one for one in named if one in self.handed_to] or named), None)

    @property
    def waiver_words(self) -> str:
        return waiver_words(self.waiver)

    @property
    def offered(self) -> bool:
        """Came free for this child, and the guardian has not said yes yet."""
        return self.spot.answer_by is not None


@dataclass(frozen=True)
class BandSpots:
    youngest: int
    oldest: int
    spots: int
    held: int  # those whose guardian was only offered the spot are not among them
    offered: int
    waiting: int

    @property
    def free(self) -> int:
        return max(0, self.spots - self.held - self.offered)


def _barred(name: str, kept_away: Iterable[PickupPerson]) -> bool:
    return any(same_name(name, one.name) for one in kept_away)


def _like(name: str, kept_away: Iterable[PickupPerson]) -> str:
    return ", ".join(one.name for one in kept_away if near(name, one.name))


def by_family_name(name: str) -> tuple[str, str]:
    """The sort key of a name: the last word first."""
    words = name.casefold().split()
    return (words[-1] if words else "", name.casefold())


def door_lines(clinic: Clinic, *, with_care: bool, waiting: bool = False, also: Collection[int] = ()) -> list[DoorLine]:
    """List everyone who has a spot, by family name, in eight queries; with ``waiting`` those who wait for one too.

    The children in ``also`` are listed whatever became of their place. Without ``with_care`` nothing locked is loaded.
    """
    rows = Spot.objects.live() if waiting else Spot.objects.held()
    if also:
        rows |= Spot.objects.filter(child__in=also)
    rows = rows.filter(clinic=clinic).select_related("child")
    if not with_care:
        rows = rows.defer("child__allergies", "child__care_notes")
    return _lines(_one_each(rows) if also else rows, clinic.day)


def _one_each(rows: Iterable[Spot]) -> list[Spot]:
    """One spot of each child: the one that is live, or else the last."""
    chosen: dict[int, Spot] = {}
    for row in sorted(rows, key=lambda one: (one.state != SpotState.GIVEN_UP, one.pk)):
        chosen[row.child_id] = row
    return list(chosen.values())


def spot_lines(clinic: Clinic) -> tuple[list[DoorLine], list[DoorLine]]:
    """List those who have a spot, by family name, and those who wait, first come first."""
    rows = Spot.objects.live().filter(clinic=clinic).select_related("child")
    lines = _lines(rows.defer("child__allergies", "child__care_notes"), clinic.day)
    waiting = [line for line in lines if line.spot.state == SpotState.WAITING]
    waiting.sort(key=lambda line: (line.spot.asked_at, line.spot.pk))
    return [line for line in lines if line.spot.state == SpotState.HELD], waiting


def band_spots(clinic: Clinic) -> list[BandSpots]:
    """Count the spots of each band. One query beside the clinic's bands."""
    rows = list(Spot.objects.live().filter(clinic=clinic).values_list("age", "state", "answer_by"))
    out = []
    for band in sorted(clinic.bands.all(), key=lambda band: band.youngest):
        mine = [(state, by) for age, state, by in rows if band.youngest <= age <= band.oldest]
        held = [by for state, by in mine if state == SpotState.HELD]
        offered = sum(by is not None for by in held)
        waiting = sum(state == SpotState.WAITING for state, _ in mine)
        out.append(BandSpots(band.youngest, band.oldest, band.children, len(held) - offered, offered, waiting))
    return out


def with_twins(lines: Sequence[DoorLine], pairs: Iterable[tuple[int, int]]) -> list[DoorLine]:
    """The same lines, each beside those that may be the same child: care, photos and who must not pick up are of both.

    ``pairs``: numbers of two children each.
    """
    by = {line.child.pk: line for line in lines}
    beside: dict[int, list[DoorLine]] = {}
    for one, other in pairs:
        if one in by and other in by:
            beside.setdefault(one, []).append(by[other])
            beside.setdefault(other, []).append(by[one])
    return [_beside(line, beside[line.child.pk]) if line.child.pk in beside else line for line in lines]


def _beside(line: DoorLine, twins: list[DoorLine]) -> DoorLine:
    kept_away = list(line.kept_away)
    for mark in (mark for twin in twins for mark in twin.kept_away):
        if not _barred(mark.name, kept_away):
            kept_away.append(mark)
    return replace(
        line,
        twins=twins,
        photos=line.photos and all(twin.photos for twin in twins),
        kept_away=kept_away,
        pickup_people=[one for one in line.pickup_people if not _barred(one.name, kept_away)],
    )


def _each_once(texts: Iterable[str]) -> str:
    found: list[str] = []
    for text in texts:
        if text and not any(text.casefold() in one.casefold() for one in found):
            found.append(text)
    return "\n".join(found)


def _marked_elsewhere(children: Iterable[Child]) -> dict[int, list[PickupPerson]]:
    """Whom the office keeps away from another record of the same child: each of two homes may have registered it.

    One query. Names are looked up as an index holds them, so in the letters in which people write one.
    """
    known = list(children)
    names = {way for one in known for way in (one.name, one.name.lower(), one.name.upper(), one.name.title())}
    marks = PickupPerson.objects.in_force().filter(must_not=True, child__name__in=names)
    marks = marks.filter(child__birth_date__in={one.birth_date for one in known})
    found: dict[int, list[PickupPerson]] = {}
    for row in marks.select_related("child").defer("child__allergies", "child__care_notes"):
        for one in known:
            alike = one.birth_date == row.child.birth_date and same_name(one.name, row.child.name)
            if alike and one.pk != row.child_id:
                found.setdefault(one.pk, []).append(row)
    return found


def _lines(rows: Iterable[Spot], day: date) -> list[DoorLine]:
    spots = list(rows)
    numbers = [spot.child_id for spot in spots]
    book, photos = open_waivers(numbers), photos_allowed(numbers)
    kept_out = kept_from_play([spot.child for spot in spots])
    guardianships: dict[int, list[Guardianship]] = {}
    for row in Guardianship.objects.filter(child_id__in=numbers).select_related("guardian").order_by("child_id", "pk"):
        guardianships.setdefault(row.child_id, []).append(row)
    may: dict[int, list[PickupPerson]] = {}
    must_not: dict[int, list[PickupPerson]] = {}
    for one in PickupPerson.objects.in_force().filter(child_id__in=numbers).order_by("child_id", "name"):
        (must_not if one.must_not else may).setdefault(one.child_id, []).append(one)
    for number, marks in _marked_elsewhere([spot.child for spot in spots]).items():
        ours = must_not.setdefault(number, [])
        ours += [one for one in marks if not _barred(one.name, ours)]
    lines = []
    for spot in spots:
        child = spot.child
        standing = book.on(child.pk, day)
        kind, word = waiver_flag(standing)
        lines.append(
            DoorLine(
                spot=spot,
                child=child,
                waiver=standing,
                flag_kind=kind,
                flag_word=word,
                until_words=until_words(standing),
                photos=child.pk in photos,
                guardianships=guardianships.get(child.pk, []),
                # A guardian is not told whom the office keeps away, and may have named just that person.
                pickup_people=[
                    one for one in may.get(child.pk, []) if not _barred(one.name, must_not.get(child.pk, []))
                ],
                kept_away=must_not.get(child.pk, []),
                not_to_play=kept_out.get(child.pk),
            )
        )
    return sorted(lines, key=lambda line: by_family_name(line.child.name))
