"""A household that registers again and uses the mailed link: calendars, warnings and wishes follow."""

import uuid
from dataclasses import replace

import pytest
from icalendar import Calendar

from families.letters.families import FAMILY_CANCELLED, FAMILY_MOVED, SPOTS
from families.models import Child, Guardian, Guardianship, PickupPerson
from families.queries.door import door_lines
from families.services.family_facts import add_pickup_person, save_reminders
from families.services.family_records import keep_away
from families.services.households import PickupPersonFacts
from families.services.merge import confirm_household
from families.services.registering import register
from families.services.spots import carry_spots, tell_families_cancelled
from floor.queries.page import day_data
from outbox.letters import build
from outbox.models import Note
from tests.households import confirmed

pytestmark = pytest.mark.django_db


@pytest.fixture
def come(make_clinic, household, now):
    """Wren, born on one day whatever the clinic's, of the guardian at ash@example.org."""
    born = now.date().replace(year=now.year - 9, month=1, day=2)

    def inner(clinic=None, allergies="", **more):
        facts = household(("Wren Ash", born), **({"email": "ash@example.org"} | more))
        facts = replace(facts, children=[replace(facts.children[0], allergies=allergies)])
        sent = register(clinic=clinic or make_clinic(), facts=facts, once=uuid.uuid4(), now=now)
        return sent.spots[0]

    return inner


def entry(note, now):
    (text,) = [body for body, kind in build(note, now).alternatives if "calendar" in kind]
    return Calendar.from_ical(str(text)).walk("VEVENT")[0]


def test_the_entry_in_the_calendar_stays_the_same_one(come, make_clinic, now):
    """The first mail goes out before the link in it is pressed, and puts the clinic into the family's calendar."""
    known = confirmed(come().guardian, now)
    again = come(make_clinic(days=12))
    first = entry(Note.objects.about(again.guardian).get(kind=SPOTS), now)
    confirm_household(guardian=again.guardian, now=now)
    clinic = again.clinic
    clinic.revision += 1
    clinic.save()
    carry_spots(clinic=clinic, now=now)
    moved = entry(Note.objects.get(kind=FAMILY_MOVED), now)
    clinic.status = "cancelled"
    clinic.revision += 1
    clinic.save()
    tell_families_cancelled(clinic=clinic, now=now)
    last = entry(Note.objects.about(known).get(kind=FAMILY_CANCELLED), now)

    assert str(first["UID"]) == str(moved["UID"]) == str(last["UID"])
    assert first["SEQUENCE"] < moved["SEQUENCE"] < last["SEQUENCE"]


def test_an_allergy_that_was_written_before_is_not_lost_to_one_that_is_written_now(come, make_clinic, now):
    confirmed(come(allergies="Bee stings, carries a pen").guardian, now)
    confirm_household(guardian=come(make_clinic(days=12), allergies="Peanuts").guardian, now=now)
    assert Child.objects.get().allergies == "Peanuts\nBee stings, carries a pen"

    confirm_household(guardian=come(make_clinic(days=14), allergies="peanuts").guardian, now=now)
    assert Child.objects.get().allergies == "Peanuts\nBee stings, carries a pen", "said already"


def test_who_wanted_no_reminders_gets_none_afterwards(come, make_clinic, now):
    known = confirmed(come().guardian, now)
    again = come(make_clinic(days=12)).guardian
    # The link to stop them stands in mails that come before the address is confirmed.
    save_reminders(guardian=again, wanted=False)
    confirm_household(guardian=again, now=now)

    known.refresh_from_db()
    assert not known.reminders


def test_a_permission_ends_when_the_other_record_says_that_they_must_not_pick_up(come, coordinator, make_clinic, now):
    twin = come().child
    known = confirmed(twin.guardianships.get().guardian, now)
    PickupPerson.objects.create(child=twin, name="Tobías Ash", named_by=known, recorded_at=now)
    again = come(make_clinic(days=12))
    keep_away(child=again.child, name="Tobias Ash", relation="", seen="Order of 3 May", by=coordinator, now=now)
    confirm_household(guardian=again.guardian, now=now)

    rows = PickupPerson.objects.in_force().filter(child=twin, name__startswith="Tob")
    assert [(row.name, row.must_not) for row in rows] == [("Tobias Ash", True)]


def test_what_they_look_like_goes_over_to_the_entry_that_stays(come, coordinator, make_clinic, now):
    twin = come().child
    confirmed(twin.guardianships.get().guardian, now)
    again = come(make_clinic(days=12))
    facts = {"name": "Tobias Ash", "relation": "", "seen": "Order of 3 May", "by": coordinator, "now": now}
    keep_away(child=twin, **facts)
    keep_away(child=again.child, description="Gray beard", photo=b"a photo", **facts)
    confirm_household(guardian=again.guardian, now=now)

    (row,) = PickupPerson.objects.in_force().filter(must_not=True)
    assert (row.child, row.description, row.has_photo) == (twin, "Gray beard", True)


def test_the_printed_list_names_nobody_both_ways(come, coordinator, signed_in, now):
    """A guardian can name whom the office keeps away, and is not told that they are; they may even be that person."""
    spot = come(guardian_name="Rowan Ash")
    other = Guardian.objects.create(name="Tobias Ash", email="tobias@example.org", registered_at=now, confirmed_at=now)
    Guardianship.objects.create(guardian=other, child=spot.child, emergency_name="Tobias Ash", emergency_phone="1")
    keep_away(child=spot.child, name="Tobias Ash", relation="", seen="Order of 3 May", by=coordinator, now=now)
    add_pickup_person(child=spot.child, guardian=other, facts=PickupPersonFacts("tobias ash", "555-0155"), now=now)
    (line,) = door_lines(spot.clinic, with_care=False)

    assert [one.name for one in line.pickup_people] == ["Uncle Bram"]
    assert [one.guardian.name for one in line.handed_to] == ["Rowan Ash"]
    page = signed_in(coordinator).post(f"/clinics/{spot.clinic_id}/door/", follow=True).content.decode()
    cell = page.split('data-label="May pick up"')[1].split("</td>")[0]
    assert cell.lower().count("tobias") == 2 and "MUST NOT PICK UP: Tobias Ash" in cell
    # The same family name: whoever stands at the door asks for an ID.
    assert "Rowan Ash <b>(check ID: like Tobias Ash)</b>" in cell


def test_the_floor_calls_whom_a_guardian_named_and_not_an_empty_line_or_who_is_kept_away(floor, coordinator, now):
    wren = floor.children[0]
    first = wren.guardianships.get()
    first.emergency_name = first.emergency_phone = ""
    first.save()
    for name, phone in (("Tobias Ash", "555-0171"), ("Linden Moss", "555-0172")):
        other = Guardian.objects.create(name=name, phone=phone, registered_at=now, confirmed_at=now)
        Guardianship.objects.create(guardian=other, child=wren, emergency_name=name, emergency_phone=phone)
    line = next(one for one in door_lines(floor.clinic, with_care=False) if one.child == wren)
    assert line.emergency and line.emergency.emergency_phone == "555-0171"

    keep_away(child=wren, name="Tobias Ash", relation="", seen="Order of 3 May", by=coordinator, now=now)
    child = next(one for one in day_data(floor.phone, now)["children"] if one["name"] == "Wren Ash")
    assert child["emergency"] == {"name": "Linden Moss", "phone": "555-0172"}
    assert "Tobias Ash" not in [one["name"] for one in child["pickup_people"]] and child["must_not"] == ["Tobias Ash"]
