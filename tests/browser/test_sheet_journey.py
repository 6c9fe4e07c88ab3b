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
    office.get_by_role("link", name="See who is where when").click()
    office.get_by_role("link", name="Plan the run sheet").click()
    office.get_by_label("Number of groups").fill("2")
    office.get_by_role("button", name="Make the groups anew").click()
    expect(office.get_by_role("heading", name="Group B: 8 children")).to_be_visible()
    office.get_by_label("Par-zero free throws").select_option(label="where a slot is left over")
    office.get_by_role("button", name="Plan the run sheet").click()
    expect(office.get_by_text("waiting for a worker")).to_be_visible()
    with Worker():
        expect(office.get_by_text("proven best").or_(office.get_by_text("best found"))).to_be_visible(timeout=30_000)
    expect(office.get_by_role("columnheader", name="Group A")).to_be_visible()

    office.get_by_role("link", name="Something is different today").click()
    office.get_by_label("Minutes lost after that").fill("10")
    office.get_by_role("button", name="Plan the rest again").click()
    with Worker():
        expect(office.get_by_text("proven best").or_(office.get_by_text("best found"))).to_be_visible(timeout=30_000)
    expect(office.get_by_text("10 minutes late")).to_be_visible()
    expect(office.get_by_role("rowheader", name="09:40")).to_be_visible()
    assert RunSheetPlan.objects.ready().count() == 2 and console == []
