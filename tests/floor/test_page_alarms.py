"""What the day tells the phone for its alarm: whose each table is, which duties are needed, and who fills them."""

import pytest

from core import clock
from floor.queries.page import day_data
from people.models import Clearance

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
