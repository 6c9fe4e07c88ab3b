"""Takes the README's pictures. Named so that a test run does not collect it."""

import pytest
from django.urls import reverse

from core import clock, links
from demo.world import PASSWORD, load_demo
from floor.services.phones import open_phone
from shifts.models import Assignment, Reply
from tests.browser.shots import PICTURES
from tests.floor_days import clinic_of_today


@pytest.mark.django_db(transaction=True)
def test_take_the_pictures(open_page, live_server):
    load_demo()
    row = Assignment.objects.filter(reply=Reply.NEEDS_ACTION).select_related("shift__clinic")[0]
    token = links.make("shift", subject=row.pk, counter=row.link_counter, expires_at=row.shift.clinic.ends_at)
    PICTURES.mkdir(exist_ok=True)
    desk = open_page(1280)
    desk.goto(reverse("login"))
    desk.get_by_label("Email").fill("admin@example.org")
    desk.get_by_label("Password").fill(PASSWORD)
    desk.get_by_role("button", name="Log in").click()
    desk.wait_for_url("**/ahead/")
    desk.screenshot(path=PICTURES / "ahead.png")
    desk.goto(reverse("horizon"))
    desk.screenshot(path=PICTURES / "horizon.png")
    now = clock.now()
    today = clinic_of_today()
    desk.goto(reverse("clinic-sheet", args=[today.pk]))
    desk.screenshot(path=PICTURES / "run-sheet.png")
    phone = open_page(390)
    phone.goto(reverse("shift-reply", args=[token]))
    phone.screenshot(path=PICTURES / "reply.png")
    lead = Assignment.objects.accepted().get(shift__clinic=today, shift__duty__code="lead").volunteer
    _, secret = open_phone(clinic=today, volunteer=lead, came_from="127.0.0.1", now=now)
    floor = open_page(390)
    floor.context.add_cookies([{"name": f"floor{today.pk}", "value": secret, "url": f"{live_server.url}/floor/"}])
    floor.goto(reverse("floor", args=[today.pk]))
    floor.locator("ul.door > li").first.wait_for()
    for _ in range(3):
        floor.locator("ul.door > li").get_by_role("button", name="Sign in").first.click()
    floor.evaluate("scrollTo(0, 0)")
    floor.screenshot(path=PICTURES / "floor.png")
