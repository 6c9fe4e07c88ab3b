"""What forgetting meets on its way: who comes again, who is here at this moment, and copies that lie elsewhere."""

import uuid
from datetime import timedelta

import pytest
from django.apps import apps
from django.db import connection

from core.refusal import Refusal
from families.models import Child, FamilyRequest, Guardian, Guardianship, PhotoAnswer, Spot, SpotState, Waiver
from families.queries.waivers import photos_allowed
from families.services.care import write_care
from families.services.households import answer_photo
from families.services.merge import confirm_household
from families.services.registering import register
from families.services.retention import decide_request, purge_children
from families.services.retention_guardians import purge_guardians
from families.services.spot_books import take_spot
from floor.models import FloorAction, Incident, SignIn
from outbox.models import Note
from people.models import Import
from people.services.imports import read_table, start_taking, take_in_pieces, undo
from tests.floor_days import entry, send
from tests.households import confirmed, eight
from tests.street import APPS

pytestmark = pytest.mark.django_db
LATER = timedelta(days=800)
TABLE = (
    "guardian_name,guardian_email,guardian_phone,language,child_name,birth_date,experience,school_year,allergies,"
    "care_notes,emergency_name,emergency_phone,pickup_people\n"
    "Corwin Ashlock,corwin@example.org,555-0131,es,Wren Ashlock,2018-03-04,new,,Walnuts,,Tilda Crake,555-0132,Ezra\n"
    "Marla Vale,marla@example.org,555-0133,en,Fern Vale,2018-05-06,new,,,,Tilda Vale,555-0134,\n"
)


@pytest.fixture
def come(make_clinic, household, now):
    def inner(name="Wren Ash", clinic=None, at=None, **more):
        clinic = clinic or make_clinic()
        facts = household((name, eight(clinic)), **({"email": "ash@example.org", "guardian_name": "Rowan Ash"} | more))
        return register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=at or now).spots[0]

    return inner


def everything():
    """Every row of every table that could name somebody, history included."""
    out = []
    with connection.cursor() as cursor:
        for model in apps.get_models():
            if model._meta.app_label in APPS:
                cursor.execute(f"select coalesce(string_agg(t::text, chr(10)), '') from \"{model._meta.db_table}\" t")
                out.append(cursor.fetchone()[0])
    return "\n".join(out)


def erase(guardian, admin, now, **more):
    request = FamilyRequest.objects.create(guardian=guardian, what="erasure", asked_at=now)
    return decide_request(request=request, grant=True, reason="", by=admin, now=now, **more)


def purge(at):
    purge_children(today=at.date(), now=at)
    purge_guardians(today=at.date(), now=at)


def test_a_child_who_comes_again_after_the_notes_went_has_months_of_their_own(come, make_clinic, household, now):
    """A brother keeps the household here, so the child is registered again by the family's own page."""
    spot = come()
    guardian, child = confirmed(spot.guardian, now), spot.child
    brother = Child.objects.create(name="Oak Ash", birth_date=child.birth_date, registered_at=now)
    Guardianship.objects.create(guardian=guardian, child=brother)
    Spot.objects.create(clinic=make_clinic(days=790), child=brother, state=SpotState.HELD, age=8, asked_at=now)
    purge(now + LATER)
    child.refresh_from_db()
    assert child.redacted_at is not None

    again = make_clinic(days=805, ages=(7, 12))
    take_spot(clinic=again, child=child, guardian=guardian, now=now + LATER)
    write_care(child=child, allergies="peanuts", care_notes="")
    brother.delete()
    purge(again.ends_at + timedelta(days=1))
    guardian.refresh_from_db()
    child.refresh_from_db()
    assert guardian.name == "Rowan Ash" and child.allergies == "peanuts", "the household is here again"
    purge(again.ends_at + LATER)
    child.refresh_from_db()
    assert child.allergies == "" and not Guardian.objects.exclude(name="").exists()


def test_what_is_written_without_a_new_spot_goes_after_the_same_months(come, now):
    spot = come()
    purge_children(today=(now + LATER).date(), now=now + LATER)
    Child.objects.update(redacted_at=now + LATER)
    write_care(child=spot.child, allergies="peanuts", care_notes="")
    purge_children(today=(now + LATER).date(), now=now + LATER)
    assert Child.objects.get().allergies == "peanuts"
    purge_children(today=(now + 2 * LATER).date(), now=now + 2 * LATER)
    assert Child.objects.get().allergies == "" and Child.objects.get().name == "Wren Ash"


def test_a_pared_record_that_becomes_one_with_a_new_one_is_kept_as_the_new_one_is(come, make_clinic, now):
    spot = come()
    confirmed(spot.guardian, now)
    at = now + LATER
    purge_children(today=at.date(), now=at)
    again = come(clinic=make_clinic(days=805, ages=(7, 12)), at=at)
    Child.objects.update(birth_date=spot.child.birth_date)
    confirm_household(guardian=again.guardian, now=at)

    child = Child.objects.get()
    assert child == spot.child and child.redacted_at is None


def test_who_waits_for_an_answer_of_ours_is_not_forgotten_meanwhile(come, now):
    spot = come(signed="", text=None)
    row = FamilyRequest.objects.create(guardian=spot.guardian, what="copy", asked_at=now + LATER)
    purge_children(today=(now + LATER).date(), now=now + LATER)

    assert FamilyRequest.objects.get() == row and Child.objects.get().name == "Wren Ash"
    row.delete()
    purge_children(today=(now + LATER).date(), now=now + LATER)
    assert Child.objects.get().name == ""


def test_a_spot_of_a_guardian_who_leaves_does_not_stay_with_nobody_to_hear_of_it(come, admin, make_clinic, now):
    clinic = make_clinic(children=1)
    spot, waits = come(clinic=clinic), come("Fern Moss", clinic, email="moss@example.org")
    other = Guardian.objects.create(name="Linden", email="linden@example.org", registered_at=now, confirmed_at=now)
    Guardianship.objects.create(guardian=other, child=spot.child)
    theirs = take_spot(clinic=make_clinic(days=20), child=spot.child, guardian=other, now=now)
    erase(spot.guardian, admin, now)

    spot.refresh_from_db()
    waits.refresh_from_db()
    theirs.refresh_from_db()
    assert spot.state == SpotState.GIVEN_UP and theirs.state == SpotState.HELD
    assert waits.state == SpotState.HELD and waits.answer_by is not None


def test_nobody_is_forgotten_while_their_child_is_on_the_floor(come, admin, now):
    spot = come()
    clinic = spot.clinic
    at = clinic.starts_at + timedelta(minutes=10)
    with pytest.raises(Refusal) as refused:
        erase(spot.guardian, admin, at)

    assert refused.value.codes == {"on the floor"}
    assert FamilyRequest.objects.get().state == "waiting" and not Note.objects.filter(kind="family-request").exists()
    decide_request(
        request=FamilyRequest.objects.get(), grant=True, reason="", by=admin, now=clinic.ends_at + timedelta(hours=1)
    )
    assert not Guardian.objects.exists()


def test_what_else_was_typed_under_the_address_goes_along(come, admin, make_clinic, now):
    """A second sending whose mailed link was never used: nobody but this address could ever confirm it."""
    spot = come()
    confirmed(spot.guardian, now)
    later = come("Wren A. Ash", make_clinic(days=12), email="Ash@example.org")
    erase(spot.guardian, admin, now, keep_waivers=False)

    later.refresh_from_db()
    left = everything()
    assert later.state == SpotState.GIVEN_UP and not Guardian.objects.exists()
    assert [word for word in ("Wren", "Ash@", "Bram", "Sorrel") if word in left] == []


def test_a_no_to_photos_outlives_who_said_it(come, admin, now):
    spot = come()
    other = Guardian.objects.create(name="Linden", email="linden@example.org", registered_at=now, confirmed_at=now)
    Guardianship.objects.create(guardian=other, child=spot.child)
    answer_photo(child=spot.child, guardian=other, allowed=True, now=now)
    answer_photo(child=spot.child, guardian=spot.guardian, allowed=False, now=now)
    erase(spot.guardian, admin, now)

    assert photos_allowed([spot.child_id]) == set()
    assert not PhotoAnswer.objects.exclude(guardian__in=[other]).exclude(guardian=None).exists()


def taken(coordinator, now):
    table = read_table(
        what="households", name="families.csv", raw=TABLE.encode(), by=coordinator, now=now, today=now.date()
    )
    start_taking(table=table, by=coordinator)
    return take_in_pieces(table=table, now=now)


def test_the_table_that_a_household_came_with_forgets_it_too(coordinator, admin, now):
    taken(coordinator, now)
    erase(Guardian.objects.get(name="Corwin Ashlock"), admin, now, keep_waivers=False)

    left = everything()
    last = Note.objects.get().to_email
    assert last == "corwin@example.org" and left.count("Corwin") == 1, "the last letter alone"
    assert [word for word in ("Wren", "Ezra", "Tilda Crake", "555-0131") if word in left] == []
    assert "Fern Vale" in str(Import.objects.get().rows), "another household of the table stays"


def test_a_table_that_was_taken_back_leaves_no_history_of_its_children(coordinator, now):
    table = taken(coordinator, now)
    undo(table=table)
    Import.objects.all().delete()

    left = everything()
    assert [word for word in ("Wren", "Corwin", "Ezra", "Tilda", "Fern", "555-0131") if word in left] == []


def test_what_phones_wrote_does_not_bring_back_what_was_forgotten(floor, admin, now, coordinator):
    child = floor.children[0]
    who = f"c{child.pk}"
    facts = {"what": "Bumped heads", "first_aid": "Ice", "told": "Marla", "witness": "Oswin", "head": True}
    walk = {
        "who": "w-1", "name": "Juno Reed", "born": "2018-01-01", "guardian": "Orla Reed", "phone": "555-0144",
        "signed": "Orla Reed", "photo": False, "pickup": "Uncle Rafe", "allergies": "bees",
    }  # fmt: skip
    send(
        floor,
        entry(1, "in", now, who=who),
        entry(2, "incident", now, who=who, **facts),
        entry(3, "out", now, who=who, pickup="Uncle Bram"),
        entry(4, "walk-in", now, **walk),
        entry(5, "in", now, who="w-1"),
        entry(6, "out", now, who="w-1", pickup="Uncle Rafe"),
    )
    after = floor.clinic.ends_at + timedelta(hours=2)
    erase(child.guardianships.get().guardian, admin, after, keep_waivers=False)
    erase(Guardian.objects.get(name="Orla Reed"), admin, after, keep_waivers=False)
    out = send(floor, entry(7, "note", now, words="A good day"))

    assert SignIn.objects.filter(child=child).get().pickup == ""
    assert Incident.objects.get().what == ""
    kept = " ".join(row.facts for row in FloorAction.objects.all())
    words = ("Bram", "Rafe", "Bumped", "Marla", "Juno", "Orla", "555-0144", "bees")
    assert [word for word in words if word in kept] == []
    assert len(out.state.stays) == 2 and SignIn.objects.count() == 2, "that they came stays"
    assert not Waiver.objects.filter(typed_name="Orla Reed").exists()
