"""Released to somebody whose name is like that of one who must not pick up: the office reads it until a week after."""

from datetime import timedelta

import pytest
from django.urls import reverse

from clinics.needs import Desk
from floor.models import FloorAction, FloorDay
from floor.queries.needs import all_floor_needs
from floor.queries.released import released_needs
from floor.rules.floor_log import fold
from floor.rules.released import released_despite
from floor.services.retention import forget_on_floor, purge_logs
from tests.floor.floor_acts import act
from tests.floor_days import entry, send

pytestmark = pytest.mark.django_db
NEAR = {"pickup": "Bram Ashe", "near": "Bram Ash", "reason": "Photo ID, it’s his brother"}


@pytest.fixture
def released(floor, now):
    who = f"c{floor.children[2].pk}"
    out = entry(2, "out", now, who=who, **NEAR)
    send(floor, entry(1, "in", now, who=who), out)
    return out


def day_page(floor, client):
    return client.get(reverse("clinic-day", args=[floor.clinic.pk])).content.decode()


def test_the_day_says_it_beside_who_picked_up_with_the_leads_reason(floor, released, coordinator, signed_in):
    page = day_page(floor, signed_in(coordinator))
    cell = page.split("<td>Bram Ashe")[1].split("</td>")[0]

    assert "name is like Bram Ash, who must not pick up" in cell and NEAR["reason"] in cell


def test_ahead_says_it_until_a_week_after_the_clinic_with_a_way_to_the_day(floor, released, now):
    (need,) = released_needs(now)
    assert need.headline.startswith("Bryn Vale was released to Bram Ashe, whose name is like that of Bram Ash")
    assert NEAR["reason"] in need.detail and need.action_href == reverse("clinic-day", args=[floor.clinic.pk])
    assert [one.headline for one in released_needs(floor.clinic.ends_at + timedelta(days=6.9))] == [need.headline]
    assert list(released_needs(floor.clinic.ends_at + timedelta(days=7.1))) == []


def test_ahead_asks_every_app_and_so_the_floor_for_it(floor, released, now):
    desk = Desk(now, now.date(), [])
    assert any("Bram Ashe" in one.headline for one in all_floor_needs(desk))


def test_any_other_sign_out_is_nothing_to_look_at(floor, now, coordinator, signed_in):
    who = f"c{floor.children[2].pk}"
    send(floor, entry(1, "in", now, who=who), entry(2, "out", now, who=who, pickup="Petra Moss"))

    assert list(released_needs(now)) == [] and "name is like" not in day_page(floor, signed_in(coordinator))


def test_what_was_taken_back_is_not_said(floor, released, now):
    send(floor, entry(3, "undo", now, of=released["id"]))
    assert FloorDay.objects.get(clinic=floor.clinic).released == [] and list(released_needs(now)) == []


def test_what_only_the_second_phone_said_is_not_lost(floor, now, coordinator, signed_in):
    who = f"c{floor.children[2].pk}"
    send(
        floor, entry(1, "in", now, who=who), entry(2, "out", now, who=who, pickup="Petra Moss"),
        entry(3, "out", now, who=who, **NEAR),
    )  # fmt: skip
    assert len(list(released_needs(now))) == 1
    page = day_page(floor, signed_in(coordinator))
    assert "One phone recorded that Bryn Vale was released to Bram Ashe." in page and NEAR["reason"] in page


def test_a_child_who_walked_in_is_named(floor, now):
    facts = {"who": "w-1", "name": "Osric Moor", "born": "2018-02-03", "guardian": "Ada Moor", "phone": "555-0143"}
    send(floor, entry(1, "walk-in", now, signed="Ada Moor", **facts), entry(2, "out", now, who="w-1", **NEAR))
    assert [one.headline.split(" was")[0] for one in released_needs(now)] == ["Osric Moor"]


@pytest.mark.parametrize("everything", [True, False])
def test_the_words_go_with_the_childs_record_and_with_the_log(floor, released, now, everything):
    forget_on_floor(child=floor.children[2], everything=everything)
    assert "brother" not in FloorAction.objects.get(kind="out").facts
    assert "Bram" not in FloorAction.objects.get(kind="out").facts
    assert list(released_needs(now)) == []
    purge_logs(now=floor.clinic.ends_at + timedelta(days=60))
    assert list(released_needs(now)) == []


def test_the_same_entries_say_the_same_in_whatever_order_they_arrive():
    rows = [
        act(1, "in", 0, who="c1"), act(2, "out", 9, who="c1", **NEAR), act(3, "undo", 10, of="a2"),
        act(4, "out", 12, who="c1", **NEAR), act(1, "out", 11, "b", who="c1", pickup="Petra Moss"),
    ]  # fmt: skip
    assert released_despite(rows) == released_despite(rows[::-1]) == ["a4"]
    assert fold(rows).stays["c1"][0].pickup == "Petra Moss"
