"""The demo's households. Every name here is invented."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from clinics.models import AgeBand, Clinic, Status
from demo.spots import give_spots
from families.models import Child, Guardian, Guardianship, PhotoAnswer, Spot, SpotState, Waiver, WaiverText
from families.queries.waiver_texts import current_text
from families.services.family_records import keep_away
from families.services.households import (
    ChildFacts,
    HouseholdFacts,
    PickupPersonFacts,
    write_household,
)
from families.services.placeholder_texts import publish_placeholder_if_none
from families.services.spots import end_spot
from outbox.models import Note, NoteState
from people.models import User
from people.rules.ages import age_on

__all__ = ["load_families"]


@dataclass(frozen=True)
class Home:
    """One household. ``children`` have a given name and an age today; ``care`` is allergies and notes of the first.

    For ``waiver`` see ``_waiver``.
    """

    guardian: str
    family: str
    children: tuple[tuple[str, int], ...]
    language: str = "en"
    care: tuple[str, str] = ("", "")
    pickup_person: str = ""
    photos: bool = True
    waiver: str = "signed"
    # Whether the guardian ever answered the question about allergies.
    answered: bool = True


HOMES = (
    Home("Marisol", "Ibarrola", (("Tomás", 9), ("Lucía", 9)), "es", ("Peanuts", "Carries an inhaler"), "Abuela Inés"),
    Home("Corwin", "Ashlock", (("Wren", 10),), care=("", "Wears hearing aids; face her when you speak")),
    Home("Theda", "Brindlemoor", (("Osric", 9), ("Elowen", 7)), pickup_person="Uncle Barnaby"),
    Home("Jolanta", "Fennimore", (("Kasia", 11),), photos=False),
    Home("Rufus", "Gallowglen", (("Hettie", 8),), waiver="missing"),
    Home("Araceli", "Montesol", (("Nico", 12),), "es", ("Bee stings", ""), "Tía Rosario"),
    Home("Winifred", "Pellwater", (("Jonah", 10),), waiver="expired"),
    Home("Desmond", "Okonjo-Vale", (("Zuri", 9),), pickup_person="Neighbor Mr. Pim", answered=False),
    Home("Hyacinth", "Quarrier", (("Percival", 8), ("Dorothea", 11))),
    Home("Ignatius", "Roake", (("Tamsin", 7),), care=("Eggs", "")),
    Home("Beryl", "Sandiford", (("Amos", 13),)),
    Home("Celestino", "Tamarindo", (("Paloma", 8),), "es", photos=False),
    Home("Leocadia", "Umberfield", (("Cyrus", 12),)),
    Home("Evander", "Vesper", (("Briony", 10), ("Fitz", 13)), care=("", "Needs a quiet corner when it is loud")),
    Home("Norah", "Wickenden", (("Silas", 9),), pickup_person="Grandfather Ezra"),
    Home("Priscus", "Yarrowby", (("Linnet", 11),), waiver="expired"),
    Home("Ottoline", "Zeller", (("Gideon", 8),)),
    Home("Abelard", "Crake", (("Mabel", 9),)),
    Home("Rosamund", "Dunmarrow", (("Ivo", 10),), waiver="missing", answered=False),
    Home("Estela", "Floresta", (("Mateo", 7), ("Abril", 10)), "es", pickup_person="Primo Julián"),
    Home("Ferdinand", "Holloway-Pike", (("Cora", 12),)),
    Home("Isolde", "Juniper", (("Barnaby", 8),)),
    Home("Kenelm", "Lackland", (("Sabra", 9),), care=("Milk", "")),
    Home("Millicent", "Nightfern", (("Otis", 11),)),
    Home("Obadiah", "Prewett", (("Delia", 10),), answered=False),
    Home("Quentina", "Rushbrook", (("Hal", 13), ("Nell", 8))),
    Home("Sylvester", "Thornbury-Oke", (("Ada", 9),)),
    Home("Ursula", "Vantongeren", (("Piers", 7),)),
    Home("Xanthe", "Winterbourne", (("Lowell", 12),)),
    Home("Zebedee", "Arkwright", (("Juno", 10),)),
)


def load_families(*, by: User, today: date, now: datetime) -> None:
    """Write households, their spots at past and coming clinics, and a full clinic with an open offer and who waits."""
    publish_placeholder_if_none(now=now)
    text = current_text("en")
    assert text is not None
    children = [child for number, home in enumerate(HOMES) for child in _home(number, home, text, today, now)]
    _second_guardian(children[2], now)
    keep_away(
        child=children[5], name="Ranulf Fennimore", relation="her father",
        seen="Order of the Larkmoor County court, March 3, shown to Perpetua Lang", by=by, now=now,
    )  # fmt: skip
    _spots(children, now)
    # Families heard of all this in their time.
    Note.objects.about_some(Guardian).filter(state=NoteState.WAITING).exclude(kind="spot-offer").update(
        state=NoteState.SENT, sent_at=now - timedelta(hours=1), tries=1
    )


def _home(number: int, home: Home, text: WaiverText, today: date, now: datetime) -> list[Child]:
    facts = [
        ChildFacts(
            name=f"{given} {home.family}",
            birth_date=_born(age, today, number),
            experience=("new", "some", "team")[number % 3],
            school_year=f"Grade {age - 5}" if age > 5 else "",
            allergies=home.care[0] if place == 0 else "",
            allergies_answer="none" if home.answered else "",
            care_notes=home.care[1] if place == 0 else "",
        )
        for place, (given, age) in enumerate(home.children)
    ]
    name = f"{home.guardian} {home.family}"
    signed = home.waiver == "signed"
    guardian, children = write_household(
        facts=HouseholdFacts(
            guardian_name=name,
            emergency_name=f"Aunt {('Sorrel', 'Maudie', 'Clemence')[number % 3]}",
            emergency_phone=f"555-01{60 + number % 40}",
            email=f"{home.guardian.lower()}@example.org",
            phone=f"555-01{30 + number % 70}",
            language=home.language,
            children=facts,
            pickup_people=[PickupPersonFacts(home.pickup_person)] if home.pickup_person else [],
            photos=home.photos,
            signed=name if signed else "",
            text=text if signed else None,
            came_from="192.0.2.20" if signed else None,
        ),
        today=today,
        now=now - timedelta(days=20),
    )
    Guardian.objects.filter(pk=guardian.pk).update(confirmed_at=now - timedelta(days=19))
    if home.waiver == "expired":
        for child in children:
            day = today - timedelta(days=380)
            Waiver.objects.create(
                child=child, guardian=guardian, text=text, text_hash=text.hash, typed_name=name,
                signed_at=now - timedelta(days=380), signed_on=day, until=today - timedelta(days=15),
                came_from="192.0.2.20",
            )  # fmt: skip
    return children


def _born(age: int, today: date, number: int) -> date:
    """A birthday some months ago, so that nobody turns a year older at one of the coming clinics."""
    return today - timedelta(days=round(age * 365.25) + 60 + number * 7 % 200)


def _second_guardian(child: Child, now: datetime) -> None:
    other = Guardian.objects.create(
        name="Ambrose Ashlock", email="ambrose.ashlock@example.org", phone="555-0199",
        registered_at=now - timedelta(days=18), confirmed_at=now - timedelta(days=18),
    )  # fmt: skip
    Guardianship.objects.create(
        guardian=other, child=child, emergency_name="Ambrose himself", emergency_phone="555-0199"
    )
    PhotoAnswer.objects.create(child=child, guardian=other, allowed=True, answered_at=now - timedelta(days=18))


def _spots(children: list[Child], now: datetime) -> None:
    confirmed = Clinic.objects.filter(status=Status.CONFIRMED).select_related("center").order_by("starts_at", "pk")
    coming = list(confirmed.filter(starts_at__gt=now)[:6])
    if len(coming) > 1:
        # The second clinic is small, so that it is full and children wait for it.
        AgeBand.objects.filter(clinic=coming[1]).update(children=6)
    for number, clinic in enumerate(coming):
        asking = _of_age(children, clinic)[number % 2 : 14 + number % 2]
        give_spots(clinic=clinic, children=asking, now=now - timedelta(days=5))
    if len(coming) > 1:
        first = Spot.objects.held().filter(clinic=coming[1]).select_related("clinic__center").first()
        if first is not None:
            end_spot(spot=first, because="given up by the guardian", now=now)
    for clinic in confirmed.filter(ends_at__lte=now):
        Spot.objects.bulk_create(
            Spot(
                clinic=clinic, child=child, guardian=child.guardianships.all()[0].guardian, state=SpotState.HELD,
                age=age, asked_at=clinic.starts_at - timedelta(days=9),
            )
            for child, age in ((one, _age(one, clinic)) for one in _of_age(children, clinic)[:12])
        )  # fmt: skip


def _age(child: Child, clinic: Clinic) -> int:
    return age_on(child.birth_date, clinic.day)


def _of_age(children: list[Child], clinic: Clinic) -> list[Child]:
    bands = list(clinic.bands.all())
    return [one for one in children if any(band.youngest <= _age(one, clinic) <= band.oldest for band in bands)]
