"""From the public page to a shift; a clearance that falls; a policy seen before it is saved. In Chromium."""

from datetime import timedelta

import pytest
from playwright.sync_api import expect

from core import clock
from outbox.services.sending import send_due
from people.models import Clearance, PolicyRow, Volunteer
from shifts.models import Assignment
from shifts.services.eligibility import release_all_ineligible
from tests.mailbox import link_in
from tests.workers import Worker

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


def test_application_accepted_cleared_askable(open_page, sign_in, console, admin, policy, make_shift, box):
    shift = make_shift()
    phone = open_page(390)
    phone.goto("/join/")
    for label, words in (
        ("Name", "Imara Venn"),
        ("Email", "imara@example.org"),
        ("Phone", "555-0121"),
        ("What area do you live in?", "Mill Green"),
        ("First reference", "Maude Ferriby, 555-0111"),
        ("Second reference", "Ambrose Tully, 555-0112"),
    ):
        phone.get_by_label(label).first.fill(words)
    phone.get_by_label("coach").check()
    phone.get_by_role("button", name="Send application").click()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Thank you. Check your email")
    send_due()
    phone.goto(link_in(box.wait_for("imara@example.org")))
    phone.get_by_role("button", name="Yes, this is my email").click()

    office = sign_in(admin)
    office.locator('.needs a[href="/applications/"]').click()
    office.get_by_role("link", name="Imara Venn").click()
    office.get_by_role("button", name="Accept Imara").click()
    expect(office.get_by_role("status")).to_contain_text("Record their clearances")
    for kind in ("screening check", "conduct training"):
        office.get_by_role("link", name="Record a clearance").click()
        office.get_by_label("Clearance type").select_option(label=kind)
        office.get_by_role("button", name="Save the clearance").click()
    office.goto(f"/shifts/{shift.pk}/who/")
    office.get_by_role("button", name="Ask Imara").click()

    assert Assignment.objects.get().volunteer == Volunteer.objects.get(email="imara@example.org")
    assert console == []


def test_an_expiry_releases_and_somebody_else_is_asked(
    sign_in, console, coordinator, make_assignment, make_shift, make_clinic, make_volunteer, box
):
    row = make_assignment(make_shift(make_clinic(days=6)), make_volunteer("Tobiah Quill", email="tobiah@example.org"))
    make_volunteer("Imara Venn")
    desk = sign_in(coordinator)
    desk.goto(f"/clinics/{row.shift.clinic_id}/")
    expect(desk.locator("#cover li.cell.accepted")).to_have_count(1)
    Clearance.objects.filter(volunteer=row.volunteer, kind__code="conduct").update(
        issued_on=clock.today() - timedelta(days=300), expires_on=clock.today() - timedelta(days=1)
    )

    release_all_ineligible(now=clock.now())
    send_due()

    assert "You’re off the schedule" in str(box.wait_for("tobiah@example.org")["Subject"])
    # The open page follows by itself.
    expect(desk.locator("#cover li.cell.open")).to_have_count(1, timeout=15_000)
    desk.goto("/ahead/")
    desk.get_by_role("link", name="Find someone").click()
    expect(desk.get_by_text("Conduct training expired on")).to_be_visible()
    desk.get_by_role("button", name="Ask Imara").click()
    expect(desk.locator("#cover li.cell.asked")).to_have_count(1)
    assert console == []


def test_a_change_of_policy_is_seen_before_it_is_saved(
    sign_in, console, admin, policy, make_assignment, make_volunteer
):
    make_assignment(volunteer=make_volunteer("Tobiah Quill"))
    before = PolicyRow.objects.count()
    office = sign_in(admin)
    office.get_by_role("link", name="Policy").click()
    office.get_by_role("link", name="Edit the policy").click()
    office.get_by_label("Duty").select_option("coach")
    office.get_by_label("Clearance").select_option(label="first-aid certificate")
    office.get_by_label("Valid for (months)").fill("24")
    office.get_by_role("button", name="Preview the effects").click()
    told = office.get_by_text(
        "1 volunteer would no longer be cleared that day. 1 upcoming shift would lose its volunteer."
    )
    expect(told).to_be_visible()
    assert PolicyRow.objects.count() == before
    office.get_by_role("button", name="Save this change").click()

    expect(office.get_by_role("status")).to_contain_text("Policy change saved")
    assert PolicyRow.objects.count() == before + 1
    assert console == []


@pytest.mark.slow
def test_a_table_is_taken_by_the_worker_while_the_page_follows(sign_in, console, admin, policy, box):
    head = "name,email,phone,duties,adult,home_area,latitude,longitude\n"
    lines = [f"Person {n},person{n}@example.org,555-0101,coach,yes,Larkmoor,41.5,-77.5\n" for n in range(6000)]
    lines[100] = "Person 100,broken,,coach,,,,\n"
    office = sign_in(admin)
    office.goto("/volunteers/import/")
    office.get_by_label("CSV file").set_input_files(
        {"name": "people.csv", "mimeType": "text/csv", "buffer": (head + "".join(lines)).encode()}
    )
    office.get_by_role("button", name="Upload and check the file").click()
    expect(office.get_by_text("Line 102")).to_be_visible()
    assert not Volunteer.objects.exists()

    with Worker(SMTP_PORT=box.port):
        office.get_by_role("button", name="Import 5,999 volunteers").click()
        expect(office.get_by_text("5,999 volunteers imported.")).to_be_visible(timeout=30_000)

    assert Volunteer.objects.count() == 5999
    office.get_by_role("button", name="Undo this import").click()
    expect(office.get_by_text("This import was undone.")).to_be_visible()
    assert not Volunteer.objects.exists()
    assert console == []
