"""Forgetting by rule and on request, the copy, and keys that are turned."""

import uuid
from dataclasses import replace
from datetime import date, timedelta

import pytest
from cryptography.fernet import Fernet
from django.apps import apps
from django.core.management import call_command
from django.db import connection
from django.urls import reverse

from core import clock, languages, secret_text
from core.refusal import Refusal
from families.letters.family_requests import FAMILY_REQUEST, copy_link
from families.models import (
    Child,
    FamilyRequest,
    Guardian,
    Guardianship,
    PickupPerson,
    Retention,
    Spot,
    SpotState,
    Waiver,
)
from families.rules.retention import redact_after
from families.services.redaction import hold_child
from families.services.registering import register
from families.services.retention import (
    children_due,
    decide_request,
    purge_children,
    purge_leftovers,
    rule_of,
)
from families.services.spot_books import take_spot
from floor.models import FloorAction, Incident, SignIn
from outbox.letters import build
from outbox.models import Note
from people.models import Import, Purge
from tests.floor_days import entry, send
from tests.street import APPS

pytestmark = pytest.mark.django_db
LATER = timedelta(days=800)
WORDS = ("Wren", "Ash", "peanuts", "Bram", "Sorrel", "wren@example.org", "555-0123")


@pytest.fixture
def registered(make_clinic, household, now):
    def inner(name="Wren Ash", email="wren@example.org", clinic=None, **more):
        clinic = clinic or make_clinic()
        facts = household((name, date(clinic.day.year - 8, 1, 1)), email=email, guardian_name="Rowan Ash", **more)
        object.__setattr__(facts.children[0], "allergies", "peanuts")
        return register(clinic=clinic, facts=facts, once=uuid.uuid4(), now=now).spots[0]

    return inner


def everything() -> str:
    """Every row of every table that could name somebody, history included."""
    out = []
    with connection.cursor() as cursor:
        for model in apps.get_models():
            if model._meta.app_label in APPS:
                cursor.execute(f"select coalesce(string_agg(t::text, chr(10)), '') from \"{model._meta.db_table}\" t")
                out.append(cursor.fetchone()[0])
    return "\n".join(out)


def test_after_its_months_the_notes_go_and_the_name_stays_beside_its_waiver(registered, now):
    child = registered().child
    done = purge_children(today=clock.today() + LATER, now=now + LATER)

    child.refresh_from_db()
    assert dict(done) == {"notes": 1} and child.name == "Wren Ash" and child.allergies == ""
    assert not PickupPerson.objects.exists() and Waiver.objects.count() == 1
    assert not any(word in everything() for word in ("peanuts", "Bram", "Sorrel", "555-0123"))
    assert not purge_children(today=clock.today() + LATER, now=now + LATER)
    assert str(Purge.objects.get()) == "1 children (everything except the signed waiver)"


def test_when_nobody_can_ask_for_the_waiver_nothing_in_any_table_names_them(registered, now):
    spot = registered()
    far = timedelta(days=366 * 15)
    purge_children(today=clock.today() + far, now=now + far)

    left = everything()
    assert [word for word in WORDS if word in left] == []
    spot.refresh_from_db()
    assert spot.age == 8 and spot.child.forgotten_at is not None, "what counts for the funder stays"
    assert not Guardian.objects.exists()


def test_a_dry_run_says_how_many_and_forgets_nobody(registered, capsys, move_clock):
    registered()
    move_clock(clock.now() + LATER)
    call_command("purge_children", "--dry-run")

    assert "To be deleted: everything except the signed waiver for 1 child." in capsys.readouterr().out
    assert Child.objects.get().allergies == "peanuts"


def test_a_record_on_hold_stays_whatever_the_rule_says(registered, now):
    child = registered().child
    hold_child(child=child, because="The county asked for it")
    far = timedelta(days=366 * 30)

    assert not purge_children(today=clock.today() + far, now=now + far)
    assert Child.objects.get().name == "Wren Ash"


def test_a_child_who_comes_again_starts_the_months_anew(registered, make_clinic, now, household):
    old = registered(clinic=make_clinic(days=10))
    Spot.objects.create(clinic=make_clinic(days=700), child=old.child, state=SpotState.HELD, age=9, asked_at=now)

    assert list(children_due(today=clock.today() + LATER, rule=rule_of(Retention.now()))) == []


def test_a_household_is_forgotten_on_request_and_told_once_more_in_its_language(registered, admin, now):
    spot = registered(language="es")
    waiting = registered("Fern Ash", "fern@example.org", clinic=spot.clinic)
    request = FamilyRequest.objects.create(guardian=spot.guardian, what="erasure", asked_at=now)
    decide_request(request=request, grant=True, reason="", by=admin, now=now, keep_waivers=False)

    spot.refresh_from_db()
    assert spot.state == SpotState.GIVEN_UP and waiting.child.name == "Fern Ash"
    note = Note.objects.get(kind=FAMILY_REQUEST)
    mail = build(note, now)
    assert note.to_email == "wren@example.org" and mail.subject == "Borramos los datos de su familia"
    assert "Wren" not in mail.body
    assert not Child.objects.filter(name__contains="Wren").exists()


def test_a_child_of_another_guardian_stays_with_that_one_and_loses_only_what_was_theirs(
    registered, admin, now, make_clinic
):
    spot = registered()
    other = Guardian.objects.create(name="Linden Moss", email="linden@example.org", registered_at=now)
    Guardianship.objects.create(guardian=other, child=spot.child, emergency_name="Moss", emergency_phone="555-0199")
    PickupPerson.objects.create(child=spot.child, name="Granny Moss", named_by=other, recorded_at=now)
    theirs = take_spot(clinic=make_clinic(days=20), child=spot.child, guardian=other, now=now)
    request = FamilyRequest.objects.create(guardian=spot.guardian, what="erasure", asked_at=now)
    decide_request(request=request, grant=True, reason="", by=admin, now=now)

    child = Child.objects.get()
    assert child.name == "Wren Ash" and [c.name for c in child.pickup_people.all()] == ["Granny Moss"]
    assert list(Guardian.objects.all()) == [other]
    theirs.refresh_from_db()
    assert theirs.state == SpotState.HELD


def test_nothing_is_forgotten_while_a_record_is_on_hold(registered, admin, now):
    spot = registered()
    hold_child(child=spot.child, because="An insurer asked for it")
    request = FamilyRequest.objects.create(guardian=spot.guardian, what="erasure", asked_at=now)
    with pytest.raises(Refusal) as refused:
        decide_request(request=request, grant=True, reason="", by=admin, now=now)

    assert refused.value.codes == {"on hold"}
    assert FamilyRequest.objects.get().state == "waiting" and not Note.objects.filter(kind="family-request").exists()


def test_no_needs_a_reason_and_goes_into_the_mail(registered, admin, now):
    request = FamilyRequest.objects.create(guardian=registered().guardian, what="copy", asked_at=now)
    with pytest.raises(Refusal):
        decide_request(request=request, grant=False, reason=" ", by=admin, now=now)
    decide_request(request=request, grant=False, reason="We could not reach you by telephone.", by=admin, now=now)

    assert "We could not reach you" in build(Note.objects.get(kind=FAMILY_REQUEST), now).body


def test_the_copy_shows_what_is_theirs_and_nothing_of_another_guardian_nor_who_must_not_pick_up(
    registered, admin, now, stranger
):
    spot = registered()
    other = Guardian.objects.create(name="Linden Moss", email="linden@example.org", registered_at=now)
    Guardianship.objects.create(guardian=other, child=spot.child, emergency_name="Moss", emergency_phone="555-0199")
    PickupPerson.objects.create(child=spot.child, name="Granny Moss", named_by=other, recorded_at=now)
    PickupPerson.objects.create(
        child=spot.child, name="Kestrel Vane", must_not=True, seen="Order of 3 May", recorded_at=now
    )
    request = FamilyRequest.objects.create(guardian=spot.guardian, what="copy", asked_at=now)
    row = decide_request(request=request, grant=True, reason="", by=admin, now=now)
    address = copy_link(row)
    page = stranger.get(address[address.index("/copy/") :])

    text = page.content.decode()
    assert page.status_code == 200 and "peanuts" in text and "Uncle Bram" in text and "Rowan Ash" in text
    assert [word for word in ("Moss", "Granny", "Kestrel", "Order of") if word in text] == []
    assert "no-store" in page["Cache-Control"]
    assert "Wren" not in address


def test_the_copy_of_a_spanish_family_is_wholly_spanish(registered, admin, now, stranger):
    languages.write_words()
    request = FamilyRequest.objects.create(guardian=registered(language="es").guardian, what="copy", asked_at=now)
    address = copy_link(decide_request(request=request, grant=True, reason="", by=admin, now=now))
    text = stranger.get(address[address.index("/copy/") :]).content.decode()

    assert '<html lang="es">' in text and "Nunca ha jugado" in text and "New to" not in text


def test_a_copy_link_runs_out(registered, admin, now, stranger, move_clock):
    request = FamilyRequest.objects.create(guardian=registered().guardian, what="copy", asked_at=now)
    address = copy_link(decide_request(request=request, grant=True, reason="", by=admin, now=now))
    move_clock(now + timedelta(days=8))

    assert stranger.get(address[address.index("/copy/") :]).status_code == 410


@pytest.mark.parametrize("page", ["retention", "family-requests"])
def test_only_the_admin_sees_these_pages(page, stranger, coordinator, floor_lead, admin, signed_in):
    assert stranger.get(reverse(page)).status_code == 302
    for who in (coordinator, floor_lead):
        assert signed_in(who).get(reverse(page)).status_code == 403
    assert signed_in(admin).get(reverse(page)).status_code == 200


def test_the_rule_shows_what_it_would_do_before_it_is_set(registered, admin, signed_in, move_clock):
    registered()
    move_clock(clock.now() + timedelta(days=200))
    client = signed_in(admin)
    typed = {"child_months": 3, "majority_age": 18, "limitation_years": 2}
    first = client.post(reverse("retention"), typed)

    assert "the full records of <b>1 child</b>" in first.content.decode() and not Retention.objects.exists()
    client.post(reverse("retention"), typed | {"confirmed": "1"})
    assert Retention.objects.get().child_months == 3 and not Retention.objects.get().keep_waivers
    odd = client.post(reverse("retention"), typed | {"child_months": 0})
    assert odd.status_code == 422


def test_keys_are_turned_without_losing_a_note_and_a_lost_key_is_said(registered, settings, capsys):
    registered()
    old, new = settings.CARE_KEYS[0], Fernet.generate_key().decode()
    settings.CARE_KEYS = [new, old]
    call_command("turn_keys")
    assert "1 texts are under the first key now." in capsys.readouterr().out

    settings.CARE_KEYS = [new]
    assert Child.objects.get().allergies == "peanuts"
    settings.CARE_KEYS = [Fernet.generate_key().decode()]
    with pytest.raises(secret_text.LostKey, match="Put that key back"):
        Child.objects.get()


@pytest.mark.parametrize("months", [1, 2, 24])
def test_who_is_due_is_found_on_the_very_day_and_not_before(registered, now, months):
    """The look into the books leaves out who can't be due; here it must agree with the rule day by day."""
    spot = registered()
    rule = replace(rule_of(Retention.now()), child_months=months)
    last = spot.clinic.starts_at.astimezone(clock.home_zone()).date()
    kept = redact_after(last, months)

    assert list(children_due(today=kept, rule=rule)) == []
    assert [goes for _, goes in children_due(today=kept + timedelta(days=1), rule=rule)] == ["notes"]
    Spot.objects.all().delete()
    first = redact_after(spot.child.registered_at.astimezone(clock.home_zone()).date(), months)
    assert list(children_due(today=first, rule=rule)) == []
    assert len(list(children_due(today=first + timedelta(days=1), rule=rule))) == 1


def test_what_phones_wrote_goes_after_a_month_and_who_picked_up_goes_with_the_notes(floor, now):
    who = f"c{floor.children[0].pk}"
    facts = {"what": "Bumped heads", "first_aid": "Ice", "told": "Marla", "witness": "Oswin", "head": True}
    send(
        floor,
        entry(1, "in", now, who=who),
        entry(2, "incident", now, who=who, **facts),
        entry(3, "out", now, who=who, pickup="Uncle Bram"),
    )
    assert purge_leftovers(now=now + timedelta(days=20)) == 0
    assert purge_leftovers(now=now + timedelta(days=40)) == 3 and not FloorAction.objects.exists()
    assert SignIn.objects.get().pickup == "Uncle Bram", "the books stay"

    purge_children(today=clock.today() + LATER, now=now + LATER)
    assert SignIn.objects.get().pickup == "" and Incident.objects.get().what == "Bumped heads"
    assert "Uncle Bram" not in everything()
    far = timedelta(days=366 * 15)
    purge_children(today=clock.today() + far, now=now + far)
    assert Child.objects.get(pk=floor.children[0].pk).name == "" and Incident.objects.get().what == ""


def test_a_table_of_households_that_was_read_and_left_is_emptied(db, now):
    row = Import.objects.create(what="households", file_name="families.csv", rows=[{"name": "x"}], read_at=now)
    purge_leftovers(now=now + timedelta(days=29))
    row.refresh_from_db()
    assert row.rows
    purge_leftovers(now=now + timedelta(days=31))
    row.refresh_from_db()
    assert row.rows == []
