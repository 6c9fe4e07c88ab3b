"""Every foreign key to a volunteer, child or guardian has an answer: when two are one, and when one is forgotten.

The keys are read from the models of all apps, those that pghistory makes among them, so a table that somebody adds
without an answer is found here.
"""

import uuid
from collections.abc import Callable, Iterator, Sequence
from datetime import date, time, timedelta

import pytest
from django.apps import apps
from django.contrib.postgres.constraints import ExclusionConstraint
from django.db import models
from pghistory.models import Event

from core.merge import Forgotten, Key, Merged, declared, history_of, keys_to
from families import hooks
from families.letters.family_requests import FAMILY_REQUEST
from families.models import (
    Child,
    FamilyRequest,
    Guardian,
    GuardianAddress,
    Guardianship,
    PhotoAnswer,
    PickupPerson,
)
from families.services.households import confirm_guardian
from families.services.merge import merge_households
from families.services.notes_to_guardians import note_to_guardian
from families.services.redaction import forget_guardian
from families.services.registering import register
from families.services.retention import decide_request
from floor.models import FloorPhone, FloorStandIn
from floor.services.phones import log_readings
from outbox.models import Note
from people import hooks as of_people
from people.models import AddressChange, Application, Volunteer
from people.services.retention import purge_leavers
from shifts.models import (
    Away,
    Backup,
    BackupCall,
    KeptApart,
    Limits,
    Proposal,
    ProposalLine,
    Swap,
)
from shifts.models import WeeklyWindow as Window
from shifts.services.own_page import send_own_page
from tests.floor_days import entry, send
from tests.households import eight

RECORDS = [
    pytest.param(Volunteer, of_people.volunteer_keys, id="volunteer"),
    pytest.param(Child, hooks.child_keys, id="child"),
    pytest.param(Guardian, hooks.guardian_keys, id="guardian"),
]
GIVES_AN_ANSWER = pytest.mark.parametrize(("record", "hook"), RECORDS)


def named(model: type[models.Model], field: str) -> str:
    return f"{model.__name__}.{field}"


def unanswered(record: type[models.Model], keys: Sequence[Key]) -> list[str]:
    """Keys of which no app says what becomes of them."""
    answered = {(key.model, key.field) for key in keys}
    return sorted(named(key.model, key.name) for key in keys_to(record) if (key.model, key.name) not in answered)


def unique_in(model: type[models.Model], field: str) -> bool:
    """Whether two rows with one value of the field can stand in each other's way."""
    column = model._meta.get_field(field)
    if isinstance(column, models.OneToOneField):
        return True
    for rule in model._meta.constraints:
        if isinstance(rule, models.UniqueConstraint) and field in rule.fields:
            return True
        if isinstance(rule, ExclusionConstraint) and field in {
            name if isinstance(name, str) else getattr(name, "name", "") for name, _ in rule.expressions
        }:
            return True
    return False


@GIVES_AN_ANSWER
def test_every_key_has_one_answer_and_every_answer_a_key(record, hook):
    keys = declared(hook)
    assert unanswered(record, keys) == []
    assert sorted(named(key.model, key.field) for key in keys) == sorted(
        named(key.model, key.name) for key in keys_to(record)
    )


@GIVES_AN_ANSWER
def test_an_answer_that_is_taken_away_is_missed(record, hook):
    keys = declared(hook)
    assert len(keys) > 10
    for left_out in keys:
        rest = [key for key in keys if key is not left_out]
        assert unanswered(record, rest) == [named(left_out.model, left_out.field)]


@pytest.fixture
def make_table() -> Iterator[Callable[..., type[models.Model]]]:
    """A table of another app with a key to a record, for as long as the test runs; no row of it is ever written."""
    made = []

    def inner(record: type[models.Model]) -> type[models.Model]:
        body = {
            "__module__": __name__,
            "Meta": type("Meta", (), {"app_label": "core"}),
            "whose": models.ForeignKey(record, on_delete=models.CASCADE, related_name="+"),
        }
        made.append(f"new{record.__name__}table".lower())
        return type(f"New{record.__name__}Table", (models.Model,), body)

    yield inner
    for name in made:
        del apps.all_models["core"][name]
    apps.clear_cache()


@GIVES_AN_ANSWER
def test_a_new_table_that_nobody_answers_for_is_found(record, hook, make_table):
    table = make_table(record)
    assert unanswered(record, declared(hook)) == [named(table, "whose")]


@GIVES_AN_ANSWER
def test_what_one_record_can_not_hold_twice_is_not_just_moved(record, hook):
    stand_in_the_way = [key for key in declared(hook) if unique_in(key.model, key.field)]
    assert stand_in_the_way
    assert [named(key.model, key.field) for key in stand_in_the_way if key.joined is Merged.MOVES] == []


@GIVES_AN_ANSWER
def test_what_stays_says_why_and_history_only_ever_moves(record, hook):
    keys = declared(hook)
    assert [key.field for key in keys if key.forgotten is not Forgotten.GOES and not key.because] == []
    history = [key for key in keys if issubclass(key.model, Event)]
    assert history and {key.joined for key in history} == {Merged.MOVES}


@GIVES_AN_ANSWER
def test_a_table_is_settled_for_all_its_keys_or_for_none(record, hook):
    """``merge_rows`` leaves out whole tables."""
    for model in {key.model for key in declared(hook)}:
        assert len({key.joined is Merged.SETTLED for key in declared(hook) if key.model is model}) == 1


def test_a_guardians_row_goes_and_its_keys_do_what_they_declare():
    does = {models.CASCADE: {Forgotten.GOES}, models.SET_NULL: {Forgotten.UNBOUND}}
    keys = [key for key in declared(hooks.guardian_keys) if not issubclass(key.model, Event)]
    for key in keys:
        column = key.model._meta.get_field(key.field)
        assert isinstance(column, models.ForeignKey)
        assert key.forgotten in does[column.remote_field.on_delete], named(key.model, key.field)


def counts(keys: Sequence[Key], pk: int) -> dict[str, int]:
    return {
        named(key.model, key.field): key.model._base_manager.filter(**{f"{key.field}_id": pk}).count() for key in keys
    }


def check_forgotten(keys: Sequence[Key], before: dict[str, int], pk: int) -> None:
    """What is declared is what was done; of every key there was something to see it by."""
    assert [name for name, count in before.items() if not count] == []
    after = counts(keys, pk)
    for key in keys:
        name = named(key.model, key.field)
        if key.forgotten in (Forgotten.GOES, Forgotten.UNBOUND):
            assert after[name] == 0, name
        else:
            assert after[name] >= before[name], name


@pytest.mark.django_db
def test_a_forgotten_volunteer_leaves_what_is_declared(floor, make_volunteer, make_clinic, now):
    who = floor.coach.volunteer
    FloorPhone.objects.update(volunteer=who)
    FloorStandIn.objects.create(clinic=floor.clinic, volunteer=who, named_at=now)
    send(
        floor,
        entry(1, "in", now, who=f"v{who.pk}"),
        entry(2, "hours", now, who=f"v{who.pk}", minutes=95),
        entry(3, "incident", now, who=f"v{who.pk}", what="A fall", first_aid="", told="", witness="", head=False),
    )
    AddressChange.objects.create(volunteer=who, email="new@example.org", asked_at=now)
    Application.objects.create(name=who.name, email=who.email, volunteer=who, sent_at=now)
    send_own_page(volunteer=who, now=now)
    Away.objects.create(volunteer=who, first_day=now.date(), last_day=now.date())
    Limits.objects.create(volunteer=who)
    Window.objects.create(volunteer=who, weekday=1, starts=time(9), ends=time(12))
    KeptApart.objects.create(one=floor.lead.volunteer, other=who)
    KeptApart.objects.create(one=who, other=make_volunteer())
    clinic = make_clinic(days=9)
    Backup.objects.create(clinic=clinic, volunteer=who, duty_id="coach", since=now)
    BackupCall.objects.create(shift=floor.lead.shift, volunteer=who, asked_at=now)
    Swap.objects.create(assignment=floor.lead, to=who, asked_at=now)
    search = Proposal.objects.create(first_day=now.date(), last_day=now.date(), asked_at=now)
    ProposalLine.objects.create(proposal=search, clinic=clinic, duty="coach", kind="moved", volunteer=who, was=who)

    keys = declared(of_people.volunteer_keys)
    before = counts(keys, who.pk)
    assert Note.objects.about_any(Volunteer, [who.pk]).exists()
    Volunteer.objects.filter(pk=who.pk).update(left_on=date(2020, 1, 1))
    assert purge_leavers(today=date(2030, 1, 1), months=24, now=now) == 1
    check_forgotten(keys, before, who.pk)
    assert not Note.objects.about_any(Volunteer, [who.pk]).exists()


@pytest.fixture
def family(floor, admin, now):
    """A child who walked in, was hurt and went home, and their guardian, with everything that we ever keep of both."""
    walk = {
        "who": "w-1", "name": "Juno Reed", "born": "2018-01-01", "guardian": "Orla Reed", "phone": "555-0144",
        "signed": "Orla Reed", "photo": False, "pickup": "Uncle Rafe", "allergies": "bees", "paper": True,
    }  # fmt: skip
    send(
        floor,
        entry(1, "walk-in", now, **walk),
        entry(2, "in", now, who="w-1"),
        entry(3, "score", now, who="w-1", what="free throws", made=3, tried=9),
        entry(4, "incident", now, who="w-1", what="A fall", first_aid="Ice", told="Orla", witness="", head=False),
        entry(5, "out", now, who="w-1", pickup="Uncle Rafe"),
    )
    child, guardian = Child.objects.get(name="Juno Reed"), Guardian.objects.get(name="Orla Reed")
    log_readings(phone=floor.phone, children=[child], now=now)
    PickupPerson.objects.create(child=child, name="Aunt Sorrel", named_by=guardian, recorded_at=now)
    return child, guardian


@pytest.mark.django_db
def test_a_forgotten_child_leaves_what_is_declared(floor, family, admin, now):
    child, guardian = family
    keys = declared(hooks.child_keys)
    before = counts(keys, child.pk)
    request = FamilyRequest.objects.create(guardian=guardian, what="erasure", asked_at=now)
    after = floor.clinic.ends_at + timedelta(hours=2)
    decide_request(request=request, grant=True, reason="", by=admin, now=after, keep_waivers=False)
    check_forgotten(keys, before, child.pk)


@pytest.mark.django_db
def test_a_forgotten_guardian_leaves_what_is_declared(floor, make_clinic, household, admin, now):
    clinic = make_clinic()
    facts = household(("Wren Reed", eight(clinic)), email="orla@example.org", guardian_name="Orla Reed")
    made = register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now)
    guardian = made.registration.guardian
    guardian.phone = "555-0199"
    guardian.save()
    child = made.spots[0].child
    PickupPerson.objects.create(child=child, name="Aunt Sorrel", named_by=guardian, recorded_at=now)
    GuardianAddress.objects.create(guardian=guardian, email="new@example.org", asked_at=now)
    FamilyRequest.objects.create(guardian=guardian, what="copy", asked_at=now)
    note_to_guardian(kind=FAMILY_REQUEST, what="request 1", guardian=guardian, summary="A letter", now=now)
    keys = declared(hooks.guardian_keys)
    before, pk = counts(keys, guardian.pk), guardian.pk
    assert Note.objects.about_any(Guardian, [pk]).exists()
    forget_guardian(guardian=guardian)
    check_forgotten(keys, before, pk)
    assert not Note.objects.about_any(Guardian, [pk]).exists()


@pytest.mark.django_db
def test_two_households_with_an_open_question_each_become_one_with_theirs_who_stays(make_clinic, household, now):
    clinic, both = make_clinic(), []
    for name in ("Wren Reed", "Bryn Reed"):
        facts = household((name, eight(clinic)), email="orla@example.org", guardian_name="Orla Reed")
        guardian = register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).registration.guardian
        GuardianAddress.objects.create(guardian=guardian, email=f"{name[:4]}@example.org", asked_at=now)
        FamilyRequest.objects.create(guardian=guardian, what="copy", asked_at=now)
        both.append(guardian)
    known, new = both
    assert confirm_guardian(guardian=known, now=now) is None
    merge_households(new=new, known=known, now=now)

    assert [row.email for row in GuardianAddress.objects.all()] == ["Wren@example.org"]
    assert FamilyRequest.objects.get().guardian == known and Guardianship.objects.filter(guardian=known).count() == 2
    assert PhotoAnswer.objects.filter(guardian=known).count() == 2 and Note.objects.about_no(Guardian).count() == 0
    assert Note.objects.about(known).count() == Note.objects.count() > 0
    assert history_of(Guardianship)._default_manager.exclude(guardian_id=known.pk).count() == 0
