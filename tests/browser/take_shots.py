"""Takes the README's pictures. Named so that a test run does not collect it."""

import pytest
from django.urls import reverse

from config import links
from scheduling.demo import PASSWORD, load_demo
from scheduling.models import Assignment, Reply
from tests.browser.shots import PICTURES


@pytest.mark.django_db(transaction=True)
def test_take_the_pictures(open_page):
    load_demo()
    row = Assignment.objects.filter(reply=Reply.NEEDS_ACTION).select_related("shift__clinic")[0]
    token = links.make("shift", subject=row.pk, counter=row.link_counter, expires_at=row.shift.clinic.ends_at)
    PICTURES.mkdir(exist_ok=True)
    desk = open_page(1280)
    desk.goto(reverse("login"))
    desk.get_by_label("Email").fill("admin@example.org")
    desk.get_by_label("Password").fill(PASSWORD)
    desk.get_by_role("button", name="Sign in").click()
    desk.wait_for_url("**/ahead/")
    desk.screenshot(path=PICTURES / "ahead.png")
    desk.goto(reverse("horizon"))
    desk.screenshot(path=PICTURES / "horizon.png")
    phone = open_page(390)
    phone.goto(reverse("shift-reply", args=[token]))
    phone.screenshot(path=PICTURES / "reply.png")
