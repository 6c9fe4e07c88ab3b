"""Asking in rounds: after a no or a long silence the next best is asked, within the rules and outside quiet hours."""

from datetime import datetime, time, timedelta

import pytest
from django.urls import reverse

from core import clock
from core.rules.local_time import localize
from outbox.models import Note
from people.models import Volunteer
from shifts.letters.shifts import SHIFT_ASK, SHIFT_RELEASED
from shifts.models import AskingRules, Assignment, Reply, Shift
from shifts.services.cover import ask_volunteer, record_reply
from shifts.services.rounds import next_rounds


@pytest.fixture
def shift(make_shift, make_clinic):
    return make_shift(make_clinic(days=10, offer_next=True))


def noon(shift: Shift) -> datetime:
    return localize(clock.today(), time(12), shift.clinic.center.tz)


def asked(shift):
    return [row.volunteer.name for row in Assignment.objects.live().filter(shift=shift)]


def ask(shift, person, at=None):
    return ask_volunteer(shift=shift, volunteer=person, now=at or noon(shift))


def test_a_no_asks_the_next_best_in_the_same_transaction(shift, make_volunteer):
    first, _ = make_volunteer("First"), make_volunteer("Second")
    row = ask(shift, first)

    record_reply(assignment=row, reply=Reply.DECLINED, by="First, by link", now=noon(shift))

    assert asked(shift) == ["Second"]
    assert Note.objects.filter(kind=SHIFT_ASK, to_name="Second").exists()


def test_where_it_is_not_chosen_a_no_only_frees_the_shift(make_shift, make_volunteer):
    shift = make_shift()
    first, _ = make_volunteer("First"), make_volunteer("Second")
    record_reply(assignment=ask(shift, first), reply=Reply.DECLINED, by="x", now=noon(shift))

    assert asked(shift) == []


def test_silence_passes_the_question_on_and_only_then(shift, make_volunteer):
    AskingRules.objects.create(pk=1, silence_hours=24)
    first, _ = make_volunteer("First"), make_volunteer("Second")
    ask(shift, first)

    assert next_rounds(now=noon(shift) + timedelta(hours=23)) == 0 and asked(shift) == ["First"]
    assert next_rounds(now=noon(shift) + timedelta(hours=25)) == 1 and asked(shift) == ["Second"]
    assert next_rounds(now=noon(shift) + timedelta(hours=25)) == 0
    told = Note.objects.get(kind=SHIFT_RELEASED)
    assert told.number_of(Volunteer) == first.pk
    number = told.number_of(Assignment)
    assert number is not None and "hear back in time" in Assignment.objects.get(pk=number).released_because


def test_with_nobody_else_a_silent_question_stays_open(shift, make_volunteer):
    ask(shift, make_volunteer("Only"))

    assert next_rounds(now=noon(shift) + timedelta(hours=60)) == 0
    assert asked(shift) == ["Only"]
    assert not Note.objects.filter(kind=SHIFT_RELEASED).exists()


def test_an_open_round_goes_on_when_somebody_new_can_come(shift, make_volunteer):
    record_reply(assignment=ask(shift, make_volunteer("First")), reply=Reply.DECLINED, by="x", now=noon(shift))
    assert asked(shift) == []
    make_volunteer("New")

    assert next_rounds(now=noon(shift)) == 1 and asked(shift) == ["New"]


def test_nobody_with_enough_open_questions_is_asked(shift, make_volunteer, make_shift, make_clinic):
    AskingRules.objects.create(pk=1, most_open=1)
    first, busy, free = make_volunteer("A first"), make_volunteer("B busy"), make_volunteer("C free")
    ask(make_shift(make_clinic(days=20)), busy)
    Assignment.objects.filter(volunteer=busy).update(asked_at=noon(shift) - timedelta(days=1))
    del free

    record_reply(assignment=ask(shift, first), reply=Reply.DECLINED, by="x", now=noon(shift))

    assert asked(shift) == ["C free"]


def test_in_quiet_hours_the_note_waits_for_the_morning(shift, make_volunteer):
    night = localize(clock.today(), time(23), shift.clinic.center.tz)
    first, _ = make_volunteer("First"), make_volunteer("Second")
    record_reply(assignment=ask(shift, first), reply=Reply.DECLINED, by="x", now=night)

    note = Note.objects.get(kind=SHIFT_ASK, to_name="Second")
    local = note.due_at.astimezone(shift.clinic.center.tz)
    assert local.time() == time(7) and local.date() == clock.today() + timedelta(days=1)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"most_open": 0}, "1 to 50 unanswered requests"),
        ({"silence_hours": 0}, "1 to 1,440 hours"),
        ({"late_hours": 10_000}, "1 to 336 hours"),
        ({"most_open": "many"}, "whole number"),
    ],
)
def test_rules_that_cannot_be_are_refused_in_words(coordinator, signed_in, typed, sentence):
    good = {"most_open": 3, "silence_hours": 48, "late_hours": 24}

    answer = signed_in(coordinator).post(reverse("asking-rules-save"), good | typed)

    assert answer.status_code == 422 and sentence in answer.content.decode()


def test_rules_are_kept_and_two_people_kept_apart(coordinator, signed_in, make_volunteer):
    client = signed_in(coordinator)
    one, other = make_volunteer("Imara Venn"), make_volunteer("Tobiah Quill")
    client.post(reverse("asking-rules-save"), {"most_open": 2, "silence_hours": 12, "late_hours": 36})
    rules = AskingRules.current()
    assert (rules.most_open, rules.silence_hours, rules.late_hours, rules.swaps_by_themselves) == (2, 12, 36, False)

    client.post(reverse("apart-new"), {"one": other.pk, "other": one.pk})
    page = client.get(reverse("asking-rules")).content.decode()
    assert "Imara Venn and Tobiah Quill" in page
    assert client.post(reverse("apart-new"), {"one": one.pk, "other": one.pk}).status_code == 422


@pytest.mark.parametrize("name", ["asking-rules-save", "apart-new"])
def test_a_get_of_what_changes_the_rules_is_sent_on_to_them_and_others_may_not(
    coordinator, floor_lead, signed_in, stranger, name
):
    client, typed = signed_in(coordinator), {"most_open": 2, "silence_hours": 12, "late_hours": 36}
    before = AskingRules.current().most_open
    assert client.get(reverse(name), typed)["Location"] == reverse("asking-rules")
    assert client.post(reverse("asking-rules"), typed).status_code == 405
    assert signed_in(floor_lead).post(reverse(name), typed).status_code == 403
    assert stranger.post(reverse(name), typed)["Location"].startswith("/log-in/")
    assert AskingRules.current().most_open == before != 2


def test_rules_that_were_refused_stay_typed(coordinator, signed_in):
    typed = {"most_open": 0, "silence_hours": 47, "late_hours": 24}
    page = signed_in(coordinator).post(reverse("asking-rules-save"), typed).content.decode()
    assert 'value="47"' in page and f'action="{reverse("asking-rules-save")}"' in page
