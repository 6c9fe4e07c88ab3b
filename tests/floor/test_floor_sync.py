"""Phones on the floor: who may open the page, and what becomes of what they send."""

import json
import re
import uuid
from datetime import timedelta
from types import SimpleNamespace

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from django.test import override_settings
from django.urls import reverse

from clinics.rules.supervision import RATIO_TABLES
from core import clock, links
from core.refusal import Refusal
from families.models import CareReading, Child, Spot, Waiver
from floor.models import AdultHours, FloorAction, FloorDay, FloorPhone, Incident, SignIn
from floor.queries.log import floor_state
from floor.queries.page_state import state_data
from floor.rules.adults_now import adults_now
from floor.services.phones import leave_phone, open_phone, phone_of
from tests.floor_days import entry, send

pytestmark = pytest.mark.django_db


def test_what_is_signed_in_and_out_stands_in_the_books(floor, now):
    who = f"c{floor.children[0].pk}"
    out = send(
        floor,
        entry(1, "in", now, who=who),
        entry(2, "in", now, who=f"v{floor.coach.volunteer_id}"),
        entry(3, "out", now + timedelta(minutes=90), who=who, pickup="Uncle Bram"),
        now=now + timedelta(hours=2),
        phone_now=now + timedelta(hours=2),
    )

    assert len(out.kept) == 3 and out.refused == []
    row = SignIn.objects.get(child=floor.children[0])
    assert row.in_at == now and row.out_at == now + timedelta(minutes=90) and row.pickup == "Uncle Bram"
    assert SignIn.objects.get(volunteer=floor.coach.volunteer).out_at is None


def test_sending_again_changes_nothing(floor, now):
    one = entry(1, "in", now, who=f"c{floor.children[0].pk}")
    first, second = send(floor, one), send(floor, one, one)

    assert first.kept == [one["id"]] and set(second.kept) == {one["id"]} and not second.refused
    assert SignIn.objects.count() == FloorAction.objects.count() == 1


def test_a_clock_that_is_a_day_wrong_is_put_right(floor, now):
    wrong = now + timedelta(days=1, minutes=7)
    send(floor, entry(1, "in", wrong - timedelta(minutes=30), who=f"c{floor.children[0].pk}"), phone_now=wrong, now=now)

    assert SignIn.objects.get().in_at == now - timedelta(minutes=30)
    assert FloorAction.objects.get().phone_at == wrong - timedelta(minutes=30)


def test_two_phones_that_differ_lose_nothing_and_the_lead_sees_it(floor, now):
    other, _ = open_phone(clinic=floor.clinic, volunteer=floor.lead.volunteer, came_from="192.0.2.8", now=now)
    who = f"c{floor.children[1].pk}"
    send(floor, entry(1, "in", now, who=who), entry(2, "out", now, who=who, pickup="Bram"))
    send(floor, entry(1, "out", now, who=who, pickup="Petra"), phone=other)

    state = state_data(floor.clinic, floor_state(floor.clinic))
    (conflict,) = state["conflicts"]
    assert conflict["words"] == "Fern Moss was signed out to two different people."
    said = [(one["id"], one["pickup"], one["by"]) for one in conflict["versions"]]
    assert said == [
        (conflict["actions"][0], "Bram", "entered on Oswin’s phone"),
        (conflict["actions"][1], "Petra", "entered on Oswin’s phone 2"),
    ]
    assert FloorAction.objects.count() == 3 and SignIn.objects.count() == 1
    # The lead takes one of the two back.
    send(floor, entry(3, "undo", now, of=conflict["actions"][0]))
    assert FloorDay.objects.get().conflicts == [] and SignIn.objects.get().pickup == "Petra"


def test_a_walk_in_becomes_a_child_with_a_spot_and_a_signature_once(floor, now):
    facts = {
        "who": f"w-{uuid.uuid4()}", "name": "Late Rowan", "born": f"{now.year - 8}-03-01", "guardian": "Marla Rowan",
        "phone": "555-0155", "signed": "Marla Rowan", "photo": True, "pickup": "Marla Rowan", "allergies": "bees",
    }  # fmt: skip
    one = entry(1, "walk-in", now, **facts)
    send(floor, one)
    send(floor, one, entry(2, "out", now + timedelta(hours=1), who=facts["who"], pickup="Marla Rowan"))

    child = Child.objects.get(name="Late Rowan")
    assert Spot.objects.get(child=child).state == "held" and Waiver.objects.get(child=child).typed_name == "Marla Rowan"
    assert SignIn.objects.get(child=child).pickup == "Marla Rowan"
    assert child.allergies == "bees" and child.photo_answers.get().allowed


@pytest.mark.parametrize(
    ("kind", "facts", "why"),
    [
        ("in", {"who": "c999999"}, "isn’t on this clinic’s list"),
        ("fly", {}, "don’t know entries of the type"),
        ("walk-in", {"who": "w-1", "name": "A", "born": "yesterday", "guardian": "B", "phone": "1", "signed": "B"},
         "date of birth"),
        ("walk-in", {"who": "c1", "name": "A", "born": "2018-01-01", "guardian": "B", "phone": "1", "signed": "B"},
         "no ID from the phone"),
        ("score", {"who": "A", "what": "x", "made": 9, "tried": 3}, "Shots made can’t be more"),
        # Nobody and no group at all: it can't be written down, and must keep nothing else from being so.
        ("score", {"who": "", "what": "x", "made": 1, "tried": 3}, "isn’t on this clinic’s list"),
    ],
)  # fmt: skip
def test_what_can_not_be_meant_is_refused_in_words_and_the_rest_is_kept(floor, now, kind, facts, why):
    good = entry(1, "in", now, who=f"c{floor.children[0].pk}")
    out = send(floor, good, entry(2, kind, now, **facts), {"id": "nonsense"}, 7)

    assert out.kept == [good["id"]] and why in out.refused[0][1] and len(out.refused) == 3


def test_one_number_used_for_two_entries_keeps_the_first_and_says_so(floor, now):
    who = f"c{floor.children[0].pk}"
    send(floor, entry(1, "in", now, who=who))
    out = send(floor, entry(1, "out", now, who=who, pickup="x"))

    assert out.kept == [] and out.refused[0].code == "another entry with this number"


def test_incidents_stay_readable_when_taken_back_and_are_locked_in_the_database(floor, now):
    from django.db import connection

    facts = {"what": "Bumped heads", "first_aid": "Ice", "told": "Marla at once", "witness": "Oswin", "head": True}
    one = entry(1, "incident", now, who=f"c{floor.children[0].pk}", **facts)
    send(floor, one)
    send(floor, entry(2, "undo", now, of=one["id"]))

    row = Incident.objects.get()
    assert row.undone and row.what == "Bumped heads" and row.head and row.written_by == "Oswin Tarrant"
    with connection.cursor() as cursor:
        cursor.execute("select row_to_json(i)::text from floor_incident i")
        assert "Bumped" not in cursor.fetchone()[0]
        cursor.execute("select row_to_json(a)::text from floor_flooraction a")
        assert "Bumped" not in str(cursor.fetchall())


def test_hours_are_those_the_lead_confirmed_last(floor, now):
    who = f"v{floor.coach.volunteer_id}"
    send(floor, entry(1, "hours", now, who=who, minutes=90), entry(2, "hours", now, who=who, minutes=105))

    assert AdultHours.objects.get().minutes == 105


def test_only_the_lead_opens_the_page_and_only_near_the_day(floor, now, make_volunteer):
    def codes(**change):
        facts = {"clinic": floor.clinic, "volunteer": floor.lead.volunteer, "came_from": "192.0.2.1", "now": now}
        with pytest.raises(Refusal) as refused:
            open_phone(**(facts | change))
        return refused.value.codes

    assert codes(volunteer=floor.coach.volunteer) == {"not the lead"}
    assert codes(now=now - timedelta(days=2)) == {"too early"}
    assert codes(now=now + timedelta(days=2)) == {"over"}


def test_a_phone_that_left_or_no_longer_leads_or_is_of_last_week_reads_nothing(floor, now):
    clinic, secret = floor.clinic, floor.secret
    assert phone_of(clinic.pk, secret, now) == floor.phone
    assert phone_of(clinic.pk, secret + "x", now) is None and phone_of(clinic.pk, "", now) is None
    assert phone_of(clinic.pk, secret, now + timedelta(days=7)) is None
    floor.lead.reply = "declined"
    floor.lead.save()
    assert phone_of(clinic.pk, secret, now) is None
    floor.lead.reply = "accepted"
    floor.lead.save()
    leave_phone(phone=floor.phone, now=now)
    assert phone_of(clinic.pk, secret, now) is None


def link(floor: SimpleNamespace) -> str:
    token = links.make("floor", subject=floor.lead.pk, counter=floor.lead.link_counter, expires_at=floor.clinic.ends_at)
    return reverse("floor-open", args=[token])


def test_the_link_asks_first_and_opens_by_post_and_the_day_comes_with_its_readings_logged(floor, stranger):
    assert stranger.get(link(floor)).status_code == 200 and FloorPhone.objects.count() == 1
    opened = stranger.post(link(floor))
    cookie = opened.cookies[f"floor{floor.clinic.pk}"]
    assert opened["Location"] == reverse("floor", args=[floor.clinic.pk])
    assert cookie["httponly"] and cookie["samesite"] == "Strict" and cookie["path"] == "/floor/"

    day = stranger.post(
        reverse("floor-data", args=[floor.clinic.pk]), "{}", content_type="application/json", headers={"X-Floor": "1"}
    )
    data = day.json()
    assert {child["name"] for child in data["children"]} == {"Wren Ash", "Fern Moss", "Bryn Vale"}
    assert next(child for child in data["children"] if child["name"] == "Wren Ash")["allergies"] == "peanuts"
    assert [adult["counts"] for adult in data["adults"]] == [True, True] and day["Cache-Control"] == "no-store"
    assert CareReading.objects.filter(child__name="Wren Ash").count() == 1
    stranger.post(
        reverse("floor-data", args=[floor.clinic.pk]), "{}", content_type="application/json", headers={"X-Floor": "1"}
    )
    assert CareReading.objects.count() == 1, "once a phone"


def test_a_stranger_a_form_and_a_flood_are_turned_away(floor, stranger):
    address = reverse("floor-sync", args=[floor.clinic.pk])
    as_page = {"content_type": "application/json", "headers": {"X-Floor": "1"}}
    assert stranger.post(address, "{}", **as_page).status_code == 401
    stranger.cookies[f"floor{floor.clinic.pk}"] = floor.secret
    assert stranger.post(address, {"actions": "x"}).status_code == 400
    assert stranger.post(address, "{}", **as_page).status_code == 400
    assert stranger.post(address, "[" * 50, **as_page).status_code == 400
    assert stranger.post(address, json.dumps({"x": "y" * 950_000}), **as_page).status_code == 413
    many = {"phone_now": clock.now().isoformat(), "actions": [{}] * 501}
    assert stranger.post(address, json.dumps(many), **as_page).status_code == 413
    few = {"phone_now": clock.now().isoformat(), "actions": [entry(1, "slot", clock.now(), slot=0)]}
    answer = stranger.post(address, json.dumps(few), **as_page)
    assert answer.status_code == 200 and answer.json()["state"]["slots"].keys() == {"0"}
    assert stranger.post(reverse("floor-leave", args=[floor.clinic.pk]), "{}", **as_page).json() == {
        "left": True,
        "open": False,
    }
    assert stranger.post(address, json.dumps(few), **as_page).status_code == 401


def test_the_phone_is_told_which_child_a_walk_in_became_and_who_must_stay_out_of_play(floor, now):
    facts = {"name": "Juno Reed", "born": "2018-01-01", "guardian": "Orla Reed", "phone": "555-0144", "signed": ""}
    blow = {"what": "Fell", "first_aid": "", "told": "", "witness": "", "head": True}
    send(floor, entry(1, "walk-in", now, who="w-1", **facts), entry(2, "incident", now, who="w-1", **blow))
    state = state_data(floor.clinic, floor_state(floor.clinic))

    assert state["walk_ins"][0]["child"] == f"c{Child.objects.get(name='Juno Reed').pk}"
    assert [(one["who"], one["head"]) for one in state["incidents"]] == [("w-1", True)]


def test_the_worker_keeps_every_part_of_the_shell_and_a_changed_part_makes_another_worker(floor, stranger, tmp_path):
    page = stranger.get(reverse("floor", args=[floor.clinic.pk])).content.decode()
    worker = stranger.get(reverse("floor-worker"))
    words = worker.content.decode()
    shell = set(json.loads(words.split("\n")[0].removeprefix("const SHELL = ").removesuffix(";")))

    assert worker["Service-Worker-Allowed"] == "/floor/" and worker["Cache-Control"] == "no-cache"
    asked = set(re.findall(r'(?:src|href)="(/static/[^"]+)"', page))
    assert asked == shell
    changed = tmp_path / "floor"
    changed.mkdir()
    (changed / "main.js").write_text("// another edition")
    with override_settings(STATICFILES_DIRS=[tmp_path, *settings.STATICFILES_DIRS]):
        finders.get_finder.cache_clear()  # type: ignore[attr-defined]
        other = stranger.get(reverse("floor-worker")).content.decode()
    finders.get_finder.cache_clear()  # type: ignore[attr-defined]
    assert other.split("\n")[0] == words.split("\n")[0] and other.split("\n")[1] != words.split("\n")[1]


def test_adults_needed_now_is_the_strictest_table_and_never_fewer_than_two():
    aca, nspcc = RATIO_TABLES["aca_day_camp"], RATIO_TABLES["nspcc"]
    assert adults_now([], [aca]) == 2 and adults_now([9], [aca]) == 2
    # ACA: 17 children, the youngest 7, one adult for 8. NSPCC: the youngest 7, one adult for 6.
    ages = [7, *[9] * 16]
    assert adults_now(ages, [aca]) == 3 and adults_now(ages, [aca, nspcc]) == 3
    assert adults_now([*ages, 8], [aca, nspcc]) == 3 and adults_now([*ages, 8, 8], [aca, nspcc]) == 4
    # 3 is below every row of the camps' table: the nearest row counts.
    assert adults_now([3] * 13, [aca]) == 3


def test_the_office_sees_who_was_there_and_only_the_admin_what_went_wrong(floor, now, signed_in, coordinator, admin):
    wren = f"c{floor.children[0].pk}"
    facts = {"what": "Bumped heads", "first_aid": "Ice", "told": "Marla at once", "witness": "Oswin", "head": True}
    send(
        floor,
        entry(1, "in", now, who=wren),
        entry(2, "incident", now, who=wren, **facts),
        entry(3, "score", now, who="A", what="free throws", made=9, tried=20),
        entry(4, "note", now, words="Bring more chalk"),
        entry(5, "hours", now, who=f"v{floor.coach.volunteer_id}", minutes=95),
    )
    address = reverse("clinic-day", args=[floor.clinic.pk])
    seen = signed_in(coordinator).get(address).content.decode()

    assert "1 of 3 children came" in seen and "Bring more chalk" in seen and "Free throws" in seen
    # A group of so few is not shown: its number would soon be one child's.
    assert "fewer than 5 children took shots" in seen and "9 of 20" not in seen
    assert ">95<" in seen and "Bumped" not in seen
    assert "Bumped heads" in signed_in(admin).get(address).content.decode()
    assert signed_in(coordinator).post(address).status_code == 405


def test_the_leads_own_mail_and_page_carry_the_link_and_nobody_elses(floor, stranger, now):
    def page_of(row):
        token = links.make("shift", subject=row.pk, counter=row.link_counter, expires_at=floor.clinic.ends_at)
        return stranger.get(reverse("shift-reply", args=[token])).content.decode()

    assert "Open the floor page" in page_of(floor.lead)
    assert "Open the floor page" not in page_of(floor.coach)


def test_the_leads_account_opens_the_page_where_it_is_signed_in_and_another_lead_does_not(
    floor, signed_in, floor_lead, coordinator
):
    address = reverse("floor-open-here", args=[floor.clinic.pk])
    refused = signed_in(floor_lead).post(address)
    assert refused.status_code == 409 and "Only this clinic’s lead" in refused.content.decode()
    floor.lead.volunteer.email = floor_lead.email
    floor.lead.volunteer.save()
    assert signed_in(floor_lead).post(address).status_code == 302
    assert signed_in(coordinator).post(address).status_code == 403
