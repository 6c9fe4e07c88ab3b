"""A proposal of cover from the wish to the questions: searched, shown, taken whole or in part, tried as what if."""

from datetime import timedelta

import pytest
from django.urls import reverse

from clinics.models import AgeBand
from core import clock
from outbox.models import Note
from people.models import Clearance, Volunteer
from shifts.letters.shifts import SHIFT_ASK, SHIFT_RELEASED
from shifts.models import (
    AskingRules,
    Assignment,
    Away,
    Proposal,
    ProposalLine,
    ProposalState,
    Reply,
)
from shifts.rules.matching import match
from shifts.services import proposals as services
from shifts.services.proposals import propose, search, search_waiting, stop, take_lines

BOTH = {"duties": ("first_aider", "coach"), "cleared": ("screening", "conduct", "first_aid")}
HOME = {"latitude": 41.5, "longitude": -77.5}


@pytest.fixture
def week(make_clinic, make_shift, make_volunteer, make_center, make_space):
    """Two clinics of one week, five shifts in all, and people enough for four of them."""
    center = make_center("Quarry Lane Library", **HOME)
    first, second = make_clinic(make_space(center), days=3), make_clinic(make_space(center), days=5)
    for clinic in (first, second):
        make_shift(clinic, "lead"), make_shift(clinic, "coach")
    make_shift(first, "first_aider")
    make_volunteer("Lea", duties=("lead",), **HOME)
    make_volunteer("Cora", duties=("coach",), **HOME)
    make_volunteer("Far", duties=("coach",), latitude=41.9, longitude=-77.5)
    return first, second


def asked(by, days=7, **more):
    today = clock.today()
    row = propose(first=today, last=today + timedelta(days=days), by=by, now=clock.now(), **more)
    search(pk=row.pk)
    row.refresh_from_db()
    return row


def test_it_proposes_the_best_says_what_is_proven_and_asks_nobody(week, coordinator):
    row = asked(coordinator)

    assert row.state == ProposalState.READY and row.result["status"] == "proven best"
    assert row.result["words"][0] == "1 of 5 shifts is still open. No other plan fills more."
    lines = {(line.clinic_id, line.duty): line.volunteer.name for line in row.lines.select_related("volunteer")}
    first, second = week
    assert lines == {
        (first.pk, "lead"): "Lea",
        (first.pk, "coach"): "Cora",
        (second.pk, "lead"): "Lea",
        (second.pk, "coach"): "Cora",
    }
    assert not Assignment.objects.exists() and not Note.objects.exists()


def test_taking_part_asks_those_alone_and_the_rest_can_be_taken_later(week, coordinator, signed_in):
    row = asked(coordinator)
    client = signed_in(coordinator)
    page = client.get(reverse("proposal", args=[row.pk])).content.decode()
    assert "No other plan fills more" in page and "Quarry Lane Library" in page and "newly filled" in page
    lead = row.lines.get(duty="lead", clinic=week[0])

    client.post(reverse("proposal-take", args=[row.pk]), {"line": [lead.pk]})

    (only,) = Assignment.objects.all()
    assert only.volunteer.name == "Lea" and only.reply == Reply.NEEDS_ACTION
    assert Note.objects.get().kind == SHIFT_ASK
    ids = set(row.lines.values_list("pk", flat=True))
    assert take_lines(proposal=row, ids=ids, now=clock.now()) == (3, 0)
    assert take_lines(proposal=row, ids=ids, now=clock.now()) == (0, 0)
    assert Assignment.objects.count() == 4


def test_a_line_that_is_no_longer_so_says_why_and_the_others_go_on(week, coordinator, make_assignment, make_volunteer):
    row = asked(coordinator)
    coach = row.lines.get(duty="coach", clinic=week[0])
    make_assignment(coach.shift, make_volunteer("Came First"))
    lead = row.lines.get(duty="lead", clinic=week[0])
    Clearance.objects.filter(volunteer__name="Lea").update(expires_on=clock.today())

    done = take_lines(proposal=row, ids=set(row.lines.values_list("pk", flat=True)), now=clock.now())

    assert done == (1, 3)
    coach.refresh_from_db(), lead.refresh_from_db()
    assert "Came First already has this shift" in coach.outcome and "isn’t cleared" in lead.outcome


def test_a_better_plan_lets_an_unanswered_question_go_and_never_a_yes(
    week, coordinator, make_assignment, make_volunteer
):
    first, _ = week
    both = make_volunteer("Both", **BOTH, **HOME)
    shift = first.shifts.get(duty__code="coach")
    make_assignment(shift, both, reply=Reply.NEEDS_ACTION)

    row = asked(coordinator)

    moved = row.lines.get(kind=ProposalLine.Kind.MOVED)
    assert (moved.was, moved.volunteer.name) == (both, "Cora")
    take_lines(proposal=row, ids=set(row.lines.values_list("pk", flat=True)), now=clock.now())
    assert {a.shift.duty_id: a.volunteer.name for a in Assignment.objects.live().filter(shift__clinic=first)} == {
        "lead": "Lea", "coach": "Cora", "first_aider": "Both",
    }  # fmt: skip
    assert Note.objects.about(both).filter(kind=SHIFT_RELEASED).exists()

    Assignment.objects.live().filter(volunteer=both).update(reply=Reply.ACCEPTED, replied_at=clock.now())
    again = asked(coordinator)
    assert not again.lines.filter(was=both).exists()


def test_filling_what_is_open_moves_nobody(week, coordinator, signed_in, make_assignment, make_volunteer):
    both = make_volunteer("Both", **BOTH, **HOME)
    make_assignment(week[0].shifts.get(duty__code="coach"), both, reply=Reply.NEEDS_ACTION)
    days = {"first_day": clock.today(), "last_day": clock.today() + timedelta(days=7)}
    signed_in(coordinator).post(reverse("proposal-new"), days | {"keep": "yes"})
    row = Proposal.objects.get()
    search(pk=row.pk)

    assert set(row.lines.values_list("kind", flat=True)) == {"added", "untouched"}
    page = signed_in(coordinator).get(reverse("proposal", args=[row.pk])).content.decode()
    assert "Everyone who was already asked stays put" in page


def test_the_next_search_of_the_same_days_begins_where_the_last_ended(week, coordinator, monkeypatch):
    first = asked(coordinator)
    begun = []

    def watched(*args, start, **more):
        begun.append(start)
        return match(*args, start=start, **more)

    monkeypatch.setattr(services, "match", watched)
    asked(coordinator)

    assert begun == [dict(first.lines.values_list("shift_id", "volunteer_id"))]


def test_somebody_who_said_yes_meanwhile_is_not_moved(week, coordinator, make_assignment, make_volunteer):
    both = make_volunteer("Both", **BOTH, **HOME)
    held = make_assignment(week[0].shifts.get(duty__code="coach"), both, reply=Reply.NEEDS_ACTION)
    row = asked(coordinator)
    Assignment.objects.filter(pk=held.pk).update(reply=Reply.ACCEPTED, replied_at=clock.now())
    moved = row.lines.get(kind=ProposalLine.Kind.MOVED)

    take_lines(proposal=row, ids={moved.pk}, now=clock.now())

    moved.refresh_from_db()
    assert "has since said yes" in moved.outcome
    assert Assignment.objects.live().get(shift=held.shift_id).volunteer == both


def test_nobody_gets_more_open_questions_than_the_rules_allow(week, coordinator):
    AskingRules.objects.create(pk=1, most_open=1)

    row = asked(coordinator)

    counts = [line.volunteer_id for line in row.lines.all()]
    assert len(counts) == len(set(counts))


def test_an_open_shift_names_who_is_nearest_to_it_and_what_would_help(week, coordinator, signed_in, make_volunteer):
    make_volunteer("Almost", duties=("first_aider",), cleared=("screening", "conduct"), **HOME)

    row = asked(coordinator)

    (opened,) = row.result["open"]
    assert opened["duty"] == "first aider" and opened["near"][0]["name"] == "Almost"
    assert "no first-aid certificate on file" in opened["near"][0]["why"]
    page = signed_in(coordinator).get(reverse("proposal", args=[row.pk])).content.decode()
    assert "Almost" in page and "You could record first-aid certificate for Almost" in page


def test_why_was_somebody_not_asked_has_an_answer_for_each_shift(week, coordinator, signed_in):
    row = asked(coordinator)
    far = Volunteer.objects.get(name="Far")
    page = signed_in(coordinator).get(reverse("proposal-why", args=[row.pk, far.pk])).content.decode()

    assert page.count("the overall plan is better with Cora") == 2


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"first_day": "2027-01-10", "last_day": "2027-01-01"}, "The last day is before the first"),
        ({"first_day": "2027-01-01", "last_day": "2028-01-01"}, "up to 200 days"),
        ({"first_day": "soon", "last_day": "2027-01-01"}, "Enter the date as year-month-day"),
        ({}, "required"),
    ],
)
def test_days_that_cannot_be_are_refused_in_words(coordinator, signed_in, typed, sentence):
    answer = signed_in(coordinator).post(reverse("proposal-new"), typed)

    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert not Proposal.objects.exists()


def test_no_clinics_and_no_volunteers_have_pages_that_say_so(coordinator, signed_in, make_shift, make_clinic):
    empty = asked(coordinator)
    assert empty.result["words"][0] == "There are no shifts on these days."
    make_shift(make_clinic(days=2))
    alone = asked(coordinator)
    page = signed_in(coordinator).get(reverse("proposal", args=[alone.pk])).content.decode()
    assert "There are no volunteers to choose from" in page and "on the map, so we assume" in page


def test_a_search_survives_a_reload_can_be_stopped_and_says_so(coordinator, signed_in, make_shift, monkeypatch):
    make_shift()
    client = signed_in(coordinator)
    client.post(reverse("proposal-new"), {"first_day": clock.today(), "last_day": clock.today() + timedelta(days=20)})
    row = Proposal.objects.get()
    assert "Starting in a moment" in client.get(reverse("proposal", args=[row.pk])).content.decode()
    part = client.get(reverse("proposal", args=[row.pk]) + "?part=state").content.decode()
    assert "hx-get" in part and "<html" not in part

    client.post(reverse("proposal-stop", args=[row.pk]))

    assert "You stopped the search before it started" in client.get(reverse("proposal", args=[row.pk])).content.decode()
    assert not search(pk=row.pk)
    again = client.get(reverse("proposal", args=[row.pk]) + "?part=state")
    assert again.status_code == 204 and again["HX-Refresh"] == "true"


def test_stopping_a_running_search_keeps_the_best_so_far(week, coordinator, monkeypatch):
    row = propose(first=clock.today(), last=clock.today() + timedelta(days=7), by=coordinator, now=clock.now())
    real = match

    def match_with_a_stop(*args, watch, **more):
        stop(proposal=row)
        return real(*args, watch=watch, **more)

    monkeypatch.setattr(services, "match", match_with_a_stop)
    search(pk=row.pk)

    row.refresh_from_db()
    assert row.state == ProposalState.READY and row.result["status"] == "stopped" and row.lines.exists()


def test_a_worker_that_fell_silent_is_followed_by_another_and_then_the_page_says_so(week, coordinator):
    row = propose(first=clock.today(), last=clock.today() + timedelta(days=7), by=coordinator, now=clock.now())
    gone = {"state": ProposalState.RUNNING, "claim": "0" * 32, "seen_at": clock.now() - timedelta(minutes=2)}
    Proposal.objects.update(**gone, tries=1)
    assert search_waiting(now=clock.now()) == 1
    row.refresh_from_db()
    assert row.state == ProposalState.READY and row.tries == 2

    Proposal.objects.update(**gone, tries=2)
    assert search_waiting(now=clock.now()) == 0
    row.refresh_from_db()
    assert row.state == ProposalState.FAILED and "partway through" in row.trouble


def test_what_if_tries_on_a_copy_and_writes_nothing(week, coordinator, signed_in):
    first, second = week
    client = signed_in(coordinator)
    row = asked(coordinator)
    lea = row.lines.filter(duty="lead").first().volunteer

    client.post(reverse("proposal-what-if", args=[row.pk]), {"what": "away", "volunteer": lea.pk, "day": first.day})
    tried = Proposal.objects.latest("pk")
    search(pk=tried.pk)
    tried.refresh_from_db()

    assert not tried.lines.filter(duty="lead", clinic=first).exists()
    assert tried.lines.filter(duty="lead", clinic=second).exists() and not Away.objects.exists()
    page = client.get(reverse("proposal", args=[tried.pk])).content.decode()
    assert "What if Lea is away" in page and "Apply this for real" in page
    client.post(reverse("proposal-take", args=[tried.pk]), {"line": [tried.lines.all()[0].pk]})
    assert not Assignment.objects.exists()

    client.post(reverse("proposal-apply", args=[tried.pk]))

    assert Away.objects.get().volunteer == lea and Proposal.objects.latest("pk").what_if == []


def test_what_if_twice_the_children_came_asks_for_more_and_applying_books_them(week, coordinator, signed_in):
    first, _ = week
    client = signed_in(coordinator)
    row = asked(coordinator)
    client.post(reverse("proposal-what-if", args=[row.pk]), {"what": "children", "clinic": first.pk, "children": 40})
    tried = Proposal.objects.latest("pk")
    search(pk=tried.pk)
    tried.refresh_from_db()
    # 40 children of 7 to 10 at 1 to 8 ask for a lead and four coaches, a first aider and a door; the other has two.
    assert "of 9 shifts" in tried.result["words"][0]
    assert AgeBand.objects.get(clinic=first).children == 16

    page = client.post(reverse("proposal-apply", args=[tried.pk]), follow=True).content.decode()

    assert "Applied: 40 children come to" in page
    assert AgeBand.objects.get(clinic=first).children == 40 and first.shifts.filter(duty__code="coach").count() > 1


def test_what_if_a_clearance_is_renewed_or_a_clinic_moved(week, coordinator):
    first, second = week
    Clearance.objects.filter(volunteer__name="Lea", kind__code="conduct").update(expires_on=clock.today())
    lea = Volunteer.objects.get(name="Lea")
    plain = asked(coordinator)
    assert not plain.lines.filter(duty="lead").exists()

    renewed = asked(
        coordinator,
        what_if=[{"what": "renew", "volunteer": lea.pk, "kind": "conduct", "day": clock.today().isoformat()}],
    )
    assert renewed.lines.filter(duty="lead").count() == 2

    same_hour = {"what": "move", "clinic": second.pk, "day": first.day.isoformat(), "starts": "09:30"}
    moved = asked(coordinator, what_if=[*renewed.what_if, same_hour])
    assert moved.lines.filter(duty="lead").count() == 1


def test_what_cannot_be_supposed_is_said(week, coordinator, signed_in):
    row = asked(coordinator)
    client = signed_in(coordinator)
    for typed in ({"what": "away"}, {"what": "children", "clinic": week[0].pk, "children": 0}, {"what": "magic"}):
        assert client.post(reverse("proposal-what-if", args=[row.pk]), typed).status_code == 422
    assert Proposal.objects.count() == 1
    broken = asked(coordinator, what_if=[{"what": "children", "clinic": 10**9, "children": 4}])
    assert broken.state == ProposalState.FAILED and "Choose another one" in broken.trouble


def test_only_those_who_cover_clinics_see_proposals(floor_lead, stranger, signed_in, week, coordinator):
    row = asked(coordinator)
    for name, args in (("cover", []), ("proposal", [row.pk]), ("load", []), ("asking-rules", [])):
        assert signed_in(floor_lead).get(reverse(name, args=args)).status_code == 403
        assert stranger.get(reverse(name, args=args)).status_code == 302
