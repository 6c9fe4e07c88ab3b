"""Where the demo begins: each door opens by itself, changes nothing, and is one press away from the act."""

import io
import json
from datetime import UTC, time, timedelta
from urllib.parse import urlsplit

import pytest
from django.core.management import call_command
from django.db import transaction
from django.test import Client
from django.urls import path, reverse

import config.urls
from clinics.models import Clinic
from core import clock
from core.rules.local_time import localize
from demo import log_in_page
from demo.doors import doors, first_act, why_now
from outbox.models import Note
from people.models import Clearance, User
from shifts.models import Assignment, Reply
from tests.clock import INSTANT, at
from tests.demo_world import begin_in_demo
from tests.floor_days import clinic_of_today

urlpatterns = [*config.urls.urlpatterns, path("demo/<slug:role>/", log_in_page.log_in, name="demo-log-in")]

pytestmark = [pytest.mark.django_db, pytest.mark.urls(__name__)]

HEADINGS = {
    "Coordinator": "Log in to the demo",
    "Admin": "Log in to the demo",
    "Volunteer": "Can you",
    "Families": "Register for",
    "Floor lead": "Open the floor page",
}


@pytest.fixture(scope="module")
def world(django_db_setup, django_db_blocker):
    """The demo's world, loaded once for these tests: each takes its own changes back, and this all of them."""
    with django_db_blocker.unblock(), transaction.atomic(), at(INSTANT):
        begin_in_demo()
        yield
        transaction.set_rollback(True)


@pytest.fixture
def demo(world, db, settings):
    settings.MODE = "demo"


def opened(client: Client, address: str) -> str:
    answer = client.get(urlsplit(address).path)
    assert answer.status_code == 200, address
    return " ".join(answer.content.decode().partition("<h1")[2].partition("</h1>")[0].split())


def test_every_door_opens_without_an_account_and_changes_nothing(demo, client):
    now = clock.now()
    before = [list(model.objects.order_by("pk").values()) for model in (Assignment, Clinic, Clearance, Note, User)]

    found = {door.who: door for door in doors(now)}

    assert found.keys() == HEADINGS.keys()
    for who, door in found.items():
        assert HEADINGS[who] in opened(client, door.address)
        assert door.what.endswith(".")
    after = [list(model.objects.order_by("pk").values()) for model in (Assignment, Clinic, Clearance, Note, User)]
    assert after == before


def test_the_volunteers_door_is_the_link_of_the_letter(demo, client):
    address = next(door.address for door in doors(clock.now()) if door.who == "Volunteer")
    row = Assignment.objects.filter(reply=Reply.NEEDS_ACTION).order_by("shift__clinic__starts_at", "pk")[0]

    client.post(urlsplit(address).path, {"answer": "yes", "reply": "accepted"})

    row.refresh_from_db()
    assert row.reply == Reply.ACCEPTED
    # Answered, it is no longer a question, and the next one is shown.
    assert next(door.address for door in doors(clock.now()) if door.who == "Volunteer") != address


def test_one_press_logs_the_coordinator_in_beside_an_open_shift(demo, client):
    here = reverse("demo-log-in", args=["coordinator"])
    assert "Log in as Perpetua Lang" in client.get(here).content.decode()
    assert "_auth_user_id" not in client.session

    page = client.post(here, follow=True)

    assert page.status_code == 200
    assert "Available" in page.content.decode() and "Ask " in page.content.decode()


def test_one_press_logs_the_admin_in_on_the_clearance_that_fails_first(demo, client):
    page = client.post(reverse("demo-log-in", args=["admin"]), follow=True).content.decode()

    assert "Record a clearance for" in page and "Save the clearance" in page


def test_the_floor_lead_comes_to_the_clinic_of_today(demo, client):
    clinic = clinic_of_today()

    assert first_act("floor", clock.now()) == reverse("clinic", args=[clinic.pk])
    assert client.post(reverse("demo-log-in", args=["floor"]), follow=True).status_code == 200


def test_with_nothing_to_do_a_role_comes_to_its_first_page(demo):
    long_after = clock.now() + timedelta(days=400)

    assert first_act("coordinator", long_after) == first_act("floor", long_after) == reverse("home")
    assert first_act("admin", long_after) == reverse("horizon")
    assert [door.who for door in doors(long_after)] == ["Coordinator", "Admin", "Families"]
    assert why_now(long_after) == ""


def test_ahead_says_why_the_clinic_of_today_is_at_an_odd_hour(demo, client, settings):
    frames = [{**frame, "OPTIONS": {**frame["OPTIONS"]}} for frame in settings.TEMPLATES]
    frames[0]["OPTIONS"]["context_processors"] = [
        *frames[0]["OPTIONS"]["context_processors"],
        "demo.log_in_page.notice",
    ]
    clinic = clinic_of_today()
    client.force_login(User.objects.get(email="coordinator@example.org"), "django.contrib.auth.backends.ModelBackend")
    early = localize(clinic.day, time(6), clinic.center.tz).astimezone(UTC)
    Clinic.objects.filter(pk=clinic.pk).update(starts_at=early, ends_at=early + timedelta(hours=2))
    words = "Today’s demo clinic is early, 06:00 to 08:00, so that you can try its floor page now."

    with at(early):
        assert words not in client.get(reverse("ahead")).content.decode()
        settings.TEMPLATES = frames
        assert words in client.get(reverse("ahead")).content.decode()


@pytest.mark.parametrize("role", ["nobody", "volunteer", "floor-lead"])
def test_an_unknown_role_has_no_door(demo, client, role):
    assert client.get(f"/demo/{role}/").status_code == 404


@pytest.mark.parametrize("mode", ["production", "test"])
def test_outside_the_demo_nobody_is_logged_in(demo, client, settings, mode):
    settings.MODE = mode

    assert client.get("/demo/admin/").status_code == client.post("/demo/admin/").status_code == 404
    assert "_auth_user_id" not in client.session


def test_where_real_people_work_nobody_is_logged_in(demo, client):
    User.objects.filter(email="coordinator@example.org").update(email="a.real.person@example.com")

    assert client.post("/demo/admin/").status_code == 404


def test_the_doors_are_written_for_their_owner_alone(demo, tmp_path):
    written = tmp_path / "doors.json"

    call_command("prepare_demo", doors=written, stdout=io.StringIO())

    said = json.loads(written.read_text())
    assert [one["who"] for one in said["doors"]] == list(HEADINGS)
    assert written.stat().st_mode & 0o077 == 0


def test_the_leads_door_opens_in_one_browser_and_the_second_says_how_to_go_on(demo):
    address = urlsplit(next(door.address for door in doors(clock.now()) if door.who == "Floor lead")).path
    first, second, office = Client(), Client(), Client()
    clinic = clinic_of_today()
    assert first.post(address)["Location"] == reverse("floor", args=[clinic.pk])
    refused = second.post(address)
    assert refused.status_code == 409 and "ask our office to release it" in refused.content.decode()

    office.post(reverse("demo-log-in", args=["coordinator"]))
    day = office.get(reverse("clinic-day", args=[clinic.pk]))
    (line,) = [line for line in day.context["phones"] if line.is_open]
    office.post(reverse("floor-release", args=[clinic.pk, line.phone.pk]))
    assert second.post(address).status_code == 302


def test_the_demos_floor_account_leads_the_clinic_of_today_and_opens_its_sheet(demo, client):
    client.post(reverse("demo-log-in", args=["floor"]))
    assert client.post(reverse("clinic-door", args=[clinic_of_today().pk]), follow=True).status_code == 200
