"""Horizon: clearances against the clinics they touch, and the renewal that takes the flag away."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from core import clock
from people.models import Clearance, DutyBook
from shifts.queries.horizon import broken_assignments
from shifts.rules.axis import Axis, months_from


@pytest.fixture
def breaking(make_assignment, make_shift, make_clinic, make_volunteer):
    """Tobiah has accepted, and his conduct training expires four days before."""
    clinic = make_clinic(days=20)
    row = make_assignment(make_shift(clinic), make_volunteer("Tobiah Quill"))
    Clearance.objects.filter(kind__code="conduct").update(expires_on=clinic.day - timedelta(days=4))
    return row


def test_standing_is_asked_of_the_clinics_day_and_not_of_today(breaking):
    (one,) = broken_assignments(clock.now())

    assert one.words == ["conduct training expires 4 days before this clinic"]


def test_a_clearance_that_lasts_until_the_day_itself_breaks_nothing(breaking):
    Clearance.objects.filter(kind__code="conduct").update(expires_on=breaking.shift.clinic.day)

    assert broken_assignments(clock.now()) == []


def test_the_page_flags_who_expires_before_a_clinic_and_a_renewal_takes_the_flag_away(
    breaking, admin, coordinator, signed_in, policy
):
    client = signed_in(admin)
    page = client.get(reverse("horizon")).content.decode()
    assert "1 volunteer has a clearance that expires" in page
    assert "Conduct training expires 4 days before this clinic" in page
    assert "isn’t cleared for" in signed_in(coordinator).get(reverse("ahead")).content.decode()

    client.post(
        reverse("clearance-new", args=[breaking.volunteer_id]) + "?next=/horizon/",
        {"kind": policy["conduct"].pk, "state": "clear", "issued_on": clock.today().isoformat()},
    )

    assert "All clearances cover upcoming clinics" in client.get(reverse("horizon")).content.decode()
    assert "isn’t cleared for" not in signed_in(coordinator).get(reverse("ahead")).content.decode()


def test_a_withdrawn_clearance_breaks_the_clinic(breaking):
    Clearance.objects.filter(kind__code="conduct").update(expires_on=None)
    assert broken_assignments(clock.now()) == []
    Clearance.objects.filter(kind__code="screening").update(state="refused")

    (one,) = broken_assignments(clock.now())

    assert one.words == ["screening check was not cleared"]


def test_the_drawing_is_told_in_words_too(breaking, admin, signed_in):
    page = signed_in(admin).get(reverse("horizon")).content.decode()

    title = page[page.index('<title id="row-') :].split("</title>")[0]
    assert "Tobiah Quill" in title and "Conduct training: expires" in title
    assert breaking.shift.clinic.center.name in title


def test_who_breaks_a_clinic_comes_first(breaking, admin, signed_in, make_volunteer):
    make_volunteer("Aaron Early")

    page = signed_in(admin).get(reverse("horizon")).content.decode()
    drawing = page[page.index('class="horizon"') :]

    assert drawing.index("Tobiah Quill") < drawing.index("Aaron Early")


@pytest.mark.parametrize("query", ["?show=breaking", "?duty=door", "?duty=juggler", "?page=99999", "?page=x"])
def test_filters_narrow_and_odd_ones_show_a_page(query, breaking, coordinator, signed_in):
    assert signed_in(coordinator).get(reverse("horizon") + query).status_code == 200


def test_only_an_admin_is_offered_the_renewal(breaking, coordinator, admin, signed_in):
    assert "Record a renewal" in signed_in(admin).get(reverse("horizon")).content.decode()
    assert "Record a renewal" not in signed_in(coordinator).get(reverse("horizon")).content.decode()


def test_it_costs_the_same_however_many_volunteers_and_clinics(
    breaking, admin, signed_in, make_assignment, django_assert_max_num_queries, django_assert_num_queries
):
    client = signed_in(admin)
    with django_assert_max_num_queries(15) as few:
        client.get(reverse("horizon"))
    for _ in range(12):
        make_assignment()
    DutyBook.forget()
    with django_assert_num_queries(len(few)):
        client.get(reverse("horizon"))


def test_months_follow_each_other_over_the_turn_of_the_year():
    assert months_from(date(2026, 11, 25), 3) == [date(2026, 11, 1), date(2026, 12, 1), date(2027, 1, 1)]
    with pytest.raises(ValueError, match="at least one month"):
        months_from(date(2026, 11, 25), 0)


def test_a_bar_covers_its_last_day_and_stays_within_the_drawing():
    axis = Axis.of_months(date(2026, 11, 25), 2, 610)  # 61 days, ten units each

    assert axis.bar(date(2026, 11, 1), date(2026, 11, 1)) == (0, 10)
    assert axis.bar(date(2020, 1, 1), None) == (0, 610)
    assert axis.bar(date(2026, 12, 31), date(2030, 1, 1)) == (600, 10)
    assert axis.bar(date(2027, 3, 1), None) is None


def test_it_narrows_by_center_duty_and_clearance(breaking, admin, signed_in, make_volunteer):
    make_volunteer("Fenella Brook", duties=("door",))
    client = signed_in(admin)

    def names(query):
        page = client.get(reverse("horizon") + query).content.decode()
        return {name for name in ("Tobiah Quill", "Fenella Brook") if f">{name}</a></b>" in page}

    assert names("") == {"Tobiah Quill", "Fenella Brook"}
    assert names(f"?center={breaking.shift.clinic.center_id}") == {"Tobiah Quill"}
    assert names("?duty=door") == {"Fenella Brook"}
    assert names("?kind=first_aid") == set()
    assert names("?kind=conduct&show=breaking") == {"Tobiah Quill"}


def test_the_csv_has_the_same_facts_and_runs_no_formula(breaking, admin, signed_in, stranger):
    breaking.volunteer.name = "=1+1"
    breaking.volunteer.save()

    answer = signed_in(admin).get(reverse("horizon-csv") + "?show=breaking")

    text = answer.content.decode("utf-8-sig")
    assert answer["Content-Type"].startswith("text/csv") and "attachment" in answer["Content-Disposition"]
    assert "'=1+1" in text and "\n=1+1" not in text
    assert "conduct training expires 4 days before this clinic" in text
    assert stranger.get(reverse("horizon-csv")).status_code == 302


def test_two_hundred_volunteers_stand_on_one_page(admin, signed_in, make_volunteer):
    for _ in range(201):
        make_volunteer()

    page = signed_in(admin).get(reverse("horizon")).content.decode()

    assert page.count('<svg role="img"') == 200 and "1 to 200 of 201 volunteers" in page
