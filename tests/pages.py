"""The demo's world with one row of each rare thing added, and the address of every page in it."""

from datetime import timedelta
from typing import NamedTuple
from urllib.parse import urlsplit

from django.urls import reverse

from clinics.models import Clinic, SpacePhoto
from core import clock, links
from core.references import reference
from families.models import Guardian, Spot
from families.services.door import DOOR, open_door
from floor.letters.stand_ins import stand_in_address
from floor.models import FloorStandIn, Incident
from floor.services.phones import floor_address, open_phone
from kits.models import Kit, KitKind
from kits.services.kit_plans import ask_kit_plan, find_kit_plan
from people.models import Application, Clearance, ClearanceKind, Duty, User, Volunteer
from people.services.imports import read_table as read_people
from runsheets.models import Activity, RunSheetPlan
from runsheets.services.activity_tables import read_table
from scheduling.models import Booking
from shifts.models import Assignment, Backup, BackupCall, Shift, Swap
from shifts.queries.link_pages import lead_of
from shifts.services.proposals import propose, search
from tests.demo_world import begin_in_demo
from tests.floor_days import clinic_of_today
from tests.households import family_address, spot_address

__all__ = ["Pages", "pages_of_the_demo"]

HOMES = """child_given_name,child_family_name,birth_date,guardian_name,guardian_email,guardian_phone
Wenna,Marl,2017-03-04,Odo Marl,odo@example.org,555-0177
Pim,Vale,2016-30-12,Ezra Vale,ezra,555-0178
"""


class Pages(NamedTuple):
    """Addresses by a name of their own."""

    inside: dict[str, str]
    """For whoever has an account."""
    outside: dict[str, str]
    """Without one: public pages, and links that volunteers and centers get by email."""
    family: dict[str, str]
    """What guardians open."""


def pages_of_the_demo() -> Pages:
    """Load the demo, add one of each thing that it lacks, and name the pages."""
    begin_in_demo()
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
        first_reference="Maude Ferriby",
        second_reference="Ambrose Tully",
        state=Application.State.NEW,
        sent_at=clock.now(),
    )
    today, office = clock.today(), User.objects.get(email="coordinator@example.org")
    proposal = propose(first=today, last=today + timedelta(days=20), by=office, now=clock.now())
    search(pk=proposal.pk)
    plan_kit = Kit.objects.all()[0].pk
    plan = ask_kit_plan(first=today, last=today + timedelta(days=40), by=office, now=clock.now())
    find_kit_plan(pk=plan.pk)
    backup = Backup.objects.create(clinic=clinic, duty_id="coach", volunteer=row.volunteer, since=clock.now())
    call = BackupCall.objects.create(shift=shift, volunteer=row.volunteer, asked_at=clock.now())
    swap = Swap.objects.create(
        assignment=row, to=Volunteer.objects.exclude(pk=row.volunteer_id)[0], asked_at=clock.now()
    )
    spot = Spot.objects.filter(answer_by__isnull=False)[0]
    planned = RunSheetPlan.objects.ready()[0]
    of_today = clinic_of_today()
    lead = lead_of(of_today)
    assert lead is not None
    open_phone(clinic=of_today, volunteer=lead.volunteer, came_from="192.0.2.8", now=clock.now(), link=reference(lead))
    other = Volunteer.objects.active().holding("lead").exclude(pk=lead.volunteer_id)[0]
    stand_in = FloorStandIn.objects.create(clinic=of_today, volunteer=other, named_by=office, named_at=clock.now())
    for account in User.objects.all():
        open_door(clinic=spot.clinic, by=account, what=DOOR, now=clock.now())
    kept = Clinic.objects.filter(floor_day__closed_at__isnull=False)[0]
    hurt = Incident.objects.get(sort="head")
    left = Clinic.objects.get(floor_day__isnull=False, floor_day__closed_at=None)
    cannot = RunSheetPlan.objects.get(state="can't")
    text = b"name,kind,least_minutes,most_minutes,group_size\nWall passes,station,8,15,10\nLong,opener,5,20,10\n"
    table = read_table(name="spring.csv", raw=text, by=User.objects.all()[0], now=clock.now())
    people = read_people(
        what="volunteers",
        name="people.csv",
        raw=b"name,email\nImarra Venn,imarra@example.org\n,imarra at example\n",
        by=office,
        now=clock.now(),
        today=today,
    )
    homes = read_people(
        what="households", name="homes.csv", raw=HOMES.encode(), by=office, now=clock.now(), today=today
    )
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
        "incident": reverse("clinic-incident", args=[hurt.clinic_id, hurt.pk]),
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
        "child": reverse("child", args=[spot.child_id]),
        "child form": reverse("child-change", args=[spot.child_id]),
        "paper waiver": reverse("paper-waiver", args=[spot.child_id]),
        "guardian form": reverse("guardian-new", args=[spot.child_id]),
        "children at a clinic": reverse("clinic-children", args=[spot.clinic_id]),
        "door list": reverse("clinic-door", args=[spot.clinic_id]),
        "door list, not opened": reverse("clinic-door", args=[clinic.pk if clinic != spot.clinic else of_today.pk]),
        "stand-ins": reverse("clinic-stand-ins", args=[of_today.pk]),
        "floor's day with phones": reverse("clinic-day", args=[of_today.pk]),
        "households import": reverse("household-import"),
        "waivers": reverse("waivers"),
        "waiver": reverse("waiver-version", args=[1]),
        "waiver form": reverse("waiver-new"),
        "password": reverse("password_change"),
        "clearance change": reverse("clearance-change", args=[Clearance.objects.filter(volunteer=row.volunteer)[0].pk]),
        "center new": reverse("center-new"),
        "space change": reverse("space-change", args=[clinic.center.spaces.all()[0].pk]),
        "people import": reverse("import", args=[people.pk]),
        "families import": reverse("household-import-one", args=[homes.pk]),
        "poster": reverse("clinic-poster", args=[clinic.pk]),
        "retention": reverse("retention"),
        "family requests": reverse("family-requests"),
        "waiver change": reverse("waiver-change", args=[1]),
        "kind new": reverse("kind-new"),
        "kind change": reverse("kind-change", args=[ClearanceKind.objects.all()[0].pk]),
        "duty change": reverse("duty-change", args=[Duty.objects.all()[0].pk]),
        "volunteer new": reverse("volunteer-new"),
        "kit new": reverse("kit-new"),
        "kit kind change": reverse("kit-kind-change", args=[KitKind.objects.all()[0].pk]),
        "kit label": reverse("kit-label", args=[plan_kit]),
        "activity change": reverse("activity-change", args=[Activity.objects.all()[0].pk]),
        "run sheet row": reverse("clinic-sheet-row", args=[planned.clinic_id, planned.pk]),
        "floor": reverse("floor", args=[of_today.pk]),
        "center feed": reverse("center-feed", args=[clinic.center_id]),
        "office feed": reverse("office-feed"),
        "several dates": reverse("clinics-multi-date"),
        "change": reverse("clinic-change", args=[clinic.pk]),
        "calendar week": f"{reverse('clinics')}?view=week",
        "calendar month": f"{reverse('clinics')}?view=month",
        "calendar day": f"{reverse('clinics')}?view=day",
        "password changed": reverse("password_change_done"),
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
        "stands by": reverse("backup-link", args=[token("backup", backup)]),
        "called": reverse("backup-call", args=[token("call", call)]),
        "swap": reverse("swap-answer", args=[token("swap", swap)]),
        "password asked": reverse("password_reset_done"),
        "password set": reverse("password_reset_complete"),
        "thanks": reverse("join-thanks"),
        "floor link": urlsplit(floor_address(lead)).path,
        "stand-in link": urlsplit(stand_in_address(stand_in)).path,
        "bad link": reverse("shift-reply", args=["made-up"]),
    }

    guardian = Guardian.objects.filter(guardianships__child=spot.child)[0]
    child = spot.child_id
    family = {
        "register": reverse("register"),
        "register clinic": reverse("register-clinic", args=[spot.clinic_id]),
        "register link": reverse("register-link"),
        "family": family_address(guardian),
        "family clinic": family_address(guardian, route="family-clinic", args=[spot.clinic_id]),
        "family child": family_address(guardian, route="family-child", args=[child]),
        "family child new": family_address(guardian, route="family-child-new"),
        "family care": family_address(guardian, route="family-child-care", args=[child]),
        "spot": spot_address(spot),
        "family bad link": reverse("family-page", args=["made-up"]),
    }
    return Pages(inside, outside, family)
