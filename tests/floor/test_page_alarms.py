"""What the day tells the phone for its alarm: whose each table is, which duties are needed, and who fills them."""

from datetime import timedelta

import pytest
from django.urls import reverse

from core import clock
from floor.queries.page import day_data
from floor.rules.alarms import Alarm
from floor.words import alarm_head
from people.models import Clearance
from tests.floor_days import entry, send

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("center", "funder", "whose"),
    [
        ("", "", {"aca_day_camp": "ours"}),
        ("nspcc", "", {"aca_day_camp": "ours", "nspcc": "center"}),
        ("", "nspcc", {"aca_day_camp": "ours", "nspcc": "funder"}),
        ("nspcc", "florida", {"aca_day_camp": "ours", "nspcc": "center", "florida": "funder"}),
        # What others ask too is theirs, the center's before the funder's.
        ("aca_day_camp", "", {"aca_day_camp": "center"}),
        ("nspcc", "nspcc", {"aca_day_camp": "ours", "nspcc": "center"}),
    ],
)
def test_each_table_comes_with_whose_it_is(floor, center, funder, whose):
    floor.phone.clinic.center.ratio_table, floor.phone.clinic.funder_table = center, funder
    ratio = day_data(floor.phone, clock.now())["ratio"]

    assert [one["whose"] for one in ratio["tables"]] == list(whose.values())
    assert ratio["least_adults"] == 2 and "NSPCC" in ratio["least_source"]


def test_a_lead_is_always_needed_and_others_where_there_is_a_shift(floor, make_shift):
    assert [one["code"] for one in day_data(floor.phone, clock.now())["needs"]] == ["lead"]
    make_shift(floor.clinic, "first_aider")
    make_shift(floor.clinic, "door")
    needs = day_data(floor.phone, clock.now())["needs"]

    assert [(one["code"], one["noun"]) for one in needs] == [
        ("lead", "lead"), ("first_aider", "first aider"), ("door", "door adult"),
    ]  # fmt: skip


def test_adults_come_with_the_codes_of_their_duties_and_of_those_that_they_fill(
    floor, make_shift, make_assignment, make_volunteer
):
    young = make_volunteer(name="Junia Reed", adult=False, duties=["helper"])
    make_assignment(make_shift(floor.clinic, "helper"), young)
    Clearance.objects.filter(volunteer=floor.coach.volunteer).delete()
    adults = {one["name"]: one for one in day_data(floor.phone, clock.now())["adults"]}
    seen = {name: (one["duties"], one["cleared"], one["counts"]) for name, one in adults.items()}

    assert seen["Oswin Tarrant"] == (["lead"], ["lead"], True)
    assert seen[floor.coach.volunteer.name] == (["coach"], [], False)
    assert seen["Junia Reed"] == (["helper"], [], False)


def test_the_office_reads_the_same_reasons_on_the_day_while_the_clinic_is_on(
    floor, make_shift, signed_in, coordinator, now
):
    make_shift(floor.clinic, "first_aider")
    client, page = signed_in(coordinator), reverse("clinic-day", args=[floor.clinic.pk])
    assert "alarm" not in client.get(page).content.decode()
    send(
        floor,
        entry(1, "in", now, who=f"c{floor.children[0].pk}"),
        entry(2, "in", now, who=f"v{floor.coach.volunteer_id}"),
    )
    alarms = client.get(page).context["alarms"]
    assert alarms == ["Only 1 adult is with the children", "No lead is signed in", "No first aider is signed in"]
    assert "No first aider is signed in" in client.get(page).content.decode()
    send(floor, entry(3, "in", now, who=f"v{floor.lead.volunteer_id}"))
    assert client.get(page).context["alarms"] == ["No first aider is signed in"]
    floor.clinic.starts_at, floor.clinic.ends_at = now - timedelta(hours=2), now - timedelta(minutes=1)
    floor.clinic.save()
    assert client.get(page).context["alarms"] == []


def test_more_adults_are_asked_for_by_how_many_are_missing():
    many = Alarm("few adults", {"missing": 2, "needed": 4, "adults": 2, "youngest": 7, "tables": []})
    assert alarm_head(many) == "2 more adults needed now"
    assert alarm_head(Alarm("no adult", {"needed": 2})) == "No adult is signed in"
