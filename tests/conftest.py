"""The cast: the same few people, whose roles are always the same, and a stranger who must see nothing."""

import os
import uuid
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from datetime import UTC, date, datetime, time, timedelta
from types import SimpleNamespace
from typing import Any

import pytest
from django.contrib.auth.models import Group
from django.db import connection
from django.test import Client
from hypothesis import settings as property_settings

from clinics.models import AgeBand, Center, Clinic, Space, Status
from core import clock
from core.once import reading
from core.rules.local_time import localize
from families.models import WaiverText
from families.services.households import ChildFacts, HouseholdFacts, PickupPersonFacts
from families.services.registering import register
from floor.services.phones import open_phone
from people.models import Clearance, ClearanceKind, PolicyRow, User, Volunteer
from scheduling.models import SET_UP, TAKE_DOWN, Booking
from shifts.models import Assignment, Reply, Shift
from shifts.queries.eligibility import assignment_period
from tests import clock as tests_clock
from tests import emptying, spared
from tests.servers import TEMPLATE_NAMED

# A whole safety sheet.
SAFE = {
    "defibrillator": "Beside the front desk",
    "first_aid_kit": "Kitchen, red cabinet",
    "hospital": "Larkmoor General, 1 Hill Road, 555-0190",
    "assembly_point": "Car park, by the oak",
    "plan_seen_on": date(2026, 9, 1),
}
PASSWORD = "maple floor and chalk"

# A property is tried with the same examples in every run; `make fuzz` draws fresh ones and says how to draw them again.
property_settings.register_profile("same", derandomize=True, deadline=None, database=None)
property_settings.register_profile("fresh", derandomize=False, deadline=None, database=None, print_blob=True)
property_settings.load_profile("same")

# Files that take longest: begun first, so that no worker is left alone with one of them at the end.
LONGEST = (
    "faults/test_demo_lifecycle.py",
    "browser/test_pages.py",
    "faults/test_floor_order.py",
    "reference/test_rotation.py",
    "people/test_standing_in_bulk.py",
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A stable order: every worker must collect the same."""
    ends = {name: place for place, name in enumerate(LONGEST)}
    items.sort(key=lambda item: next((place for name, place in ends.items() if item.path.match(name)), len(ends)))


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings: None) -> None:
    """Each worker's database is a copy of the migrated one; see tests/prepared.py."""
    if TEMPLATE_NAMED in os.environ:
        connection.settings_dict["TEST"]["TEMPLATE"] = os.environ[TEMPLATE_NAMED]


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, django_db_blocker: Any) -> None:
    """Remember the tables before the first test. Each test that commits puts them back."""
    with django_db_blocker.unblock():
        emptying.remember()


emptying.swiftly()
spared.list_static_files_once()


def pytest_collection_finish() -> None:
    spared.collect_seldom()


def make_account(role: str, name: str) -> User:
    # The roles are there: each migrate writes them, and so does each emptying of the tables after a test.
    account = User.objects.create_user(f"{role.split()[0]}@example.org", PASSWORD, name=name)
    account.groups.add(Group.objects.get(name=role))
    return account


@pytest.fixture(autouse=True)
def first_moment() -> Iterator[None]:
    """Every test begins at the same instant."""
    with tests_clock.at(tests_clock.INSTANT):
        yield


@pytest.fixture
def move_clock() -> Iterator[Callable[..., None]]:
    """``move_clock(instant)`` sets the clock until the end of the test; time goes on from there."""
    with ExitStack() as moves:
        yield lambda instant, tick=True: moves.enter_context(tests_clock.at(instant, tick=tick))


@pytest.fixture(autouse=True)
def one_reading() -> Iterator[None]:
    """A test without a page reads small tables once, as a request does."""
    with reading():
        yield


@pytest.fixture
def admin(db: None) -> User:
    return make_account("admin", "Wilhelmina Ashdown")


@pytest.fixture
def coordinator(db: None) -> User:
    return make_account("coordinator", "Perpetua Lang")


@pytest.fixture
def floor_lead(db: None) -> User:
    return make_account("floor lead", "Oswin Tarrant")


@pytest.fixture
def stranger() -> Client:
    """A person without an account."""
    return Client()


@pytest.fixture
def signed_in() -> Callable[[User], Client]:
    def inner(account: User) -> Client:
        client = Client()
        client.force_login(account, backend="django.contrib.auth.backends.ModelBackend")
        return client

    return inner


@pytest.fixture
def policy(db: None) -> dict[str, ClearanceKind]:
    """Screening and conduct training for everybody (24 and 12 months); first aid for first aiders."""
    made = ClearanceKind.objects.bulk_create(
        ClearanceKind(code=code, name=name)
        for code, name in (
            ("screening", "screening check"),
            ("conduct", "conduct training"),
            ("first_aid", "first-aid certificate"),
        )
    )
    kinds = {kind.code: kind for kind in made}
    rows = []
    for duty in ("lead", "coach", "door", "stem_lead", "first_aider"):
        rows.append(PolicyRow(duty_id=duty, kind=kinds["screening"], months=24))
        rows.append(PolicyRow(duty_id=duty, kind=kinds["conduct"], months=12))
    rows.append(PolicyRow(duty_id="first_aider", kind=kinds["first_aid"], months=24))
    PolicyRow.objects.bulk_create(rows)
    return kinds


@pytest.fixture
def make_volunteer(policy: dict[str, ClearanceKind]) -> Callable[..., Volunteer]:
    """A volunteer whose clearances are current for a year from ``issued_on``, unless told otherwise."""
    count = 0

    def inner(
        name: str = "",
        duties: tuple[str, ...] = ("coach",),
        cleared: tuple[str, ...] = ("screening", "conduct"),
        issued_on: date | None = None,
        **more: Any,
    ) -> Volunteer:
        nonlocal count
        count += 1
        volunteer = Volunteer.objects.create(
            name=name or f"Volunteer {count:03}",
            email=more.pop("email", f"volunteer{count}@example.org"),
            duties=list(duties),
            **more,
        )
        Clearance.objects.bulk_create(
            Clearance(
                volunteer=volunteer,
                kind=policy[code],
                issued_on=issued_on or clock.today() - timedelta(days=30),
            )
            for code in cleared
        )
        return volunteer

    return inner


@pytest.fixture
def make_center(db: None) -> Callable[..., Center]:
    count = 0

    def inner(name: str = "", **more: Any) -> Center:
        nonlocal count
        count += 1
        facts = {
            "address": f"{count} Fenner Row, Larkmoor",
            "arrival": "Side door on Fenner Row",
            "contact_name": "Maude Ferriby",
            "contact_email": f"center{count}@example.org",
            "time_zone": "America/New_York",
            # Papers are asked for in the tests that are about papers.
            "asks_agreement": False,
            "asks_insurance": False,
            **SAFE,
        }
        return Center.objects.create(name=name or f"Center {count:03}", **(facts | more))

    return inner


@pytest.fixture
def make_space(make_center: Callable[..., Center]) -> Callable[..., Space]:
    count = 0

    def inner(center: Center | None = None, name: str = "", **more: Any) -> Space:
        nonlocal count
        count += 1
        return Space.objects.create(
            center=center or make_center(),
            name=name or f"Floor {count}",
            **({"hoops": 4, "capacity": 60} | more),
        )

    return inner


@pytest.fixture
def make_clinic(make_space: Callable[..., Space]) -> Callable[..., Clinic]:
    """A confirmed clinic ``days`` from today, 09:30 to 11:30 at its center, its floor held."""

    def inner(
        space: Space | None = None,
        days: int = 10,
        starts: time = time(9, 30),
        ends: time = time(11, 30),
        children: int = 16,
        ages: tuple[int, int] = (7, 10),
        status: str = Status.CONFIRMED,
        **more: Any,
    ) -> Clinic:
        space = space or make_space()
        tz = space.center.tz
        day = clock.today(tz) + timedelta(days=days)
        clinic = Clinic.objects.create(
            center=space.center,
            starts_at=localize(day, starts, tz).astimezone(UTC),
            ends_at=localize(day, ends, tz).astimezone(UTC),
            status=status,
            **more,
        )
        AgeBand.objects.create(clinic=clinic, youngest=ages[0], oldest=ages[1], children=children)
        Booking.objects.create(
            clinic=clinic,
            space=space,
            period=(clinic.starts_at - SET_UP, clinic.ends_at + TAKE_DOWN),
            status=status,
            asked_at=clock.now(),
        )
        return clinic

    return inner


@pytest.fixture
def make_shift(make_clinic: Callable[..., Clinic]) -> Callable[..., Shift]:
    def inner(clinic: Clinic | None = None, duty: str = "coach") -> Shift:
        clinic = clinic or make_clinic()
        return Shift.objects.create(clinic=clinic, duty_id=duty, position=clinic.shifts.count() + 1)

    return inner


@pytest.fixture
def make_assignment(
    make_shift: Callable[..., Shift], make_volunteer: Callable[..., Volunteer]
) -> Callable[..., Assignment]:
    def inner(
        shift: Shift | None = None,
        volunteer: Volunteer | None = None,
        reply: str = Reply.ACCEPTED,
        **more: Any,
    ) -> Assignment:
        shift = shift or make_shift()
        now = clock.now()
        return Assignment.objects.create(
            shift=shift,
            volunteer=volunteer or make_volunteer(duties=(shift.duty_id,)),
            period=assignment_period(shift.clinic),
            reply=reply,
            asked_at=now,
            replied_at=None if reply == Reply.NEEDS_ACTION else now,
            **more,
        )

    return inner


@pytest.fixture
def waiver_text(db: None) -> WaiverText:
    """The published English text, version 1, signed for 12 months."""
    return WaiverText.objects.create(
        version=1, language="en", title="Taking part", body="We take part.", published_at=clock.now()
    )


@pytest.fixture
def household(waiver_text: WaiverText) -> Callable[..., HouseholdFacts]:
    """What a guardian typed: one child of eight, signed, unless told otherwise."""
    count = 0

    def inner(*children: tuple[str, date], **more: Any) -> HouseholdFacts:
        nonlocal count
        count += 1
        born = clock.today().replace(day=1) - timedelta(days=8 * 366)
        facts = {
            "guardian_name": f"Guardian {count:03}",
            "email": f"guardian{count}@example.org",
            "emergency_name": "Aunt Sorrel",
            "emergency_phone": "555-0123",
            "children": [
                ChildFacts(name, day, allergies_answer="none")
                for name, day in children or ((f"Child {count:03}", born),)
            ],
            "pickup_people": [PickupPersonFacts("Uncle Bram")],
            "signed": f"Guardian {count:03}",
            "text": waiver_text,
            "came_from": "192.0.2.7",
        }
        return HouseholdFacts(**(facts | more))  # type: ignore[arg-type]

    return inner


@pytest.fixture
def floor(
    make_clinic: Any, make_shift: Any, make_assignment: Any, make_volunteer: Any, household: Any, now: datetime
) -> SimpleNamespace:
    """A clinic in an hour with its lead, a coach and three children, and the lead's phone."""

    day = SimpleNamespace(clinic=make_clinic(days=1))
    day.clinic.starts_at, day.clinic.ends_at = now + timedelta(hours=1), now + timedelta(hours=3)
    day.clinic.save()
    lead = make_volunteer(duties=("lead",), name="Oswin Tarrant", email="lead@example.org")
    day.lead = make_assignment(make_shift(day.clinic, "lead"), lead)
    day.coach = make_assignment(make_shift(day.clinic, "coach"))
    day.children = []
    for name in ("Wren Ash", "Fern Moss", "Bryn Vale"):
        facts = household((name, date(day.clinic.day.year - 9, 1, 1)))
        if name == "Wren Ash":
            object.__setattr__(facts, "children", [ChildFacts(name, facts.children[0].birth_date, allergies="peanuts")])
        day.children.append(register(clinic=day.clinic, facts=facts, once=uuid.uuid4(), now=now).spots[0].child)
    day.phone, day.secret = open_phone(clinic=day.clinic, volunteer=lead, came_from="192.0.2.9", now=now)
    return day


@pytest.fixture
def now() -> datetime:
    return clock.now()
