"""A run sheet when something has changed since it was made: hours, who comes, what is offered."""

from datetime import timedelta

import pytest
from django.urls import reverse

from core import clock
from runsheets.models import Activity
from runsheets.queries.needs import run_sheet_needs
from runsheets.services.run_sheets import find_run_sheet
from scheduling.queries.clinics import clinics_ahead
from shifts.models import Assignment
from tests.clock import at
from tests.runsheets.test_run_sheet import make_day, newest, office, plan, rest, sheet

pytestmark = pytest.mark.django_db
__all__ = ["make_day", "office"]


def found(clinic):
    row = newest(clinic)
    find_run_sheet(pk=row.pk, seconds=3)
    row.refresh_from_db()
    return row


def names_of(slots):
    return {name for slot in slots for some in slot["adults"].values() for name in some}


def test_the_rest_counts_on_nobody_who_has_said_no_since_and_on_whoever_stepped_in(
    make_day, make_shift, make_assignment, make_volunteer, office
):
    clinic = make_day(children=12)
    plan(office, clinic)
    Assignment.objects.filter(volunteer__name="Adult 3 coach").update(reply="declined")
    make_assignment(make_shift(clinic, "coach"), make_volunteer(name="Tilda Reeve", duties=("coach",)))

    assert rest(office, clinic, late=5).status_code == 302
    row = found(clinic)

    assert row.state == "ready"
    there = names_of(row.result["slots"])
    assert "Adult 3 coach" not in there and "Tilda Reeve" in there
    page = sheet(office, clinic)
    assert "Adult 3 coach missing" in page and "Changed since" not in page


def test_who_was_missing_in_one_rest_is_not_back_in_the_next(make_day, office):
    clinic = make_day(children=12)
    row = plan(office, clinic)
    missing = next(one["who"] for one in row.facts["adults"] if one["name"] == "Adult 3 coach")
    rest(office, clinic, late=5, missing=missing)
    found(clinic)
    rest(office, clinic, late=10)

    row = found(clinic)
    assert row.state == "ready" and "Adult 3 coach" not in names_of(row.result["slots"])


def test_the_rest_of_a_clinic_that_was_moved_and_shortened_ends_with_the_clinic(
    make_day, office, coordinator, signed_in
):
    clinic = make_day(children=12)
    row = plan(office, clinic)
    before = row.facts["minutes"]
    clinic.starts_at += timedelta(minutes=30)
    clinic.save()
    minutes = before - 30

    with at(clinic.starts_at - timedelta(minutes=5), tick=False):
        office = signed_in(coordinator)
        form = office.get(reverse("clinic-sheet-rest", args=[clinic.pk])).context["form"]
        first = row.result["slots"][0]
        over = clinic.local_start + timedelta(minutes=first["minutes"])
        assert f"until {over:%H:%M}" in form.fields["done"].choices[1][1]
        assert form["done"].value() == 0
        rest(office, clinic, late=5)
        row = found(clinic)
        assert "Changed since" not in sheet(office, clinic)

    assert row.state == "ready" and row.facts["minutes"] == minutes
    last = row.result["slots"][-1]
    assert last["start"] + last["minutes"] <= minutes


def test_an_activity_that_was_retired_is_named_and_left_out_of_the_sheet_made_anew(make_day, office):
    clinic = make_day(children=10)
    plan(office, clinic)
    Activity.objects.filter(code="footwork").update(retired=True)
    name = Activity.objects.get(code="footwork").name

    assert f"{name} has been archived." in sheet(office, clinic)
    office.post(reverse("clinic-sheet-again", args=[clinic.pk]))
    row = found(clinic)
    assert "footwork" not in {one["code"] for one in row.facts["activities"]}
    assert "Changed since" not in sheet(office, clinic)


def test_cards_of_a_sheet_for_other_hours_say_so_and_so_does_ahead(make_day, office):
    clinic = make_day(children=10)
    plan(office, clinic)
    address = reverse("clinic-sheet-cards", args=[clinic.pk])
    assert "Changed since" not in office.get(address).text
    assert list(run_sheet_needs(list(clinics_ahead(clock.now())), clock.now())) == []

    clinic.starts_at += timedelta(minutes=30)
    clinic.save()

    assert "Changed since this run sheet was made" in office.get(address).text
    (need,) = run_sheet_needs(list(clinics_ahead(clock.now())), clock.now())
    assert "09:30 to 11:30" in need.detail and "has the old hours" in need.headline
