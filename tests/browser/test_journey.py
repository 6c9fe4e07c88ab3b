"""The whole way through pages and mail: book, agree, ask, accept, expire, renew. Real worker, real SMTP, Chromium."""

from datetime import timedelta

import pytest
from django.conf import settings
from playwright.sync_api import expect

from clinics.models import Clinic, Status
from core import clock
from core.formats import long_day
from people.models import Clearance
from shifts.models import Assignment, Reply
from tests.mailbox import Mailbox, link_in
from tests.workers import Worker

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


@pytest.mark.slow
def test_a_clinic_is_booked_agreed_covered_flagged_and_renewed(
    sign_in, open_page, console, live_server, coordinator, admin, make_space, make_center, make_volunteer
):
    hall = make_center("Saint Orla's Hall", contact_email="hall@example.org", latitude=41.497, longitude=-77.558)
    make_space(hall, "Hall floor")
    imara = make_volunteer("Imara Venn", email="imara@example.org", latitude=41.52, longitude=-77.6)
    late = make_volunteer("Tobiah Quill")
    day = clock.today(hall.tz) + timedelta(days=20)
    Clearance.objects.filter(volunteer=late, kind__code="conduct").update(expires_on=day - timedelta(days=4))

    with Mailbox() as box, Worker(SMTP_PORT=box.port, SITE_URL=live_server.url):
        # The coordinator opens a center and books a clinic there.
        desk = sign_in(coordinator)
        expect(desk.get_by_role("heading", level=1)).to_have_text(long_day(clock.today()))
        desk.get_by_role("link", name="Centers").click()
        desk.get_by_role("link", name="Saint Orla's Hall").click()
        desk.get_by_role("link", name="Book a clinic here").click()
        desk.get_by_label("Day").fill(day.isoformat())
        desk.get_by_label("Starts").fill("09:30")
        desk.get_by_label("Ends").fill("09:00")
        desk.get_by_label("From age").first.fill("7")
        desk.get_by_label("To age").first.fill("10")
        desk.get_by_label("Children expected").first.fill("20")
        desk.get_by_label("STEM activity").fill("Paper bridges")
        desk.get_by_role("button", name="Book and email the center").click()
        # A wrong end is said beside the field, and nothing typed is lost.
        expect(desk.get_by_text("The end must be after the start")).to_be_visible()
        expect(desk.get_by_label("STEM activity")).to_have_value("Paper bridges")
        desk.get_by_label("Ends").fill("11:30")
        desk.get_by_role("button", name="Book and email the center").click()
        expect(desk.get_by_role("status")).to_contain_text("is reserved")
        clinic = Clinic.objects.get()

        # The same floor can't be booked twice; the sentence names who has it.
        again = desk.context.new_page()
        again.goto(f"/clinics/new/?center={hall.pk}")
        for label, typed in (("Day", day.isoformat()), ("Starts", "10:00"), ("Ends", "12:00")):
            again.get_by_label(label).fill(typed)
        for label, typed in (("From age", "7"), ("To age", "10"), ("Children expected", "8")):
            again.get_by_label(label).first.fill(typed)
        again.get_by_role("button", name="Book and email the center").click()
        expect(again.get_by_text("Hall floor is reserved: Saint Orla's Hall on")).to_be_visible()
        again.close()

        # The center's contact reads the mail on a phone and agrees.
        phone = open_page(390)
        phone.goto(link_in(box.wait_for("hall@example.org")))
        expect(phone.get_by_role("heading", level=1)).to_contain_text("Can we use Hall floor")
        clinic.refresh_from_db()
        assert clinic.status == Status.TENTATIVE
        phone.get_by_role("button", name="Yes, you can use it").click()
        expect(phone.get_by_role("heading", level=1)).to_have_text("Thank you! It’s booked.")

        # Cover: who could coach, best first, and why somebody can't.
        desk.reload()
        expect(desk.locator(".lede")).to_contain_text("confirmed")
        desk.locator("li", has_text="Coach").get_by_role("link", name="Find someone").first.click()
        expect(desk.get_by_text("Conduct training expires 4 days before this clinic")).to_be_visible()
        desk.get_by_role("button", name="Ask Imara").click()
        expect(desk.locator(".cell.asked")).to_have_count(1 + 1)  # one in the strip, one in its key

        # The volunteer opens the link without an account; opening it changes nothing.
        message = box.wait_for("imara@example.org")
        calendar = next(part for part in message.walk() if part.get_content_type() == "text/calendar")
        assert calendar.get_param("method") == "REQUEST"
        reply = open_page(390)
        reply.goto(link_in(message))
        expect(reply.get_by_role("heading", level=1)).to_contain_text("Can you coach on")
        for fact in (
            "09:30 to 11:30",
            "please arrive by 09:00",
            "Saint Orla's Hall",
            "20 children",
            "Water, indoor shoes",
        ):
            expect(reply.locator(".facts")).to_contain_text(fact)
        assert Assignment.objects.get().reply == Reply.NEEDS_ACTION
        reply.get_by_role("button", name="Yes, I’ll be there").click()
        expect(reply.get_by_role("heading", level=1)).to_contain_text("You’re scheduled for")

        # The coverage strip on the coordinator's open page shows the reply by itself.
        expect(desk.locator(".cell.accepted")).to_have_count(1 + 1, timeout=15_000)

        # An altered link gets a kind page.
        reply.goto(link_in(message)[:-4] + "/")
        expect(reply.get_by_role("heading", level=1)).to_have_text("This link is incomplete")
        console[:] = [line for line in console if "404" not in line and "422" not in line]

    # Imara's conduct training turns out to expire before the day: Ahead and Horizon say so.
    Clearance.objects.filter(volunteer=imara, kind__code="conduct").update(expires_on=day - timedelta(days=2))
    desk.goto("/ahead/")
    expect(desk.get_by_role("heading", name="Imara Venn isn’t cleared for Saint Orla's Hall")).to_be_visible()

    # The admin sees it on Horizon, records a renewal, and the flag goes.
    office = sign_in(admin)
    office.get_by_role("link", name="Horizon").click()
    expect(office.locator(".head .lede")).to_contain_text(
        "1 volunteer has a clearance that expires before one of their clinics"
    )
    flagged = office.locator(".rows.who li", has_text="Imara Venn")
    expect(flagged).to_contain_text("Conduct training expires 2 days before this clinic")
    flagged.get_by_role("link", name="Record a renewal").click()
    conduct = str(Clearance.objects.filter(kind__code="conduct")[0].kind_id)
    expect(office.get_by_label("Clearance type")).to_have_value(conduct)
    office.get_by_role("button", name="Save the clearance").click()
    expect(office.locator(".head .lede")).to_contain_text("All clearances cover upcoming clinics")
    desk.goto("/ahead/")
    expect(desk.get_by_text("Imara Venn isn’t cleared")).to_have_count(0)

    assert live_server.url == settings.SITE_URL
    assert console == []
