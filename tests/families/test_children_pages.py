"""Children as a list, one child's page, and everything the office writes there."""

import re
import uuid
from dataclasses import replace
from datetime import date, timedelta

import pytest
from django.urls import reverse

from core import clock
from core.formats import full_date
from families.letters.families import SPOT_LOST, SPOTS
from families.models import CareReading, Child, Guardian, PickupPerson, Spot, Waiver
from families.rules.waivers import WaiverStanding
from families.services.registering import register
from families.words.waivers import until_words, waiver_flag, waiver_words
from outbox.models import Note

pytestmark = pytest.mark.django_db


@pytest.fixture
def come(make_clinic, household, now):
    def inner(name="Wren Ashlock", clinic=None, **more):
        facts = household(**more)
        first = replace(facts.children[0], name=name, allergies="Walnuts")
        clinic = clinic or make_clinic()
        return register(clinic=clinic, facts=replace(facts, children=[first]), once=uuid.uuid4(), now=now).spots[0]

    return inner


def child_of(spot, name="child"):
    return reverse(name, args=[spot.child_id])


def test_the_list_finds_by_name_and_by_waiver_and_never_shows_what_is_locked(coordinator, signed_in, come):
    come()
    come("Osric (Oz) Vale", signed="", text=None)
    client = signed_in(coordinator)

    def seen(**asked):
        text = client.post(reverse("children"), asked, follow=True).content.decode()
        assert "Walnuts" not in text
        return {name for name in ("Wren Ashlock", "Osric (Oz) Vale") if name in text}

    assert seen() == {"Wren Ashlock", "Osric (Oz) Vale"}
    assert seen(q="wren") == {"Wren Ashlock"} and seen(q="(oz)") == {"Osric (Oz) Vale"}
    assert seen(waiver="current") == {"Wren Ashlock"} and seen(waiver="not current") == {"Osric (Oz) Vale"}


def test_pages_follow_each_other_without_a_gap_even_among_equal_names(coordinator, signed_in, now):
    born = clock.today() - timedelta(days=3000)
    Child.objects.bulk_create(
        Child(name=f"Wren {number // 40}", birth_date=born, registered_at=now) for number in range(120)
    )
    client, address, seen = signed_in(coordinator), reverse("children"), []
    for _ in range(3):
        page = client.get(address).context
        seen += [line.child.pk for line in page["lines"]]
        last = page["last"]
        address = f"{reverse('children')}?after={last.pk}" if last else ""
    assert sorted(seen) == sorted(Child.objects.values_list("pk", flat=True)) and address == ""


def test_no_address_of_the_list_holds_a_name(coordinator, signed_in, now):
    born = clock.today() - timedelta(days=3000)
    Child.objects.bulk_create(Child(name=f"Wren {number}", birth_date=born, registered_at=now) for number in range(60))
    client = signed_in(coordinator)
    page = client.post(reverse("children"), {"q": "wren", "waiver": "", "clinic": ""}, follow=True)

    assert page.redirect_chain == [(f"{reverse('children')}?named=1", 302)] and "for “wren”" in page.content.decode()
    addresses = re.findall(r'(?:href|action)="([^"]*)"', page.content.decode())
    assert any("after=" in one for one in addresses) and not [one for one in addresses if "wren" in one.lower()]
    assert "Wren" in client.get(f"{reverse('children-csv')}?named=1").content.decode()
    # A search that sits in an address, from a bookmark of old days, finds nobody by it.
    assert "for “wren”" not in client.get(reverse("children") + "?q=wren").content.decode()


def test_fifty_children_ask_no_more_queries_than_one(coordinator, signed_in, come, django_assert_max_num_queries):
    come()
    born = clock.today() - timedelta(days=3000)
    Child.objects.bulk_create(
        Child(name=f"Child {number}", birth_date=born, registered_at=clock.now()) for number in range(120)
    )
    client = signed_in(coordinator)
    with django_assert_max_num_queries(18):
        client.get(reverse("children"))


def test_the_table_to_take_away_holds_no_care_notes_and_no_formula(coordinator, signed_in, come):
    come("=Wren Ashlock")
    text = signed_in(coordinator).get(reverse("children-csv")).content.decode()

    assert "'=Wren Ashlock" in text and "Walnuts" not in text


def test_what_we_should_know_shows_only_after_it_is_asked_for_and_that_is_written_down(
    admin, coordinator, signed_in, come
):
    spot = come()
    client = signed_in(admin)
    assert "Walnuts" not in client.get(child_of(spot)).content.decode() and not CareReading.objects.exists()
    assert client.get(child_of(spot, "child-care")).status_code == 405

    answer = client.post(child_of(spot, "child-care"))
    assert "Walnuts" in answer.content.decode() and answer["Cache-Control"] == "no-store"
    assert CareReading.objects.get().by == admin
    assert "page of child" in client.get(child_of(spot)).content.decode()
    assert signed_in(coordinator).post(child_of(spot, "child-care")).status_code == 403


def test_what_we_should_know_is_written_anew_and_locked(admin, signed_in, come):
    spot = come()
    signed_in(admin).post(child_of(spot, "child-care-write"), {"allergies": "", "care_notes": ""})

    assert Child.objects.get().has_care is False


def test_must_not_pick_up_wants_what_was_seen_and_ends_a_permission_of_that_name(coordinator, signed_in, come):
    spot, client = come(), signed_in(coordinator)
    page = child_of(spot, "pickup-person-new")
    refused = client.post(page, {"what": "away", "away-name": "Uncle Bram", "away-seen": ""})
    assert refused.status_code == 422 and "Enter the reason, such as a court order" in refused.content.decode()

    client.post(page, {"what": "away", "away-name": "uncle bram", "away-seen": "Order of the court, 3 March"})
    standing = PickupPerson.objects.in_force().get()
    assert standing.must_not and standing.recorded_by == coordinator
    again = client.post(page, {"what": "may", "may-name": "Uncle Bram"})
    assert again.status_code == 422 and "must not pick up” for this child" in again.content.decode()


def test_a_paper_waiver_says_who_saw_it_and_holds_from_the_day_it_was_signed(coordinator, signed_in, come, waiver_text):
    spot = come(signed="", text=None)
    day = clock.today() - timedelta(days=20)
    facts = {
        "text": waiver_text.pk, "guardian": Guardian.objects.get().pk, "typed_name": "G. One",
        "signed_on": str(day), "saw": "on",
    }  # fmt: skip
    client = signed_in(coordinator)
    assert client.post(child_of(spot, "paper-waiver"), facts | {"saw": ""}).status_code == 422
    late = client.post(child_of(spot, "paper-waiver"), facts | {"signed_on": "2199-01-01"})
    assert late.status_code == 422 and "in the future" in late.content.decode()
    client.post(child_of(spot, "paper-waiver"), facts)

    waiver = Waiver.objects.get()
    assert (waiver.paper_seen_by, waiver.signed_on, waiver.text_hash) == (coordinator, day, waiver_text.hash)
    client.post(reverse("waiver-withdraw", args=[spot.child_id, waiver.pk]))
    waiver.refresh_from_db()
    assert waiver.withdrawn_by == coordinator.name


def test_a_spot_is_given_and_given_up_and_the_guardian_hears_of_it(coordinator, signed_in, come, make_clinic):
    spot, other, client = come(), make_clinic(days=12), signed_in(coordinator)
    client.post(child_of(spot, "spot-give"), {"clinic": other.pk})
    given = Spot.objects.get(clinic=other)
    assert given.state == "held" and Note.objects.about(other).filter(kind=SPOTS).count() == 1

    client.post(reverse("spot-end", args=[spot.child_id, given.pk]))
    given.refresh_from_db()
    assert given.state == "given up" and Note.objects.about(given).filter(kind=SPOT_LOST).exists()


def test_a_spot_for_the_wrong_age_is_refused_in_words(coordinator, signed_in, come, make_clinic):
    spot = come()
    answer = signed_in(coordinator).post(
        child_of(spot, "spot-give"), {"clinic": make_clinic(days=12, ages=(14, 16)).pk}
    )
    assert answer.status_code == 422 and "ages 14 to 16" in answer.content.decode()


def test_a_new_birthday_that_fits_no_group_is_refused_and_one_that_fits_moves_the_age(coordinator, signed_in, come):
    spot, client = come(), signed_in(coordinator)
    facts = {"name": "Wren Ashlock", "experience": "new", "school_year": ""}
    day = spot.clinic.day
    wrong = client.post(child_of(spot, "child-change"), facts | {"birth_date": str(day - timedelta(days=5000))})
    assert wrong.status_code == 422 and "Give up that spot first" in wrong.content.decode()
    client.post(child_of(spot, "child-change"), facts | {"birth_date": str(day - timedelta(days=3400))})

    spot.refresh_from_db()
    assert spot.age == 9 and Child.objects.get().allergies == "Walnuts"


def test_a_second_guardian_is_added_once(coordinator, signed_in, come):
    spot, client = come(), signed_in(coordinator)
    facts = {
        "name": "Ambrose Ashlock", "email": "ambrose@example.org", "phone": "", "language": "es",
        "emergency_name": "Ambrose", "emergency_phone": "555-0199", "seen": "on",
    }  # fmt: skip
    client.post(child_of(spot, "guardian-new"), facts)
    again = client.post(child_of(spot, "guardian-new"), facts)

    assert again.status_code == 422 and "already" in again.content.decode()
    assert Guardian.objects.get(email="ambrose@example.org").guardianships.get().child == spot.child


def test_the_page_and_every_button_refuse_a_stranger_and_a_floor_lead(stranger, floor_lead, signed_in, come):
    spot = come()
    lead = signed_in(floor_lead)
    for name in ("child", "child-change", "guardian-new", "paper-waiver"):
        assert stranger.get(child_of(spot, name)).status_code == 302
        assert lead.get(child_of(spot, name)).status_code == 403
    for name in ("child-care", "child-care-write", "pickup-person-new", "spot-give"):
        assert stranger.post(child_of(spot, name)).status_code == 302
        assert lead.post(child_of(spot, name)).status_code == 403
    for page in ("children", "children-csv"):
        assert stranger.get(reverse(page)).status_code == 302 and lead.get(reverse(page)).status_code == 403
    waiver, pickup_person = Waiver.objects.get(), PickupPerson.objects.get()
    for name, number in (
        ("waiver-withdraw", waiver.pk),
        ("pickup-person-end", pickup_person.pk),
        ("spot-end", spot.pk),
    ):
        address = reverse(name, args=[spot.child_id, number])
        assert (stranger.post(address).status_code, lead.post(address).status_code) == (302, 403)


def test_with_nobody_here_the_one_next_step_is_shown(coordinator, signed_in, db):
    assert (
        f'href="{reverse("household-import")}">Import families</a>'
        in signed_in(coordinator).get(reverse("children")).content.decode()
    )


def test_a_record_is_put_on_hold_from_the_childs_page_by_an_admin_alone(admin, coordinator, signed_in, come):
    spot = come()
    hold = child_of(spot, "child-hold")
    assert f'action="{hold}"' not in signed_in(coordinator).get(child_of(spot)).content.decode()
    client = signed_in(admin)
    assert f'action="{hold}"' in client.get(child_of(spot)).content.decode()

    client.post(hold, {"because": "Letter of an insurer"})
    page = client.get(child_of(spot)).content.decode()
    assert Child.objects.get().held_because == "Letter of an insurer"
    assert "Letter of an insurer" in page and f'action="{hold}"' not in page


def test_the_history_tells_codes_and_days_in_words(coordinator, signed_in, come):
    spot, client = come(), signed_in(coordinator)
    facts = {"name": "Wren Ashlock", "birth_date": str(spot.child.birth_date), "school_year": ""}
    client.post(child_of(spot, "child-change"), facts | {"experience": "team"})
    client.post(reverse("spot-end", args=[spot.child_id, spot.pk]))
    page = client.get(child_of(spot)).context["page"]

    whats = [line.what for line in page.history]
    assert "Child: experience changed from “New to basketball” to “Plays on a team”" in whats
    assert any(full_date(spot.child.birth_date) in what for what in whats if what.startswith("Child: added"))
    assert [one.words for one in page.past] == ["the spot ended: the office ended it"]


@pytest.mark.parametrize("state", ["current", "expired", "older text", "withdrawn", "missing"])
def test_each_state_of_a_waiver_has_a_word_and_only_a_day_that_counts_is_said(state):
    standing = WaiverStanding(state, None if state == "missing" else date(2027, 3, 4))

    assert waiver_flag(standing)[0] == ("set" if state == "current" else "stop")
    assert waiver_words(standing).count("waiver") == 1
    assert bool(until_words(standing)) == (state in ("current", "expired"))
