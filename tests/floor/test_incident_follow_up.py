"""A blow to the head is not forgotten the next day: the office is asked, and the child is marked until cleared."""

import re
from datetime import UTC, time, timedelta

import pytest
from django.db import IntegrityError, connection, transaction
from django.urls import reverse

from core import clock
from core.merge import history_of
from core.refusal import Refusal
from core.rules.local_time import localize
from families.models import Child, Spot, SpotState
from families.queries.door import door_lines
from floor.models import Incident, IncidentFollowUp, Outcome, Sort
from floor.queries.edition import edition_of
from floor.queries.follow_ups import not_to_play
from floor.queries.incident_needs import incident_needs
from floor.queries.page import day_data
from floor.rules.incidents import CLEARED, FOLLOWED, HEAD, NOT_HEAD, OUTCOMES, SORTS, WONT_RETURN, FollowUpFacts
from floor.services.follow_up import follow_up_mark, save_follow_up
from floor.services.mailing import mail_floor_link
from floor.services.phones import open_phone
from floor.services.retention import forget_on_floor
from outbox.letters import build
from people.models import User
from scheduling.queries.ahead import ahead_page
from shifts.hooks import floor_page_of
from shifts.models import Assignment
from tests.floor_days import entry, send

pytestmark = pytest.mark.django_db


@pytest.fixture
def hurt(floor, now):
    """A clinic of yesterday where something happened to Wren; returns a function that sends a report of it."""
    clinic = floor.clinic
    day = now.astimezone(clinic.center.tz).date() - timedelta(days=1)
    clinic.starts_at = localize(day, time(8), clinic.center.tz).astimezone(UTC)
    clinic.ends_at = clinic.starts_at + timedelta(hours=2)
    clinic.save()
    floor.phone.opened_at = clinic.starts_at - timedelta(hours=1)
    floor.phone.save()
    words = {
        "what": "Ran into the wall",
        "first_aid": "Cold pack",
        "told": "not yet",
        "witness": "Marla",
        "head": False,
    }

    def inner(seq=1, who=f"c{floor.children[0].pk}", **more):
        one = entry(seq, "incident", clinic.starts_at + timedelta(minutes=40), who=who, **(words | more))
        send(floor, one)
        return one

    return inner


@pytest.fixture
def next_clinic(floor, make_clinic, make_shift, make_assignment):
    """Tomorrow's, where the same children have a spot, and its lead's phone."""
    clinic = make_clinic(days=1)
    for child in floor.children:
        guardian = child.guardianships.all()[0].guardian
        Spot.objects.create(
            clinic=clinic, child=child, guardian=guardian, state=SpotState.HELD, age=9, asked_at=clock.now()
        )
    make_assignment(make_shift(clinic, "lead"), floor.lead.volunteer)
    return clinic


def on_phone(clinic, floor, now):
    phone, _ = open_phone(clinic=clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.9", now=now)
    return {one["name"]: one["not_cleared"] for one in day_data(phone, now)["children"]}


def needs(now):
    return [
        f"{one.headline} {one.detail}" for one in ahead_page(now, clock.today()).needs if "Wren Ash" in one.headline
    ]


def test_a_blow_to_the_head_stands_on_ahead_the_next_day_and_a_year_later(hurt, now):
    hurt(head=True)
    assert len(needs(now)) == 1 and "hit on the head" in needs(now)[0]
    later = now + timedelta(days=366)
    assert [one.headline for one in ahead_page(later, later.date()).needs if "Wren Ash" in one.headline]


def test_at_the_next_clinic_the_child_is_marked_on_the_phone_and_on_the_sign_in_sheet(
    hurt, next_clinic, floor, signed_in, coordinator
):
    hurt(head=True)
    told = on_phone(next_clinic, floor, next_clinic.starts_at - timedelta(hours=2))
    assert told["Wren Ash"] and not told["Fern Moss"]
    sheet = signed_in(coordinator).post(reverse("clinic-door", args=[next_clinic.pk]), follow=True).content.decode()
    assert sheet.count("not to play until cleared") == 1


def page_of(row):
    return reverse("clinic-incident", args=[row.clinic_id, row.pk])


def typed(row, **more):
    """What the office's form holds: the guardian was told in the evening of that day."""
    told = {"told_by": "Oswin Tarrant", "told_on": f"{row.day}", "told_time": "18:30"}
    return {"was": follow_up_mark(row), "outcome": ""} | told | more


def cleared(row, **more):
    seen = {"provider": "Ada Fenn, Larkmoor Pediatrics", "cleared_on": f"{row.day}", "seen": "Signed note"}
    return typed(row, outcome=CLEARED) | seen | more


@pytest.fixture
def office(signed_in, coordinator):
    return signed_in(coordinator)


def test_a_phone_with_an_older_page_says_only_head_and_a_newer_one_the_sort(hurt):
    hurt(1, head=True)
    hurt(2, sort="seizure")
    hurt(3, sort="of a page to come")
    hurt(4)
    assert [(row.sort, row.head) for row in Incident.objects.order_by("pk")] == [
        ("head", True), ("seizure", False), ("other", False), ("other", False),
    ]  # fmt: skip


@pytest.mark.parametrize("sort", FOLLOWED)
def test_each_serious_sort_stands_on_ahead_until_the_guardian_is_told(hurt, now, office, sort):
    hurt(sort=sort, head=sort == HEAD)
    row = Incident.objects.get()
    assert len(needs(now)) == 1
    assert "Ran into the wall" not in str(needs(now)) + office.get(page_of(row)).content.decode()
    answer = office.post(page_of(row), cleared(row) if sort == HEAD else typed(row), follow=True)
    assert "Nothing is left to do" in answer.content.decode() and needs(now) == []
    done = IncidentFollowUp.objects.get()
    assert done.told_by == "Oswin Tarrant" and done.told_at is not None
    assert done.told_at.astimezone(row.clinic.center.tz).hour == 18


def test_the_database_and_the_rules_know_the_same_sorts_and_outcomes():
    assert tuple(Sort.values) == SORTS and tuple(Outcome.values) == OUTCOMES and "other" not in FOLLOWED


def test_something_else_needs_no_follow_up_and_has_no_page(hurt, now, office):
    hurt(sort="other")
    assert needs(now) == [] and office.get(page_of(Incident.objects.get())).status_code == 404


def test_what_was_deleted_on_the_phone_neither_stands_on_ahead_nor_marks(hurt, now, floor, next_clinic, office):
    one = hurt(head=True)
    row = Incident.objects.get()
    send(floor, entry(2, "undo", now, of=one["id"]))
    assert needs(now) == [] and office.get(page_of(row)).status_code == 404
    assert door_lines(next_clinic, with_care=False)[0].not_to_play is None
    with pytest.raises(Refusal) as refused:
        save_follow_up(
            clinic=floor.clinic, incident=row.pk, facts=FollowUpFacts(), told_at=None, was="",
            by=User.objects.get(), now=now,
        )  # fmt: skip
    assert refused.value.codes == {"taken back"}


def test_a_head_injury_is_not_settled_by_telling_the_guardian_and_marks_until_cleared(
    hurt, now, floor, next_clinic, office, coordinator
):
    hurt(head=True)
    row = Incident.objects.get()
    office.post(page_of(row), typed(row))
    assert len(needs(now)) == 1 and "provider’s note" in needs(now)[0] and "told the guardian" not in needs(now)[0]
    assert "They have a spot on" in needs(now)[0]
    wren = f"/children/{floor.children[0].pk}/"
    office.post(reverse("clinic-door", args=[next_clinic.pk]))
    pages = (wren, reverse("clinic-children", args=[next_clinic.pk]), reverse("clinic-door", args=[next_clinic.pk]))
    for address in pages:
        words = office.get(address).content.decode().lower()
        assert words.count("not to play until cleared") == 1, address
        assert "hit to the head" not in words and "injury" not in words, "and not what happened"
    before = edition_of(next_clinic)
    office.post(page_of(row), cleared(row))
    assert needs(now) == [] and edition_of(next_clinic) != before
    assert all("not to play" not in office.get(address).content.decode().lower() for address in pages)
    assert on_phone(next_clinic, floor, next_clinic.starts_at - timedelta(hours=2))["Wren Ash"] is None
    who = history_of(IncidentFollowUp)._default_manager.order_by("pgh_id").last().pgh_context.metadata["by"]
    assert who == f"people.user:{coordinator.pk}"


def test_every_reason_against_is_said_and_what_was_typed_stays(hurt, now, office):
    hurt(head=True)
    row = Incident.objects.get()
    late, early = now.date() + timedelta(days=3), row.day - timedelta(days=1)
    wrong = typed(row, told_by="", told_on=f"{early}", outcome=CLEARED, cleared_on=f"{late}", seen="A letter")
    answer = office.post(page_of(row), wrong)
    words = answer.content.decode()
    assert answer.status_code == 422 and not IncidentFollowUp.objects.exists()
    assert set(answer.context["form"].errors) == {"told_by", "told_on", "provider", "cleared_on"}
    assert "A letter" in words and f"{late}" in words
    for more in ({"told_on": "", "told_time": "10:00"}, {"told_time": ""}, {"told_on": "May"}, {"outcome": "maybe"}):
        assert office.post(page_of(row), typed(row, **more)).status_code == 422
    assert not IncidentFollowUp.objects.exists()


@pytest.mark.parametrize("outcome", [WONT_RETURN, NOT_HEAD])
def test_without_a_clearance_it_is_settled_only_for_a_reason(hurt, now, office, outcome):
    hurt(head=True)
    row = Incident.objects.get()
    assert office.post(page_of(row), typed(row, outcome=outcome)).status_code == 422
    facts = {"provider": "Ada Fenn, Larkmoor Pediatrics", "reason": "The family moved away"}
    assert office.post(page_of(row), typed(row, outcome=outcome, **facts)).status_code == 302
    assert needs(now) == []


def test_a_child_who_was_not_to_come_back_and_does_is_still_not_cleared(hurt, now, floor, office, request):
    hurt(head=True)
    row = Incident.objects.get()
    office.post(page_of(row), typed(row, outcome=WONT_RETURN, reason="The family moved away"))
    assert needs(now) == []
    next_clinic = request.getfixturevalue("next_clinic")
    assert door_lines(next_clinic, with_care=False)[0].not_to_play == row.day
    assert len(needs(now)) == 1 and "provider’s note" in needs(now)[0]


def test_two_at_one_follow_up_never_undo_each_other(hurt, office):
    hurt(head=True)
    row = Incident.objects.get()
    old = typed(row)
    office.post(page_of(row), cleared(row))
    answer = office.post(page_of(row), old)
    words = answer.content.decode()
    assert answer.status_code == 409 and "Someone else saved" in words and "Ada Fenn" in words
    assert IncidentFollowUp.objects.get().outcome == CLEARED
    again = old | {"was": answer.context["form"]["was"].value()}
    assert office.post(page_of(row), again).status_code == 302


def test_who_may_read_what(hurt, signed_in, coordinator, admin, floor_lead, stranger):
    hurt(head=True)
    row = Incident.objects.get()
    day = reverse("clinic-day", args=[row.clinic_id])
    seen = signed_in(coordinator).get(day).content.decode()
    assert "Wren Ash was hit on the head" in seen and "Ran into the wall" not in seen
    assert "Ran into the wall" in signed_in(admin).get(day).content.decode()
    assert signed_in(floor_lead).get(page_of(row)).status_code == 403
    assert stranger.get(page_of(row)).status_code == 302
    assert "no-store" in signed_in(coordinator).get(page_of(row))["Cache-Control"]


def test_the_other_homes_record_of_the_same_child_is_marked_too(hurt, floor, household, now):
    hurt(head=True)
    wren, fern = floor.children[:2]
    twin = Child.objects.create(name="wren  ASH", birth_date=wren.birth_date, registered_at=now)
    cousin = Child.objects.create(name="Wren Ash", birth_date=wren.birth_date - timedelta(1), registered_at=now)
    assert set(not_to_play([wren, twin, cousin, fern])) == {wren.pk, twin.pk}
    hurt(2, head=True)
    assert not_to_play([wren])[wren.pk] == Incident.objects.order_by("at")[0].day


def test_the_database_keeps_what_the_form_asks_for(hurt, now, coordinator):
    hurt(head=True)
    row = Incident.objects.get()
    good = {
        "incident": row, "happened_on": row.day, "saved_at": now, "saved_by": coordinator, "outcome": CLEARED,
        "provider": "Ada Fenn", "cleared_on": row.day, "seen": "Note",
    }  # fmt: skip
    for bad, name in (
        ({"provider": ""}, "cleared_by_a_provider_on_a_day"),
        ({"cleared_on": None}, "cleared_by_a_provider_on_a_day"),
        ({"cleared_on": row.day - timedelta(days=1)}, "cleared_no_earlier_than_it_happened"),
        ({"told_by": "Oswin"}, "told_by_whom_and_when"),
        ({"told_at": now}, "told_by_whom_and_when"),
        ({"outcome": WONT_RETURN, "cleared_on": None}, "not_cleared_for_a_reason"),
        (
            {"outcome": NOT_HEAD, "cleared_on": None, "reason": "A fall on the arm", "provider": ""},
            "no_head_injury_by_a_providers_word",
        ),
    ):
        with pytest.raises(IntegrityError, match=name), transaction.atomic():
            IncidentFollowUp.objects.create(**good | bad)
    with pytest.raises(IntegrityError, match="head_is_the_sort_head"), transaction.atomic():
        Incident.objects.update(head=False)
    IncidentFollowUp.objects.create(**good)
    with pytest.raises(IntegrityError), transaction.atomic():
        IncidentFollowUp.objects.create(**good)


def test_words_are_encrypted_stay_out_of_the_history_and_go_with_the_whole_record(hurt, now, floor, office, admin):
    hurt(head=True)
    row = Incident.objects.get()
    office.post(page_of(row), cleared(row))
    with connection.cursor() as cursor:
        for table in ("floor_incidentfollowup", "floor_incidentfollowupevent"):
            cursor.execute(f"SELECT t::text FROM {table} t")
            assert not re.search("Fenn|Oswin|Signed", str(cursor.fetchall())), table
    forget_on_floor(child=floor.children[0], everything=False)
    assert IncidentFollowUp.objects.get().provider
    forget_on_floor(child=floor.children[0], everything=True)
    done = IncidentFollowUp.objects.get()
    assert (done.told_by, done.provider, done.seen) == ("", "", "") and done.outcome == CLEARED
    Incident.objects.update(child=floor.children[0])
    IncidentFollowUp.objects.all().delete()
    Child.objects.filter(pk=floor.children[0].pk).update(forgotten_at=now, name="")
    assert not Incident.objects.unsettled().exists() and not Incident.objects.keep_from_play().exists()


def test_many_incidents_cost_ahead_three_questions(hurt, now, django_assert_num_queries):
    for number in range(1, 6):
        hurt(number, head=True)
    with django_assert_num_queries(3):
        assert len(list(incident_needs(now))) == 5


def test_an_incident_of_no_child_is_followed_up_too(hurt, floor, now, office):
    hurt(1, who="", sort="bleeding")
    hurt(2, who=f"v{floor.coach.volunteer_id}", sort="head", head=True)
    said = [one.headline for one in incident_needs(now)]
    assert said[0].startswith("Someone not on the list had heavy bleeding")
    assert said[1].startswith(f"{floor.coach.volunteer} was hit on the head")
    for row in Incident.objects.order_by("pk"):
        office.post(page_of(row), cleared(row) if row.sort == HEAD else typed(row))
    assert list(incident_needs(now)) == []


def test_the_leads_link_counts_children_who_may_only_watch(hurt, floor, next_clinic):
    lead = Assignment.objects.get(shift__clinic=next_clinic)

    def counted():
        page = floor_page_of(lead)
        return page.not_to_play if page else None

    assert counted() == 0
    hurt(head=True)
    assert counted() == 1


def test_the_leads_mail_says_how_many_and_names_no_child(hurt, floor, next_clinic):
    hurt(head=True)
    at = next_clinic.starts_at - timedelta(hours=2)
    mail = build(mail_floor_link(clinic=next_clinic, now=at), at)
    for text in (str(mail.body), str(mail.alternatives[0][0])):
        assert "1 child with a spot isn’t cleared to play" in text and "Wren" not in text
