"""Duties are data: an admin adds one, rewords one, retires one; what the program asks for by name stays."""

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.models import ProtectedError
from django.urls import reverse

from clinics.models import HandNeed
from core import clock
from people.models import Duty, DutyBook, PolicyRow, Volunteer
from people.queries.standing import open_book
from shifts.models import Backup


def typed(**more):
    return {
        "name": "interpreter",
        "ask": "interpret for families",
        "letter": "i",
        "counts": "on",
        "rank": 60,
        "like": "door",
    } | more


def test_a_new_duty_is_offered_and_asks_what_its_twin_asks_from_the_first_day(admin, signed_in, make_volunteer):
    client = signed_in(admin)
    client.post(reverse("duty-new"), typed())

    duty = Duty.objects.get(code="interpreter")
    assert (duty.letter, duty.ask) == ("I", "interpret for families")
    assert set(PolicyRow.objects.filter(duty__code="interpreter").values_list("kind__code", flat=True)) == {
        "screening",
        "conduct",
    }
    cleared = make_volunteer(duties=("interpreter",))
    unknown = make_volunteer(duties=("interpreter",), cleared=())
    book = open_book([cleared.pk, unknown.pk])
    assert book.on(cleared.pk, "interpreter", clock.today()).ok
    assert not book.on(unknown.pk, "interpreter", clock.today()).ok
    assert "Interpreter" in client.get(reverse("volunteer", args=[cleared.pk])).content.decode()
    assert 'value="interpreter"' in client.get(reverse("volunteer-new")).content.decode()
    assert 'value="interpreter"' in client.get(reverse("join")).content.decode()


def test_a_duty_of_a_place_is_asked_there_too(admin, signed_in, policy):
    PolicyRow.objects.create(duty_id="door", kind=policy["first_aid"], months=6, place="school district")
    signed_in(admin).post(reverse("duty-new"), typed())

    row = PolicyRow.objects.get(duty__code="interpreter", kind=policy["first_aid"])
    assert (row.place, row.months) == ("school district", 6)


def test_a_reworded_duty_reads_so_everywhere(admin, coordinator, signed_in, make_shift):
    shift = make_shift(duty="door")
    door = Duty.objects.get(code="door")
    signed_in(admin).post(
        reverse("duty-change", args=[door.pk]),
        {"name": "front desk", "ask": "look after the desk", "letter": "D", "counts": "on", "rank": 40},
    )

    assert "front desk" in signed_in(coordinator).get(reverse("clinic", args=[shift.clinic.pk])).content.decode()
    assert "still needs 1 person: front desk" in signed_in(coordinator).get(reverse("ahead")).content.decode()


def test_what_another_process_rewords_stands_on_the_very_next_page(coordinator, signed_in, make_volunteer):
    client = signed_in(coordinator)
    address = reverse("volunteer", args=[make_volunteer(duties=("door",)).pk])
    client.get(address)
    Duty.objects.filter(code="door").update(name="front desk")

    assert "Front desk" in client.get(address).content.decode()


def test_a_retired_duty_is_no_longer_offered_and_whoever_holds_it_keeps_it(admin, signed_in, make_volunteer):
    client = signed_in(admin)
    client.post(reverse("duty-new"), typed())
    person = make_volunteer(duties=("coach", "interpreter"))
    row = Duty.objects.get(code="interpreter")
    client.post(reverse("duty-change", args=[row.pk]), typed(retired="on"))

    assert 'value="interpreter"' not in client.get(reverse("volunteer-new")).content.decode()
    answer = client.post(
        reverse("volunteer-change", args=[person.pk]),
        {"name": "Kept", "email": person.email, "duties": ["coach", "interpreter"], "adult": "on"},
    )
    assert answer.status_code == 302
    assert Volunteer.objects.get(pk=person.pk).duties == ["coach", "interpreter"]


@pytest.mark.parametrize(
    ("code", "more", "sentence"),
    [
        ("lead", {"retired": "on"}, "can’t archive it"),
        ("helper", {"counts": "on"}, "don’t count as adults"),
        ("lead", {"name": "COACH"}, "already a duty with that name"),
        ("lead", {"letter": "7"}, "Enter one letter"),
        ("lead", {"ask": ""}, "required"),
    ],
)
def test_what_a_duty_cannot_become_is_said(admin, signed_in, code, more, sentence):
    row = Duty.objects.get(code=code)
    as_it_is = {"name": row.name, "ask": row.ask, "letter": row.letter, "rank": row.rank}

    answer = signed_in(admin).post(reverse("duty-change", args=[row.pk]), as_it_is | more)

    assert answer.status_code == 422 and sentence in answer.content.decode()


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"name": "Coach"}, "already a duty with that name"),
        ({"name": "c o a c h", "like": "nobody"}, "Select a valid choice"),
        ({"name": "…"}, "has letters in it"),
        ({"name": "Lead!"}, "already a duty with that name"),
    ],
)
def test_a_duty_that_cannot_be_added_is_refused_in_words(admin, signed_in, more, sentence):
    answer = signed_in(admin).post(reverse("duty-new"), typed(**more))

    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert Duty.objects.count() == 6


def test_only_an_admin_keeps_duties(coordinator, floor_lead, stranger, signed_in):
    for address in (reverse("duty-new"), reverse("duty-change", args=[Duty.objects.get(code="door").pk])):
        assert signed_in(coordinator).get(address).status_code == 403
        assert signed_in(floor_lead).get(address).status_code == 403
        assert stranger.get(address).status_code == 302


@pytest.mark.parametrize("table", ["policy", "shift", "need by hand", "backup"])
def test_the_database_knows_every_duty_that_is_named(policy, make_shift, make_clinic, make_volunteer, now, table):
    make = {
        "policy": lambda: PolicyRow.objects.create(duty_id="juggler", kind=policy["conduct"]),
        "shift": lambda: make_shift(duty="juggler"),
        "need by hand": lambda: HandNeed.objects.create(clinic=make_clinic(), duty_id="juggler", people=1),
        "backup": lambda: Backup.objects.create(
            clinic=make_clinic(), volunteer=make_volunteer(), duty_id="juggler", since=now
        ),
    }
    with pytest.raises(IntegrityError), transaction.atomic():
        make[table]()
        connection.check_constraints()


def test_a_duty_that_something_names_is_never_deleted(policy, make_shift):
    make_shift(duty="door")
    with pytest.raises(ProtectedError):
        Duty.objects.get(code="door").delete()


def test_a_code_that_is_gone_still_has_a_name_and_never_counts(db):
    book = DutyBook.open()

    assert (book.name("ball_runner"), book.ask("ball_runner")) == ("ball runner", "be the ball runner")
    assert not book.counts("ball_runner") and not book.counts("helper") and book.counts("coach")
