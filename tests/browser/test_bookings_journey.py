"""Four dates asked at once, answered on a phone day by day; a confirmed clinic moved with everybody named first."""

from datetime import timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from clinics.models import Clinic
from core import clock
from outbox.services.sending import send_due
from scheduling.models import Booking
from tests.mailbox import link_in

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


@pytest.mark.slow
def test_four_dates_agreed_declined_and_put_off_then_a_move_that_names_everybody(
    open_page, sign_in, console, coordinator, box, make_center, make_space, make_shift, make_assignment, make_volunteer
):
    space = make_space(make_center("Quarry Lane Library", contact_email="maude@example.org"), "Main floor")
    first = clock.today(space.center.tz) + timedelta(days=20)
    days = [first + timedelta(days=offset) for offset in (0, 4, 8, 15)]

    office = sign_in(coordinator)
    office.get_by_role("link", name="Clinics", exact=True).click()
    office.get_by_role("link", name="Book several dates").click()
    office.get_by_label("Center").select_option(label="Quarry Lane Library")
    office.get_by_label("Space").select_option(index=1)
    for number, day in enumerate(days, start=1):
        office.locator(f"#id_day_{number}").fill(day.isoformat())
    office.locator("#id_starts_1").fill("09:30")
    office.locator("#id_ends_1").fill("11:30")
    for part, value in (("youngest", 7), ("oldest", 10), ("children", 8)):
        office.locator(f"#id_{part}_1").fill(str(value))
    office.get_by_role("button", name="Check these dates").click()
    expect(office.get_by_text("4 of 4 are free")).to_be_visible()
    assert not Clinic.objects.exists(), "nothing is held before the second press"
    office.get_by_role("button", name="Reserve the 4 free dates and email the center").click()
    expect(office.get_by_role("status")).to_contain_text("4 clinics are reserved")

    send_due()
    phone = open_page(390)
    phone.goto(link_in(box.wait_for("maude@example.org")))
    expect(phone.get_by_role("heading", level=1)).to_have_text("Can we use your space on 4 days?")
    looked_at = open_page(390, bypass_csp=True)
    looked_at.goto(phone.url)
    assert Axe().run(looked_at).violations_count == 0
    phone.get_by_role("button", name="Yes on").nth(0).click()
    phone.get_by_role("button", name="Yes on").nth(0).click()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Can we use your space on 2 days?")
    phone.get_by_text("Suggest another time instead of").nth(0).click()
    day = phone.locator("section").filter(has=phone.get_by_role("button", name="Send this suggestion")).first
    day.get_by_label("Day").fill((days[2] + timedelta(days=1)).isoformat())
    day.get_by_label("From").fill("14:00")
    day.get_by_label("To", exact=False).first.fill("16:00")
    day.get_by_label("To", exact=False).first.blur()
    expect(day.get_by_text("That time works for us.")).to_be_visible()
    day.get_by_role("button", name="Send this suggestion").click()
    phone.get_by_role("button", name="No, not available on").click()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Thank you! You’ve answered for every day.")
    answers = list(Booking.objects.order_by("clinic__starts_at").values_list("answer", flat=True))
    assert answers == ["agreed", "agreed", "another time", "not possible"]

    put_off = Booking.objects.get(answer="another time").clinic
    office.goto(f"/clinics/{put_off.pk}/")
    office.get_by_role("link", name="Accept the suggested time").click()
    expect(office.get_by_role("heading", level=1)).to_contain_text("suggested?")
    office.get_by_role("button", name="Move the clinic and send the emails").click()
    expect(office.get_by_role("status")).to_contain_text("The clinic is now")
    put_off.refresh_from_db()
    assert put_off.status == "confirmed" and put_off.local_start.hour == 14

    confirmed = Clinic.objects.filter(status="confirmed").order_by("starts_at")[0]
    for name, duty in (("Imara Venn", "lead"), ("Oswin Tarrant", "coach")):
        person = make_volunteer(name, duties=(duty,), email=f"{name.split()[0].lower()}@example.org")
        make_assignment(make_shift(confirmed, duty), person)
    office.goto(f"/clinics/{confirmed.pk}/change/")
    office.get_by_label("Starts").fill("13:00")
    office.get_by_label("Ends").fill("15:00")
    office.get_by_role("button", name="Preview the change").click()
    does = office.get_by_role("region", name="What will happen")
    for words in ("Imara Venn", "Oswin Tarrant", "for the space again", "13:00 to 15:00"):
        expect(does.get_by_text(words).first).to_be_visible()
    confirmed.refresh_from_db()
    assert confirmed.local_start.hour == 9
    office.get_by_role("button", name="Save and send the emails").click()
    expect(office.get_by_role("status")).to_contain_text("We’re emailing everyone affected")
    send_due()
    for address in ("imara@example.org", "oswin@example.org"):
        assert "13:00" in box.wait_for(address).get_body(("plain",)).get_content()
    assert box.wait_for("maude@example.org", count=2)["Subject"]
    confirmed.refresh_from_db()
    assert confirmed.local_start.hour == 13 and confirmed.status == "tentative"
    assert console == []
