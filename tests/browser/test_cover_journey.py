"""Propose a week, take part of it, a no comes back, the gap is filled again; and what if. In Chromium, real worker."""

from datetime import timedelta

import pytest
from playwright.sync_api import expect

from core import clock
from outbox.services.sending import send_due
from shifts.models import Assignment, Reply
from tests.mailbox import link_in
from tests.workers import Worker

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]

HOME = {"latitude": 41.5, "longitude": -77.5}


@pytest.mark.slow
def test_a_week_is_proposed_taken_in_part_declined_and_filled_again(
    open_page, sign_in, console, coordinator, box, make_clinic, make_shift, make_volunteer, make_center, make_space
):
    space = make_space(make_center("Quarry Lane Library", **HOME))
    first = make_clinic(space, days=3)
    second = make_clinic(space, days=5)
    for clinic in (first, second):
        make_shift(clinic, "lead"), make_shift(clinic, "coach")
    make_volunteer("Lea Marsh", duties=("lead",), **HOME)
    make_volunteer("Cora Bell", duties=("coach",), email="cora@example.org", **HOME)
    make_volunteer("Ned Ash", duties=("coach",), latitude=41.6, longitude=-77.5)

    office = sign_in(coordinator)
    office.get_by_role("link", name="Cover", exact=True).click()
    office.get_by_label("Through").fill((clock.today() + timedelta(days=7)).isoformat())
    with Worker():
        office.get_by_role("button", name="Find the best cover").click()
        # The page follows by itself while the worker searches.
        expect(office.get_by_text("All 4 shifts are filled.")).to_be_visible(timeout=20_000)
    expect(office.get_by_text("best possible")).to_be_visible()
    for box_of in office.get_by_label("Lead: Lea Marsh").all():
        box_of.uncheck()
    office.get_by_role("button", name="Apply checked changes and email volunteers").click()
    expect(office.get_by_role("status")).to_contain_text("2 changes made")
    assert Assignment.objects.count() == 2

    send_due()
    phone = open_page(390)
    phone.goto(link_in(box.wait_for("cora@example.org")))
    phone.get_by_role("button", name="No, I can’t make it").click()
    assert Assignment.objects.filter(reply=Reply.DECLINED).count() == 1

    with Worker():
        office.get_by_role("button", name="Fill open shifts only").click()
        expect(office.get_by_text("All 4 shifts are filled.")).to_be_visible(timeout=20_000)
    expect(office.get_by_label("Coach: Ned Ash")).to_be_checked()
    expect(office.get_by_text("1 shift stays the same")).to_be_visible()

    office.get_by_text("Try a what-if").click()
    office.get_by_label("What if…").select_option(label="a volunteer is away")
    office.get_by_label("Volunteer", exact=False).first.select_option(label="Lea Marsh")
    office.get_by_label("Day (or first day away)", exact=True).fill(first.day.isoformat())
    with Worker():
        office.get_by_role("button", name="Search with this what-if").click()
        expect(office.get_by_text("1 of 4 shifts is still open. No other plan fills more.")).to_be_visible(
            timeout=20_000
        )
    expect(office.get_by_text("What if Lea Marsh is away")).to_be_visible()
    assert Assignment.objects.count() == 2 and console == []
