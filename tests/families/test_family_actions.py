"""Every action of the family's page and of a child's has an address of its own, which only a POST of its link obeys."""

import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.apps import apps
from django.db import connection
from django.db.models import Model
from django.test import Client
from django.urls import get_resolver, reverse
from pghistory.models import Context

from core import clock, links
from families.models import Child, Guardian, Guardianship, PickupPerson, Spot, SpotState, Waiver
from families.services.care import care_mark, write_care
from families.services.registering import register
from families.services.spots import end_spot
from outbox.models import Note
from tests.households import confirmed, eight, family_address, say

pytestmark = pytest.mark.django_db

PAGES = {"family-page", "family-child", "family-child-new", "family-clinic", "family-signed"}
# Asked before anything is shown, so they work before the address has answered.
BEFORE = {"confirm", "language"}
TYPED: dict[str, dict[str, str]] = {
    "confirm": {},
    "language": {"language": "es"},
    "who": {"name": "Perdita Rowe", "phone": "555-0188"},
    "new-address": {"email": "new@example.org"},
    "reminders": {"wanted": "no"},
    "spot-yes": {},
    "spot-no": {},
    "spot-give-up": {},
    "ask-copy": {},
    "ask-erasure": {},
    "new-link": {},
    "child-change": {"name": "Wrenna Rowe", "birth_date": "", "experience": "team", "school_year": "3"},
    "child-care": {},
    "child-care-write": {"allergies_answer": "none", "allergies": "", "care_notes": "Wears glasses"},
    "child-emergency": {"emergency_name": "Aunt Tansy", "emergency_phone": "555-0166"},
    "pickup-person-new": {"name": "Neighbour Hob", "phone": "", "relation": ""},
    "pickup-person-end": {},
    "child-photos": {"allowed": "yes"},
    "child-sign": {"signed": "Perdita Ash"},
    "waiver-withdraw": {},
    "child-invite": {"name": "Rowan Moss", "email": "rowan@example.org"},
}
# What an address names beside the family.
ROWS = (
    {action: ("spot",) for action in TYPED if action.startswith("spot-")}
    | {action: ("child",) for action in TYPED if action.startswith("child-")}
    | {
        "pickup-person-new": ("child",),
        "pickup-person-end": ("child", "pickup_person"),
        "waiver-withdraw": ("child", "waiver"),
    }
)


@pytest.fixture
def world(make_clinic, household, now):
    """Perdita, with Wrenna, who has a spot that came free for her and hazelnuts on record; and another family."""
    clinic = make_clinic(children=1)
    first = register(clinic=clinic, facts=household(), once=uuid.uuid4(), now=now).spots[0]
    facts = household(("Wrenna Thornapple", eight(clinic)), guardian_name="Perdita Ash", email="perdita@example.org")
    guardian = confirmed(register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).registration.guardian, now)
    end_spot(spot=first, because="ill", now=now)
    write_care(child=Child.objects.get(name="Wrenna Thornapple"), allergies="hazelnuts", care_notes="")
    register(clinic=make_clinic(days=20), facts=household(), once=uuid.uuid4(), now=now)
    return guardian


def rows(guardian, action):
    """What the address of an action names: of this guardian's, the first of each."""
    spot = Spot.objects.filter(guardian=guardian).first()
    child = Child.objects.filter(guardianships__guardian=guardian).first()
    known = {
        "spot": spot,
        "child": child,
        "pickup_person": PickupPerson.objects.filter(child=child).first(),
        "waiver": Waiver.objects.filter(child=child).first(),
    }
    return [known[one] for one in ROWS.get(action, ())]


def typed(guardian, action):
    child = Child.objects.filter(guardianships__guardian=guardian).earliest("pk")
    text = Waiver.objects.filter(child=child).earliest("pk").text_id
    more: dict[str, dict[str, Any]] = {
        "child-change": {"birth_date": child.birth_date.isoformat()},
        "child-sign": {"text": text},
        "child-care-write": {"was": care_mark(child)},
    }
    return TYPED[action] | more.get(action, {})


def address(guardian, action, token=None):
    numbers = [row.pk for row in rows(guardian, action)]
    if token is not None:
        return reverse(f"family-{action}", args=[token, *numbers])
    return family_address(guardian, route=f"family-{action}", args=numbers)


def page_of(where):
    """The page on which an action's button is: that of a child, or the family's."""
    parts = where.split("/")
    return "/".join([*parts[: 5 if parts[3] == "children" else 3], ""])


def everything():
    """Every row of families and of the outbox, as PostgreSQL writes it now."""
    models: list[type[Model]] = [*apps.get_app_config("families").get_models(), Note]
    tables = [table._meta.db_table for table in models]
    asked = " UNION ALL ".join(f"SELECT '{table}', t::text FROM \"{table}\" t" for table in tables)
    with connection.cursor() as cursor:
        cursor.execute(f"{asked} ORDER BY 1, 2")
        return cursor.fetchall()


def test_every_address_under_the_page_is_a_page_or_one_of_these_actions():
    names = {
        one.name
        for part in get_resolver().url_patterns
        for one in getattr(part, "url_patterns", [])
        if str(one.pattern).startswith("family/")
    }
    assert names == PAGES | {f"family-{action}" for action in TYPED}


@pytest.mark.parametrize("action", sorted(set(TYPED) - {"confirm", "child-care"}))
def test_a_press_does_it_and_leads_back_to_the_page_in_the_familys_language(stranger, world, action):
    before, where = everything(), address(world, action)
    answer = stranger.post(where, typed(world, action))

    assert answer.status_code == 302 and everything() != before
    assert answer["Location"] == page_of(where) and answer.headers["Content-Language"] == "en"


def test_what_is_locked_is_shown_by_a_press_and_by_no_address_that_is_opened(stranger, world):
    before = everything()
    answer = say(stranger, world, "child-care", *rows(world, "child-care"))

    assert answer.status_code == 200 and "hazelnuts" in answer.content.decode() and everything() == before
    seen = stranger.get(address(world, "child-care"), follow=True).content.decode()
    assert "Wrenna" in seen and "hazelnuts" not in seen


@pytest.mark.parametrize("action", TYPED)
def test_a_get_does_nothing_and_is_sent_on_to_the_page(stranger, world, action):
    before = everything()
    where = address(world, action)
    for ask in (stranger.get, stranger.head):
        answer = ask(where, typed(world, action))
        assert answer.status_code == 302 and answer["Location"] == page_of(where)

    assert stranger.get(page_of(where)).status_code == 200 and stranger.put(where).status_code == 405
    assert stranger.post(page_of(where), typed(world, action)).status_code == 405, "a page itself takes nothing"
    assert everything() == before


@pytest.mark.parametrize("action", TYPED)
def test_a_link_that_cant_be_used_does_nothing_and_says_why(stranger, world, action):
    sent = typed(world, action)
    another = links.make("spot", subject=world.pk, counter=0, expires_at=clock.now() + timedelta(days=1))
    numbers = [row.pk for row in rows(world, action)]
    over = family_address(world, days=-1, route=f"family-{action}", args=numbers)
    link = address(world, action)
    token = link.split("/")[2]
    altered = link.replace(token, token[:-1] + ("A" if token[-1] != "A" else "B"))
    Guardian.objects.filter(pk=world.pk).update(link_counter=world.link_counter + 1)
    before = everything()
    made_up, other = address(world, action, "made-up"), address(world, action, another)
    for n, (where, status) in enumerate(((made_up, 404), (altered, 404), (other, 404), (over, 410), (link, 410))):
        # A caller of its own each time: after many that don't work an address has to wait.
        caller = f"198.51.{list(TYPED).index(action)}.{n}"
        answer = stranger.post(where, sent, REMOTE_ADDR=caller)
        page = answer.content.decode()
        assert answer.status_code == status, where
        assert "No answer was sent, and nothing changed." in page and "Wrenna" not in page
        assert stranger.get(where, REMOTE_ADDR=caller).status_code == status, "nor is a GET sent on"
    assert everything() == before


def test_who_tries_many_links_at_an_actions_address_has_to_wait(stranger, world):
    where = address(world, "reminders", "made-up")
    answers = [stranger.post(where, {"wanted": "no"}, REMOTE_ADDR="198.51.100.99") for _ in range(31)]

    assert [answers[0].status_code, answers[-1].status_code] == [404, 429]


@pytest.mark.parametrize("action", sorted(set(TYPED) - BEFORE))
def test_before_the_address_has_answered_only_that_is_asked(stranger, world, action):
    Guardian.objects.filter(pk=world.pk).update(confirmed_at=None)
    before = everything()
    answer = say(stranger, world, action, *rows(world, action), **typed(world, action))

    page = answer.content.decode()
    assert "Is this you?" in page and "Wrenna" not in page and everything() == before


def test_the_first_question_is_answered_once_and_its_language_may_be_chosen_first(stranger, world):
    Guardian.objects.filter(pk=world.pk).update(confirmed_at=None)
    page = stranger.post(address(world, "language"), {"language": "es"}, follow=True)
    assert page.headers["Content-Language"] == "es" and Guardian.objects.get(pk=world.pk).confirmed_at is None
    say(stranger, world, "confirm")
    when = Guardian.objects.get(pk=world.pk).confirmed_at
    assert when is not None and say(stranger, world, "confirm").status_code == 302
    assert Guardian.objects.get(pk=world.pk).confirmed_at == when


@pytest.mark.parametrize("action", sorted(ROWS))
def test_nothing_of_another_family_is_reached_with_ones_own_link(stranger, world, action):
    theirs = Guardian.objects.exclude(pk=world.pk).order_by("-pk").first()
    before = everything()
    answer = say(stranger, world, action, *rows(theirs, action), **typed(theirs, action))

    assert answer.status_code == 404 and everything() == before


@pytest.mark.parametrize(
    ("action", "more", "kept"),
    [
        ("who", {"name": "", "phone": "555-0199"}, 'value="555-0199"'),
        ("new-address", {"email": "no address"}, 'value="no address"'),
        ("child-change", {"name": "", "school_year": "third"}, 'value="third"'),
        ("child-change", {"name": "Kept as typed", "birth_date": "2199-01-01"}, 'value="Kept as typed"'),
        ("child-care-write", {"allergies": "x" * 2001, "care_notes": "Kept as typed"}, "Kept as typed"),
        ("child-care-write", {"care_notes": "Kept as typed", "was": "of another day"}, "Kept as typed"),
        ("child-emergency", {"emergency_name": "", "emergency_phone": "555-0199"}, 'value="555-0199"'),
        ("pickup-person-new", {"name": "", "phone": "555-0199"}, 'value="555-0199"'),
        ("child-sign", {"signed": "Kept as typed", "text": "0"}, 'value="Kept as typed"'),
        ("child-invite", {"name": "Kept as typed", "email": "no address"}, 'value="Kept as typed"'),
    ],
)
def test_what_is_refused_is_said_on_the_page_and_stays_typed(stranger, world, action, more, kept):
    before = everything()
    answer = say(stranger, world, action, *rows(world, action), **(typed(world, action) | more))

    page = answer.content.decode()
    assert answer.status_code == 422 and kept in page
    assert 'class="invalid-feedback"' in page or "Someone changed this" in page
    assert everything() == before
    assert f' action="{answer.request["PATH_INFO"]}"' in page, "the same form may be sent again from there"


@pytest.mark.parametrize("action", ["spot-give-up", "spot-no", "spot-yes"])
def test_a_refused_answer_about_a_spot_is_said_on_the_page(stranger, world, move_clock, action):
    spot, where = Spot.objects.get(guardian=world), address(world, action)
    if action == "spot-yes":
        Spot.objects.filter(pk=spot.pk).update(state=SpotState.GIVEN_UP, answer_by=None)
    else:
        move_clock(spot.clinic.ends_at + timedelta(hours=1))
    before = everything()
    answer = stranger.post(where)

    page = answer.content.decode()
    assert answer.status_code == 409 and 'class="callout stop" role="alert"' in page and "Hello Perdita." in page
    assert everything() == before


def test_care_notes_refused_for_their_length_are_still_those_of_the_page_that_was_seen(stranger, world):
    child = Child.objects.get(name="Wrenna Thornapple")
    was = care_mark(child)
    write_care(child=child, allergies="hazelnuts and bees", care_notes="")
    page = say(stranger, world, "child-care-write", child, allergies="x" * 2001, was=was).content.decode()
    assert f'name="was" value="{was}"' in page
    answer = say(stranger, world, "child-care-write", child, allergies="hazelnuts", was=was)

    assert answer.status_code == 422 and Child.objects.get(pk=child.pk).allergies == "hazelnuts and bees"


def test_the_author_of_what_a_press_writes_is_the_links_guardian(stranger, world):
    child = Child.objects.get(name="Wrenna Thornapple")
    say(stranger, world, "child-emergency", child, emergency_name="Aunt Tansy", emergency_phone="555-0166")
    assert Guardianship.objects.get(child=child).emergency_name == "Aunt Tansy"
    kept = Context.objects.latest("updated_at").metadata
    assert f"families.guardian:{world.pk}" in repr(kept), kept


def test_a_form_without_its_proof_is_refused(world):
    before = everything()
    answer = Client(enforce_csrf_checks=True).post(address(world, "reminders"), {"wanted": "no"})
    assert answer.status_code == 403 and everything() == before
