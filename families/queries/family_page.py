"""What the family's own page, the spot page and the letters to guardians read. Only ever one guardian's own."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from clinics.models import Clinic, Status
from core import clock
from families.models import Child, FamilyRequest, Guardian, GuardianAddress, Spot, SpotState
from families.queries.spots import bands_of
from families.queries.waivers import WaiverBook, open_waivers
from families.rules.allergies import NEVER_ANSWERED
from families.rules.spots import age_at, band_of
from outbox.models import Note, NoteState

__all__ = [
    "FamilyChild",
    "FamilyPage",
    "FamilySpot",
    "OpenClinic",
    "calendar_sequence",
    "calendar_uid",
    "clinic_children",
    "family_page",
    "family_spots",
    "mail_arrives",
    "unanswered_children",
    "unsigned_children",
]

MOST_CLINICS = 12


@dataclass(frozen=True)
class FamilySpot:
    """``state`` is "held", "offered" or "waiting", the last with its number in the row."""

    spot: Spot
    child: Child
    clinic: Clinic
    state: str
    number: int
    signed: bool

    @property
    def answer_by(self) -> datetime | None:
        """On the wall clock of the center, without its zone: templates must not move it."""
        by = self.spot.answer_by
        return by.astimezone(self.clinic.center.tz) if by else None


@dataclass(frozen=True)
class FamilyChild:
    child: Child
    age: int


@dataclass(frozen=True)
class Choice:
    """A child who could come to an open clinic. ``signed``: nothing more is needed than one press."""

    child: Child
    signed: bool


@dataclass(frozen=True)
class OpenClinic:
    clinic: Clinic
    choices: list[Choice]


@dataclass(frozen=True)
class FamilyPage:
    children: list[FamilyChild]
    spots: list[FamilySpot]
    clinics: list[OpenClinic]
    requests: list[FamilyRequest]
    new_address: GuardianAddress | None
    mail_arrives: bool


def family_page(guardian: Guardian, now: datetime) -> FamilyPage:
    """Read everything on the family's own page, in a constant number of queries."""
    children = list(Child.objects.known().filter(guardianships__guardian=guardian))
    book = open_waivers((child.pk for child in children), clock.home_zone())
    spots = family_spots(guardian, now, book)
    today = now.astimezone(clock.home_zone()).date()
    return FamilyPage(
        children=[FamilyChild(child, age_at(child.birth_date, today)) for child in children],
        spots=spots,
        clinics=_open_clinics(children, book, now),
        requests=list(FamilyRequest.objects.filter(guardian=guardian)[:6]),
        new_address=GuardianAddress.objects.filter(guardian=guardian, confirmed_at=None).first(),
        mail_arrives=mail_arrives(guardian),
    )


def family_spots(guardian: Guardian, now: datetime, book: WaiverBook | None = None) -> list[FamilySpot]:
    """Live spots that this guardian asked for, at clinics that are not over. Another guardian's are not shown."""
    rows = list(
        Spot.objects.live()
        .filter(guardian=guardian, clinic__ends_at__gt=now)
        .exclude(clinic__status=Status.CANCELLED)
        .select_related("child", "clinic__center", "guardian")
        .prefetch_related("clinic__bands")
        .order_by("clinic__starts_at", "child__name", "pk")
    )
    if book is None:
        book = open_waivers((row.child_id for row in rows), clock.home_zone())
    numbers = _waiting_numbers(rows)
    return [
        FamilySpot(
            spot=row,
            child=row.child,
            clinic=row.clinic,
            state="waiting" if row.state == SpotState.WAITING else "offered" if row.answer_by else "held",
            number=numbers.get(row.pk, 0),
            signed=book.on(row.child_id, row.clinic.day).ok,
        )
        for row in rows
    ]


def _waiting_numbers(rows: list[Spot]) -> dict[int, int]:
    """The number in the row of their age band for each spot that waits. One query."""
    clinics = {row.clinic_id: row.clinic for row in rows if row.state == SpotState.WAITING}
    if not clinics:
        return {}
    count: dict[tuple[int, object], int] = {}
    found: dict[int, int] = {}
    waiting = Spot.objects.waiting().filter(clinic__in=clinics)
    for pk, clinic, age in waiting.values_list("pk", "clinic", "age"):
        key = (clinic, band_of(age, bands_of(clinics[clinic])))
        count[key] = count.get(key, 0) + 1
        found[pk] = count[key]
    return found


def _open_clinics(children: list[Child], book: WaiverBook, now: datetime) -> list[OpenClinic]:
    """Clinics that take families, with the children of theirs who have the age and no spot yet. Three queries."""
    clinics = Clinic.objects.filter(status=Status.CONFIRMED, takes_families=True, starts_at__gt=now)
    clinics = clinics.select_related("center").prefetch_related("bands").order_by("starts_at", "pk")
    taken = set(Spot.objects.live().filter(child__in=children, clinic__ends_at__gt=now).values_list("child", "clinic"))
    found = []
    for clinic in clinics[: MOST_CLINICS * 4]:
        choices = clinic_children(clinic, children, book, taken)
        if choices:
            found.append(OpenClinic(clinic, choices))
    return found[:MOST_CLINICS]


def clinic_children(
    clinic: Clinic, children: Iterable[Child], book: WaiverBook, taken: set[tuple[int, int]]
) -> list[Choice]:
    """The children who fit the clinic and have no spot there. ``taken`` holds (child, clinic) of live spots."""
    bands = bands_of(clinic)
    return [
        Choice(child, book.on(child.pk, clinic.day).ok)
        for child in children
        if (child.pk, clinic.pk) not in taken and band_of(age_at(child.birth_date, clinic.day), bands) is not None
    ]


def mail_arrives(guardian: Guardian) -> bool:
    """False when the mail server refused the last note to the address that we have now."""
    if not guardian.email:
        return True
    notes = Note.objects.about(guardian).filter(to_email__iexact=guardian.email)
    ended = notes.filter(state__in=[NoteState.SENT, NoteState.STUCK]).order_by("-due_at", "-pk")
    return ended.values_list("state", flat=True).first() != NoteState.STUCK


def unsigned_children(guardian: Guardian, clinic: Clinic) -> list[Child]:
    """Their children with a live spot at the clinic and no current waiver on its day."""
    rows = Spot.objects.live().filter(clinic=clinic, child__guardianships__guardian=guardian).select_related("child")
    # A spot that another guardian asked for is theirs to sign for; one of the office is everybody's.
    children = {row.child_id: row.child for row in rows if row.guardian_id in (None, guardian.pk)}
    book = open_waivers(children, clock.home_zone())
    return [child for child in children.values() if not book.on(child.pk, clinic.day).ok]


def unanswered_children(guardian: Guardian, clinic: Clinic) -> list[Child]:
    """Their children with a live spot at the clinic of whom nobody ever answered whether they have allergies."""
    rows = Spot.objects.live().filter(clinic=clinic, child__guardianships__guardian=guardian).select_related("child")
    open_ones = rows.filter(child__allergies_answer=NEVER_ANSWERED)
    return list({row.child_id: row.child for row in open_ones if row.guardian_id in (None, guardian.pk)}.values())


def calendar_uid(guardian: Guardian, clinic: Clinic, host: str) -> str:
    """The calendar entry's UID: one for each household and clinic, which says nothing of who the children are.

    It names the first spot that was asked for there. That row stays when the household becomes one with the one that
    was known, since the first mail with an entry goes out before that.
    """
    assert isinstance(clinic.uid, UUID)
    first = Spot.objects.filter(clinic=clinic, guardian=guardian).order_by("pk").values_list("pk", flat=True).first()
    whose = f"p{first}" if first else guardian.pk
    return f"family-{whose}-{clinic.uid}@{host}"


def calendar_sequence(guardian: Guardian, clinic: Clinic) -> int:
    """RFC 5545 SEQUENCE: rises with the clinic's moves, and with each spot that is asked for or ends."""
    states = list(Spot.objects.filter(clinic=clinic, guardian=guardian).values_list("state", flat=True))
    return clinic.revision + len(states) + states.count(SpotState.GIVEN_UP)
