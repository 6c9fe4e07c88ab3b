"""The policy: what a change does from its day on, what it would do before it is saved, and a place's own rows."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from core import clock
from people.models import ClearanceKind, NoticeStep, PolicyRow
from people.queries.standing import open_book
from people.rules.evidence import PolicyRow as Row
from people.rules.policy import DatedRow, in_force
from shifts.queries.horizon import broken_assignments

DAY = date(2027, 1, 1)


def dated(
    months: int | None = 12,
    from_day: date = date(2000, 1, 1),
    place: str = "",
    required: bool = True,
    kind: str = "x",
) -> DatedRow:
    return DatedRow(Row("coach", kind, months), place, from_day, required)


def months(rows, on, place=""):
    return {row.kind: row.months for row in in_force(rows, on, place).get("coach", [])}


def test_a_later_row_takes_over_on_its_day_and_not_before():
    rows = [dated(24), dated(12, DAY)]

    assert months(rows, DAY - timedelta(days=1)) == {"x": 24}
    assert months(rows, DAY) == {"x": 12}


def test_a_requirement_can_end():
    rows = [dated(24), dated(None, DAY, required=False)]

    assert months(rows, DAY - timedelta(days=1)) == {"x": 24} and months(rows, DAY) == {}


def test_a_place_adds_its_own_and_can_lift_nothing():
    rows = [dated(24), dated(6, place="school"), dated(60, place="school", kind="own"), dated(9, kind="y")]

    assert months(rows, DAY) == {"x": 24, "y": 9}
    assert months(rows, DAY, "school") == {"x": 6, "own": 60, "y": 9}
    assert months(rows, DAY, "elsewhere") == {"x": 24, "y": 9}
    lifted = [dated(24), dated(None, place="school", required=False)]
    assert months(lifted, DAY, "school") == {"x": 24}


def change(policy, **more):
    return {
        "duty": "coach",
        "kind": policy["first_aid"].pk,
        "required": "on",
        "from_day": (clock.today() + timedelta(days=10)).isoformat(),
        "months": 24,
        "notice_days": 60,
        "place": "",
    } | more


def test_what_would_change_is_shown_before_anything_is_saved(
    admin, signed_in, make_assignment, make_shift, make_clinic, make_volunteer, policy
):
    row = make_assignment(make_shift(make_clinic(days=20)), make_volunteer("Tobiah Quill"))
    make_assignment(make_shift(make_clinic(days=5)), make_volunteer("Imara Venn"))
    client = signed_in(admin)

    page = client.post(reverse("policy-change"), change(policy)).content.decode()

    assert "2 volunteers would no longer be cleared" in page and "1 upcoming shift would lose its volunteer" in page
    assert "no first-aid certificate on file" in page and row.shift.clinic.center.name in page
    assert not PolicyRow.objects.filter(duty__code="coach", kind=policy["first_aid"]).exists()

    client.post(reverse("policy-change"), change(policy, confirmed="yes"))

    assert [one.assignment for one in broken_assignments(clock.now())] == [row]
    book = open_book([row.volunteer_id])
    assert book.on(row.volunteer_id, "coach", clock.today()).ok
    assert not book.on(row.volunteer_id, "coach", clock.today() + timedelta(days=10)).ok


def test_a_center_that_asks_for_its_own_gets_it_and_no_other_does(
    admin, signed_in, make_shift, make_clinic, make_space, make_center, make_volunteer, policy
):
    school = make_space(make_center("Three Weirs Middle School", place="school district"))
    person = make_volunteer("Tobiah Quill")
    client = signed_in(admin)
    today = clock.today().isoformat()
    client.post(reverse("policy-change"), change(policy, place="school district", from_day=today, confirmed="yes"))

    at_school = client.get(reverse("shift-who", args=[make_shift(make_clinic(school)).pk])).content.decode()
    elsewhere = client.get(reverse("shift-who", args=[make_shift(make_clinic()).pk])).content.decode()

    assert "No first-aid certificate on file" in at_school
    assert f"Ask {person.given_name}" in elsewhere and "No first-aid certificate" not in elsewhere


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"from_day": "2020-01-01"}, "can’t start in the past"),
        ({"from_day": "2199-01-01"}, "more than two years from now"),
        ({"from_day": "2026-02-30"}, "Enter the date as year-month-day"),
        ({"months": 0}, "greater than or equal to 1"),
        ({"months": 10**9}, "Enter 1 to 600 months"),
        ({"notice_days": 10**6}, "up to 3,650 days"),
        ({"kind": "none"}, "Select a valid choice"),
        ({"duty": "juggler"}, "Select a valid choice"),
    ],
)
def test_a_change_that_cannot_be_is_refused_in_words(admin, signed_in, policy, typed, sentence):
    before = PolicyRow.objects.count()

    answer = signed_in(admin).post(reverse("policy-change"), change(policy, confirmed="yes") | typed)

    assert answer.status_code == 422 and sentence in answer.content.decode()
    assert PolicyRow.objects.count() == before


def test_the_same_change_twice_is_refused_the_second_time(admin, signed_in, policy):
    client = signed_in(admin)
    client.post(reverse("policy-change"), change(policy, confirmed="yes"))

    answer = client.post(reverse("policy-change"), change(policy, confirmed="yes"))

    assert "center on that date" in answer.content.decode()


def test_a_new_kind_of_clearance_and_a_new_ladder(admin, signed_in, policy):
    client = signed_in(admin)
    client.post(reverse("kind-new"), {"name": "swim rescue", "source": "Common practice, no source"})
    client.post(reverse("notice-schedule"), {"days": "90, 30, 0"})

    assert ClearanceKind.objects.get(code="swim_rescue").name == "swim rescue"
    assert list(NoticeStep.objects.values_list("days_before", flat=True)) == [90, 30, 0]
    page = client.get(reverse("policy")).content.decode()
    assert "Swim rescue" in page and "90, 30, 0 days before" in page


@pytest.mark.parametrize("days", ["", "soon", "-1", "400", ",".join(map(str, range(12))), "١٢"])
def test_a_ladder_that_cannot_be_is_refused_in_words(admin, signed_in, policy, days):
    assert signed_in(admin).post(reverse("notice-schedule"), {"days": days}).status_code == 422


def test_two_kinds_of_one_name_are_refused(admin, signed_in, policy):
    answer = signed_in(admin).post(reverse("kind-new"), {"name": "Screening CHECK"})

    assert answer.status_code == 422 and "with that name" in answer.content.decode()


def test_only_an_admin_keeps_the_policy(coordinator, floor_lead, stranger, signed_in, policy):
    for name in ("policy", "policy-change", "kind-new", "notice-schedule"):
        assert signed_in(coordinator).get(reverse(name)).status_code == 403
        assert signed_in(floor_lead).get(reverse(name)).status_code == 403
        assert stranger.get(reverse(name)).status_code == 302


def test_history_stays_true_when_the_policy_changes(make_volunteer, policy):
    person = make_volunteer(issued_on=date(2025, 1, 1))
    before = open_book([person.pk]).on(person.pk, "coach", date(2025, 6, 1))
    PolicyRow.objects.create(duty_id="coach", kind=policy["conduct"], months=1, from_day=date(2026, 1, 1))

    assert open_book([person.pk]).on(person.pk, "coach", date(2025, 6, 1)) == before
