"""What arrives oddly on the floor: answers that never came back, new links, days of other clinics, broken letters."""

import json
from datetime import timedelta

import pytest
from django.urls import reverse

from core import clock
from families.models import Child, Spot, SpotState, Waiver, WaiverText
from floor.models import FloorAction, FloorDay, Incident, SignIn
from floor.queries.log import floor_state
from floor.queries.page import day_data
from floor.queries.page_state import state_data
from floor.services.phones import leave_phone, open_phone, phone_of
from outbox.letters import build
from outbox.models import Note
from shifts.letters.shifts import REMINDER
from shifts.models import Assignment
from tests.floor_days import entry, send

pytestmark = pytest.mark.django_db
AS_PAGE = {"content_type": "application/json", "headers": {"X-Floor": "1"}}
WALK_IN = {
    "who": "w-1", "name": "Juno Reed", "born": "2018-01-01", "guardian": "Orla Reed", "phone": "555-0144",
    "signed": "Orla Reed", "photo": False, "pickup": "", "allergies": "bee stings",
    "care_notes": "Inhaler in the blue bag",
}  # fmt: skip


@pytest.fixture
def other(floor, now):
    """A second phone of the same lead."""
    return open_phone(clinic=floor.clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.8", now=now)


def test_a_child_never_signed_out_last_week_does_not_stop_todays_floor(
    floor, now, make_clinic, make_shift, make_assignment
):
    earlier = make_clinic(days=2)
    earlier.starts_at, earlier.ends_at = now - timedelta(days=7, hours=2), now - timedelta(days=7)
    earlier.save()
    row = make_assignment(make_shift(earlier, "lead"), floor.lead.volunteer)
    child = floor.children[0]
    Spot.objects.create(
        clinic=earlier, child=child, state=SpotState.HELD, age=9, asked_at=earlier.starts_at - timedelta(days=3)
    )
    then = earlier.starts_at
    old, _ = open_phone(clinic=earlier, volunteer=row.volunteer, came_from="192.0.2.9", now=then)
    send(
        floor, entry(1, "in", then, who=f"c{child.pk}"), entry(2, "in", then, who=f"v{row.volunteer_id}"),
        now=then, phone=old,
    )  # fmt: skip
    out = send(floor, entry(1, "in", now, who=f"c{child.pk}"), entry(2, "in", now, who=f"v{row.volunteer_id}"))

    assert len(out.kept) == 2
    assert SignIn.objects.filter(clinic=floor.clinic).count() == 2
    assert SignIn.objects.filter(clinic=earlier, out_at=None).count() == 2


def test_an_entry_whose_answer_never_came_is_kept_once_when_a_new_link_sends_it_again(floor, now, other):
    one = entry(1, "in", now, who=f"c{floor.children[0].pk}")
    send(floor, one)
    out = send(floor, one, entry(2, "in", now, who=f"c{floor.children[1].pk}"), phone=other[0])

    assert out.refused == [] and one["id"] in out.kept and len(out.kept) == 2
    assert FloorAction.objects.count() == SignIn.objects.count() == 2


def test_a_walk_in_sent_again_through_a_new_link_stays_one_child(floor, now, other):
    one = entry(1, "walk-in", now, **WALK_IN)
    send(floor, one)

    assert send(floor, one, phone=other[0]).kept == [one["id"]]
    assert Child.objects.filter(name="Juno Reed").count() == 1


def test_a_waiver_text_that_can_not_be_signed_any_more_keeps_nothing_else_from_being_written(floor, now):
    WaiverText.objects.create(
        version=9, language="en", title="Last season", body="We took part.", published_at=now,
        season_ends=now.date() - timedelta(days=30),
    )  # fmt: skip
    out = send(floor, entry(1, "walk-in", now, **WALK_IN), entry(2, "in", now, who=f"c{floor.children[0].pk}"))

    assert len(out.kept) == 2 and SignIn.objects.count() == 2
    assert not Waiver.objects.filter(child__name="Juno Reed").exists()


def test_one_id_that_says_something_else_is_not_taken_for_the_entry_that_is_here(floor, now, other):
    one = entry(1, "in", now, who=f"c{floor.children[0].pk}")
    send(floor, one)
    out = send(
        floor, one | {"kind": "out", "facts": {"who": f"c{floor.children[0].pk}", "pickup": "x"}}, phone=other[0]
    )

    assert out.kept == [] and out.refused[0].code == "another entry with this number"


def test_a_walk_in_of_one_phone_shows_allergy_and_care_note_on_every_other(floor, now, other):
    send(floor, entry(1, "walk-in", now, **WALK_IN))
    day = day_data(other[0], now)
    child = Child.objects.get(name="Juno Reed")

    (seen,) = [one for one in day["children"] if one["name"] == "Juno Reed"]
    assert seen["allergies"] == "bee stings" and seen["care_notes"] == "Inhaler in the blue bag"
    assert seen["photos"] is False and day["state"]["walk_ins"][0]["child"] == seen["who"] == f"c{child.pk}"
    assert child.has_care


def test_half_a_letter_or_a_broken_fact_stops_nothing_and_what_can_be_read_is_kept(floor, now):
    facts = {"what": "Bumped heads \ud83d", "first_aid": "Ice\x00", "told": "", "witness": "", "head": False}
    first = entry(1, "incident", now, **facts)
    second = entry(2, "incident", now, **facts, who=["c1"])
    third = entry(3, "in", now, who=f"c{floor.children[0].pk}")
    out = send(floor, first, second, third)

    assert out.kept == [first["id"], third["id"]] and [one.id for one in out.refused] == [second["id"]]
    row = Incident.objects.get()
    assert row.what == "Bumped heads \ufffd" and row.first_aid == "Ice"


def test_the_state_says_which_entries_stand_behind_slots_minutes_and_the_close(floor, now):
    who = f"v{floor.coach.volunteer_id}"
    rows = [
        entry(1, "slot", now, slot=0), entry(2, "hours", now, who=who, minutes=90), entry(3, "close", now),
        entry(4, "hours", now, who=who, minutes=95),
    ]  # fmt: skip
    send(floor, *rows)
    send(floor, entry(5, "undo", now, of=rows[3]["id"]))
    state = state_data(floor.clinic, floor_state(floor.clinic))

    assert [one["id"] for one in state["said"]] == [row["id"] for row in rows[:3]]
    assert state["said"][1]["kind"] == "hours" and state["said"][1]["facts"] == {"who": who, "minutes": 90}
    assert state["minutes"] == {who: 90} and state["closed_at"]


def leave(client, clinic, phone=None):
    body = {} if phone is None else {"phone": phone}
    return client.post(reverse("floor-leave", args=[clinic.pk]), json.dumps(body), **AS_PAGE)


def test_a_leaving_that_arrives_late_ends_the_phone_that_left_and_not_the_one_opened_since(floor, now, other, stranger):
    stranger.cookies[f"floor{floor.clinic.pk}"] = other[1]
    answer = leave(stranger, floor.clinic, floor.phone.pk)

    assert answer.json() == {"left": True, "open": True}
    assert phone_of(floor.clinic.pk, floor.secret, now) is None
    assert phone_of(floor.clinic.pk, other[1], now) is not None
    assert leave(stranger, floor.clinic, other[0].pk).json() == {"left": True, "open": False}
    assert phone_of(floor.clinic.pk, other[1], now) is None


def test_a_leaving_ends_no_phone_of_somebody_else(floor, now, make_shift, make_assignment, make_volunteer, stranger):
    second = make_assignment(make_shift(floor.clinic, "lead"), make_volunteer(duties=("lead",)))
    _, secret = open_phone(clinic=floor.clinic, volunteer=second.volunteer, came_from="192.0.2.8", now=now)
    stranger.cookies[f"floor{floor.clinic.pk}"] = secret
    leave(stranger, floor.clinic, floor.phone.pk)

    assert phone_of(floor.clinic.pk, floor.secret, now) is not None
    assert phone_of(floor.clinic.pk, secret, now) is not None


def test_a_phone_of_last_week_is_told_that_the_clinic_is_over_and_a_phone_that_left_that_it_may_not(floor, stranger):
    address = reverse("floor-data", args=[floor.clinic.pk])
    stranger.cookies[f"floor{floor.clinic.pk}"] = floor.secret
    leave_phone(phone=floor.phone, now=clock.now())
    gone = stranger.post(address, "{}", **AS_PAGE)
    assert gone.status_code == 401 and "from the link in their email" in gone.json()["why"]

    floor.clinic.starts_at -= timedelta(days=7)
    floor.clinic.ends_at -= timedelta(days=7)
    floor.clinic.save()
    over = stranger.post(address, "{}", **AS_PAGE)
    assert over.status_code == 401 and over.json()["why"].startswith("This clinic is over")
    nowhere = stranger.post(reverse("floor-data", args=[999_999]), "{}", **AS_PAGE)
    assert nowhere.status_code == 401 and "from the link in their email" in nowhere.json()["why"]


def test_the_office_sees_whose_phone_it_is_and_mails_the_link_again_once(floor, signed_in, coordinator, floor_lead):
    page, mail = reverse("clinic", args=[floor.clinic.pk]), reverse("floor-mail", args=[floor.clinic.pk])
    client = signed_in(coordinator)
    seen = client.get(page).content.decode()
    assert "opens on Oswin Tarrant’s phone, from the link in their email" in seen and mail in seen
    for _ in range(2):
        assert "We’re emailing the floor page link to Oswin Tarrant" in client.post(mail, follow=True).content.decode()

    note = Note.objects.get(kind=REMINDER, facts__step="floor")
    assert note.to_email == floor.lead.volunteer.email
    assert signed_in(floor_lead).post(mail).status_code == 403
    Assignment.objects.filter(pk=floor.lead.pk).update(reply="declined")
    assert "No one has accepted to lead" in client.post(mail, follow=True).content.decode()
    assert "no lead has accepted yet" in client.get(page).content.decode()


def test_the_link_mailed_again_holds_after_the_clinic_has_begun(floor, now, signed_in, coordinator):
    signed_in(coordinator).post(reverse("floor-mail", args=[floor.clinic.pk]))
    note = Note.objects.get(facts__step="floor")
    letter = build(note, now + timedelta(hours=2))

    assert "/floor/o/" in str(letter.body)


def test_the_leads_own_account_sees_the_way_in(floor, signed_in, floor_lead):
    floor.lead.volunteer.email = floor_lead.email
    floor.lead.volunteer.save()
    seen = signed_in(floor_lead).get(reverse("clinic", args=[floor.clinic.pk])).content.decode()

    assert "Open the floor page on this device" in seen and reverse("clinic-day", args=[floor.clinic.pk]) not in seen
    assert not FloorDay.objects.exists()
