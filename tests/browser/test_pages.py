"""Every page as somebody who can't see it well or holds a small phone meets it."""

import json
from datetime import timedelta

import brotli
import pytest
from axe_playwright_python.sync_playwright import DEFAULT_OPTIONS, Axe
from django.urls import reverse
from playwright.sync_api import expect

from clinics.models import Clinic, SpacePhoto
from core import clock, links
from demo.world import PASSWORD, load_demo
from families.models import Place
from kits.models import Kit
from kits.services.kit_plans import ask_kit_plan, find_kit_plan
from people.models import Application, User, Volunteer
from runsheets.models import Activity, RunSheetPlan
from runsheets.services.activity_tables import read_table
from scheduling.models import Booking
from shifts.models import Assignment, Reply, Shift, Standby, StandbyCall, Swap
from shifts.services.proposals import propose, search
from tests.floor_days import clinic_of_today

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.browser]


@pytest.fixture
def world():
    load_demo()
    row = Assignment.objects.filter(reply="needs-action").first()
    booking = Booking.objects.filter(answer="", status="tentative").first()
    assert row is not None and booking is not None
    clinic = row.shift.clinic
    shift = Shift.objects.filter(clinic=clinic, assignments__isnull=True).first()
    assert shift is not None
    application = Application.objects.create(
        name="Imarra Venn",
        email="imarra@example.org",
        phone="555-0121",
        duties=["coach"],
        home_area="Mill Green",
        first_referee="Maude Ferriby",
        second_referee="Ambrose Tully",
        state=Application.State.NEW,
        sent_at=clock.now(),
    )
    today, office = clock.today(), User.objects.get(email="coordinator@example.org")
    proposal = propose(first=today, last=today + timedelta(days=20), by=office, now=clock.now())
    search(pk=proposal.pk)
    plan_kit = Kit.objects.all()[0].pk
    plan = ask_kit_plan(first=today, last=today + timedelta(days=40), by=office, now=clock.now())
    find_kit_plan(pk=plan.pk)
    standby = Standby.objects.create(clinic=clinic, duty_id="coach", volunteer=row.volunteer, since=clock.now())
    call = StandbyCall.objects.create(shift=shift, volunteer=row.volunteer, asked_at=clock.now())
    swap = Swap.objects.create(
        assignment=row, to=Volunteer.objects.exclude(pk=row.volunteer_id)[0], asked_at=clock.now()
    )
    place = Place.objects.filter(answer_by__isnull=False)[0]
    planned = RunSheetPlan.objects.ready()[0]
    of_today = clinic_of_today()
    kept = Clinic.objects.filter(floor_day__closed_at__isnull=False)[0]
    left = Clinic.objects.get(floor_day__isnull=False, floor_day__closed_at=None)
    cannot = RunSheetPlan.objects.get(state="can't")
    text = b"name,kind,least_minutes,most_minutes,group_size\nWall passes,station,8,15,10\nLong,opener,5,20,10\n"
    table = read_table(name="spring.csv", raw=text, by=User.objects.all()[0], now=clock.now())
    inside = {
        "activities": reverse("activities"),
        "activity": reverse("activity", args=[Activity.objects.all()[0].pk]),
        "activity form": reverse("activity-new"),
        "activities import": reverse("activity-import"),
        "activities table": reverse("activity-table", args=[table.pk]),
        "run sheet that can't be": reverse("clinic-sheet", args=[cannot.clinic_id]),
        "run sheet": reverse("clinic-sheet", args=[planned.clinic_id]),
        "run sheet of none": reverse("clinic-sheet", args=[clinic.pk]),
        "run sheet plan": reverse("clinic-sheet-plan", args=[planned.clinic_id]),
        "run sheet rest": reverse("clinic-sheet-rest", args=[planned.clinic_id]),
        "run sheet cards": reverse("clinic-sheet-cards", args=[planned.clinic_id]),
        "ahead": reverse("ahead"),
        "clinics": reverse("clinics"),
        "clinic of today": reverse("clinic", args=[of_today.pk]),
        "floor's day": reverse("clinic-day", args=[kept.pk]),
        "floor's day never closed": reverse("clinic-day", args=[left.pk]),
        "clinic": reverse("clinic", args=[clinic.pk]),
        "who": reverse("shift-who", args=[shift.pk]),
        "book": reverse("clinic-new"),
        "cancel": reverse("clinic-cancel", args=[clinic.pk]),
        "centers": reverse("centers"),
        "center": reverse("center", args=[clinic.center_id]),
        "center-map": reverse("center-map"),
        "center-around": f"{reverse('center-map')}?center={clinic.center_id}",
        "center-contacts": reverse("center-contacts", args=[clinic.center_id]),
        "center-agreements": reverse("center-agreements", args=[clinic.center_id]),
        "space-photos": reverse("space-photos", args=[SpacePhoto.objects.all()[0].space_id]),
        "center hours": reverse("center-hours", args=[clinic.center_id]),
        "outdoors": reverse("outdoors"),
        "repeat": reverse("clinic-repeat", args=[clinic.pk]),
        "center form": reverse("center-change", args=[clinic.center_id]),
        "space form": reverse("space-new", args=[clinic.center_id]),
        "volunteers": reverse("volunteers"),
        "volunteer": reverse("volunteer", args=[row.volunteer_id]),
        "volunteer form": reverse("volunteer-change", args=[row.volunteer_id]),
        "clearance form": reverse("clearance-new", args=[row.volunteer_id]),
        "horizon": reverse("horizon"),
        "applications": reverse("applications"),
        "application": reverse("application", args=[application.pk]),
        "twins": reverse("volunteer-duplicates", args=[row.volunteer_id]),
        "import": reverse("import-new"),
        "policy": reverse("policy"),
        "policy change": reverse("policy-change"),
        "duty": reverse("duty-new"),
        "ladder": reverse("notice-schedule"),
        "cover": reverse("cover"),
        "proposal": reverse("proposal", args=[proposal.pk]),
        "why not asked": reverse("proposal-why", args=[proposal.pk, row.volunteer_id]),
        "load": reverse("load"),
        "asking": reverse("asking-rules"),
        "needs": reverse("clinic-needs", args=[clinic.pk]),
        "kits": reverse("kits"),
        "kit": reverse("kit", args=[plan_kit]),
        "kit form": reverse("kit-change", args=[plan_kit]),
        "kit code": reverse("kit-code"),
        "kit count": reverse("kit-count", args=[plan_kit]),
        "kit kind": reverse("kit-kind-new"),
        "kit kinds": reverse("kit-kinds"),
        "kit labels": reverse("kit-labels"),
        "kit loss": reverse("kit-loss", args=[plan_kit]),
        "kit move": reverse("kit-move", args=[plan_kit]),
        "kit plans": reverse("kit-plans"),
        "kit plan": reverse("kit-plan", args=[plan.pk]),
        "pack": reverse("clinic-pack", args=[clinic.pk]),
        "outbox": reverse("outbox"),
        "children": reverse("children"),
        "child": reverse("child", args=[place.child_id]),
        "child form": reverse("child-change", args=[place.child_id]),
        "paper waiver": reverse("paper-waiver", args=[place.child_id]),
        "guardian form": reverse("guardian-new", args=[place.child_id]),
        "children at a clinic": reverse("clinic-children", args=[place.clinic_id]),
        "door list": reverse("clinic-door", args=[place.clinic_id]),
        "households import": reverse("household-import"),
        "waivers": reverse("waivers"),
        "waiver": reverse("waiver-version", args=[1]),
        "waiver form": reverse("waiver-new"),
        "password": reverse("password_change"),
        "not there": "/nothing-here/",
    }
    shift_token = links.make("shift", subject=row.pk, counter=row.link_counter, expires_at=clinic.ends_at)
    booking_token = links.make(
        "booking", subject=booking.pk, counter=booking.link_counter, expires_at=booking.clinic.starts_at
    )
    own_token = links.make("me", subject=row.volunteer_id, counter=0, expires_at=clinic.ends_at)
    apply_token = links.make("apply", subject=application.pk, counter=0, expires_at=clinic.ends_at)
    stop_token = links.make("reminders", subject=row.volunteer_id, counter=0, expires_at=clinic.ends_at)

    def token(purpose, about):
        return links.make(purpose, subject=about.pk, counter=0, expires_at=clinic.ends_at)

    outside = {
        "sign in": reverse("login"),
        "forgotten": reverse("password_reset"),
        "reply": reverse("shift-reply", args=[shift_token]),
        "answer": reverse("booking-answer", args=[booking_token]),
        "join": reverse("join"),
        "join link": reverse("join-link", args=[apply_token]),
        "own page": reverse("own-page", args=[own_token]),
        "stop": reverse("stop-reminders", args=[stop_token]),
        "stands by": reverse("standby-link", args=[token("standby", standby)]),
        "called": reverse("standby-call", args=[token("call", call)]),
        "swap": reverse("swap-answer", args=[token("swap", swap)]),
        "bad link": reverse("shift-reply", args=["made-up"]),
    }
    return inside, outside


def signed_in_page(open_page):
    page = open_page(bypass_csp=True)
    page.goto(reverse("login"))
    page.get_by_label("E-mail").or_(page.get_by_label("Email")).fill("admin@example.org")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/ahead/")
    return page


def trouble_of(page, width):
    """What axe finds in the page as it stands at this width, and by how much the page is wider."""
    page.set_viewport_size({"width": width, "height": 900})
    found = page.evaluate(f"axe.run({json.dumps(DEFAULT_OPTIONS)})")
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    said = [(v["id"], [n["target"] for n in v["nodes"][:3]]) for v in found["violations"]]
    return said + ([("runs off", wide)] if wide > 0 else [])


@pytest.mark.slow
def test_axe_finds_nothing_and_nothing_runs_off_the_page(world, open_page):
    """As wide as a desk and as wide as a phone: no page asks its width but through its style."""
    inside, outside = world
    script = Axe().axe_script
    trouble = {}
    page, bare = signed_in_page(open_page), open_page(bypass_csp=True)
    for where, addresses in ((page, inside), (bare, outside)):
        for name, address in addresses.items():
            where.goto(address)
            where.evaluate(script)
            for width in (1280, 390):
                if said := trouble_of(where, width):
                    trouble[f"{name} at {width}"] = said
    assert trouble == {}


@pytest.mark.slow
def test_the_strict_policy_lets_every_page_work_without_a_complaint(world, open_page, console, sign_in):
    inside, outside = world
    User.objects.get(email="admin@example.org")
    page = open_page(1280)
    page.goto(reverse("login"))
    page.get_by_label("E-mail").or_(page.get_by_label("Email")).fill("admin@example.org")
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/ahead/")
    for address in (*inside.values(), *outside.values()):
        page.goto(address)

    assert [line for line in console if "404" not in line] == []


def test_a_volunteer_answers_without_javascript(make_assignment, new_context, live_server, settings):
    row = make_assignment(reply=Reply.NEEDS_ACTION)
    settings.SITE_URL = live_server.url
    page = new_context(java_script_enabled=False).new_page()
    token = links.make("shift", subject=row.pk, counter=row.link_counter, expires_at=row.shift.clinic.ends_at)
    page.goto(reverse("shift-reply", args=[token]))
    page.get_by_role("button", name="No, I can’t this time").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("You can’t come")


def test_the_first_page_is_light_and_asks_no_other_host(open_page, live_server):
    """Under 100 kB transferred, as production sends it: text through brotli, fonts as they are."""
    answers = []
    page = open_page(1280)
    page.on("response", lambda answer: answers.append((answer.url, answer.body())) if answer.status == 200 else None)
    page.goto(reverse("login"), wait_until="networkidle")

    assert all(url.startswith(live_server.url) for url, _ in answers)
    sent = {url: len(body) if url.endswith(".woff2") else len(brotli.compress(body)) for url, body in answers}
    assert len(sent) >= 4 and sum(sent.values()) < 100_000, sent
