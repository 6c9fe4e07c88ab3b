"""A run sheet from the clinic's page to the board, and the rest of the day again. In Chromium, real worker."""

import pytest
from playwright.sync_api import expect

from runsheets.models import RunSheetPlan
from tests.workers import Worker

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


def test_a_sheet_is_planned_follows_by_itself_and_is_planned_again_on_the_day(
    sign_in, console, coordinator, make_clinic, make_shift, make_assignment, make_volunteer
):
    clinic = make_clinic(days=3, theme="Pulse-rate data", ages=(9, 10))
    for name, duty in (("Lea Marsh", "lead"), ("Stella Moor", "stem_lead"), ("Cora Bell", "coach")):
        make_assignment(make_shift(clinic, duty), make_volunteer(name, duties=(duty,)))

    office = sign_in(coordinator)
    office.goto(f"/clinics/{clinic.pk}/")
    office.get_by_role("link", name="View the run sheet").click()
    office.get_by_role("link", name="Make the run sheet").click()
    office.get_by_label("Number of groups").fill("2")
    office.get_by_role("button", name="Remake the groups").click()
    expect(office.get_by_role("heading", name="Group B: 8 children")).to_be_visible()
    office.get_by_label("Par-zero free throws").select_option(label="only if there’s time left")
    office.get_by_role("button", name="Make the run sheet").click()
    expect(office.get_by_text("in line to start")).to_be_visible()
    with Worker():
        expect(office.get_by_text("best possible").or_(office.get_by_text("best so far"))).to_be_visible(timeout=30_000)
    expect(office.get_by_role("columnheader", name="Group A")).to_be_visible()

    office.get_by_role("link", name="Replan for changes today").click()
    office.get_by_label("Minutes lost").fill("10")
    office.get_by_role("button", name="Replan the rest").click()
    with Worker():
        expect(office.get_by_text("best possible").or_(office.get_by_text("best so far"))).to_be_visible(timeout=30_000)
    expect(office.get_by_text("10 minutes late")).to_be_visible()
    expect(office.get_by_role("rowheader", name="09:40")).to_be_visible()
    assert RunSheetPlan.objects.ready().count() == 2 and console == []
