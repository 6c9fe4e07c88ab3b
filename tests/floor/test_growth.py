"""What groups made over the clinics of a center, on the page of the day: groups alone, and none under five."""

import uuid
from datetime import timedelta

import pytest
from django.urls import reverse

from families.models import Child
from floor.models import Score, SignIn
from floor.queries.growth import growth_lines
from floor.rules.scoring import make_rate
from runsheets.models import RunSheetPlan

pytestmark = pytest.mark.django_db


@pytest.fixture
def children(now):
    return [
        Child.objects.create(name=f"Wren {number}", birth_date="2015-05-05", registered_at=now) for number in range(6)
    ]


@pytest.fixture
def make_past(make_clinic, make_space, now):
    space = make_space()

    def inner(days_ago, at=space):
        clinic = make_clinic(space=at, days=30 + days_ago)
        clinic.starts_at = now - timedelta(days=days_ago)
        clinic.ends_at = clinic.starts_at + timedelta(hours=2)
        clinic.save()
        return clinic

    return inner


def shoot(clinic, made, tried, child=None, group="", what="free throws"):
    Score.objects.create(
        clinic=clinic, action=uuid.uuid4(), at=clinic.starts_at, child=child, group=group, what=what, made=made,
        tried=tried,
    )  # fmt: skip


def test_a_group_s_share_stands_beside_the_clinics_before_with_wilson_s_limits(make_past, children):
    before, now_here = make_past(7), make_past(1)
    for child in children:
        shoot(before, 2, 10, child)
        shoot(now_here, 6, 10, child)

    (line,) = growth_lines(now_here)

    assert [share.clinic for share in line.shares] == [before, now_here]
    assert line.shares[1].rate == make_rate(36, 60)
    # From 12 of 60 to 36 of 60: far from no change.
    assert line.words == "Up from earlier clinics."


def test_fewer_than_five_children_are_not_shown_nor_counted(make_past, children):
    before, now_here = make_past(7), make_past(1)
    for child in children[:4]:
        shoot(before, 1, 10, child)
    for child in children[:5]:
        shoot(now_here, 5, 10, child)

    (line,) = growth_lines(now_here)

    assert [share.rate is None for share in line.shares] == [True, False]
    assert line.change is None


def test_a_group_of_the_run_sheet_counts_those_of_it_who_came(make_past, children, now):
    clinic = make_past(1)
    groups = [{"code": "A", "children": [child.pk for child in children], "count": 6}]
    RunSheetPlan.objects.create(clinic=clinic, state="ready", groups=groups, result={"slots": []}, asked_at=now)
    shoot(clinic, 9, 20, group="A")
    for child in children[:4]:
        SignIn.objects.create(clinic=clinic, child=child, in_at=clinic.starts_at, in_action=uuid.uuid4())
    assert growth_lines(clinic)[0].shares[0].rate is None

    SignIn.objects.create(clinic=clinic, child=children[4], in_at=clinic.starts_at, in_action=uuid.uuid4())

    assert growth_lines(clinic)[0].shares[0].rate == make_rate(9, 20)


def test_everybody_together_is_whoever_came_and_an_unknown_group_is_not_shown(make_past, children):
    clinic = make_past(1)
    for child in children[:5]:
        SignIn.objects.create(clinic=clinic, child=child, in_at=clinic.starts_at, in_action=uuid.uuid4())
    shoot(clinic, 3, 9, group="everybody", what="Ladder")
    shoot(clinic, 9, 20, group="Z")

    free, ladder = growth_lines(clinic)

    assert free.shares[0].rate is None
    assert ladder.shares[0].rate == make_rate(3, 9)


def test_clinics_of_other_centers_and_later_ones_are_no_measure(make_past, make_space, children):
    elsewhere, later, clinic = make_past(9, make_space()), make_past(0), make_past(3)
    for child in children:
        for one in (elsewhere, later, clinic):
            shoot(one, 5, 10, child)

    assert [share.clinic for share in growth_lines(clinic)[0].shares] == [clinic]


def test_the_page_shows_the_numbers_of_groups_and_never_a_child_s(make_past, children, signed_in, coordinator):
    clinic = make_past(1)
    for number, child in enumerate(children):
        shoot(clinic, number, 10, child)

    page = signed_in(coordinator).get(reverse("clinic-day", args=[clinic.pk])).content.decode()

    assert "15 of 60" in page
    assert "25%, between 16% and 37%" in page
    assert "of 10<" not in page
    assert "Wren" not in page.partition('id="growth-head"')[2]


def test_the_clinic_s_page_leads_to_the_day_once_it_has_begun(make_past, make_clinic, signed_in, coordinator):
    office = signed_in(coordinator)
    past, coming = make_past(1), make_clinic(days=5)

    address = reverse("clinic-day", args=[past.pk])
    assert address in office.get(reverse("clinic", args=[past.pk])).content.decode()
    assert (
        reverse("clinic-day", args=[coming.pk]) not in office.get(reverse("clinic", args=[coming.pk])).content.decode()
    )


def test_many_clinics_and_scores_cost_four_questions(make_past, children, django_assert_num_queries):
    clinics = [make_past(days) for days in range(8, 0, -1)]
    for clinic in clinics:
        for child in children:
            shoot(clinic, 3, 10, child)

    with django_assert_num_queries(4):
        assert len(growth_lines(clinics[-1])[0].shares) == 7
