"""The commands: what each writes, and what wrong words meet."""

import io
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.core.management import CommandError, call_command

from clinics.models import Center, CenterContact, Clinic, Status
from core import clock
from demo.floor import hours_of_today, open_today
from floor.queries.day import floor_day_page
from floor.queries.page import day_data
from floor.services.phones import open_phone
from kits.models import Kit
from kits.queries.kits import kits_in_wrong_place
from outbox.models import Note, NoteState
from people.models import ClearanceKind, PolicyRow, User, Volunteer
from scheduling.models import Booking
from scheduling.queries.ahead import ahead_page
from shifts.models import Assignment
from shifts.queries.horizon import broken_assignments
from tests.demo_world import begin_in_demo
from tests.floor_days import clinic_of_today

pytestmark = pytest.mark.django_db


def run(name: str, *words: str, **options: object) -> str:
    out = io.StringIO()
    call_command(name, *words, stdout=out, **options)
    return out.getvalue()


@pytest.mark.thorough
def test_the_demos_world_has_something_for_every_flag_and_loads_once():
    run("load_demo")
    counts = [model.objects.count() for model in (Center, Volunteer, Clinic, Kit, User)]
    assert counts == [5, 24, 14, 3, 3]
    now = clock.now()
    assert len(broken_assignments(now)) == 2
    assert [str(one.kit) for one in kits_in_wrong_place(now, now.replace(year=now.year + 1))] == ["Bag 2"]
    assert Booking.objects.filter(status=Status.TENTATIVE, answer="").count() == 1
    headlines = " ".join(need.headline for need in ahead_page(now, clock.today()).needs)
    for words in (
        "isn’t cleared for",
        "hasn’t answered",
        "Bag 2 is at",
        "still needs 1 person: first aider",
        "Missing: certificate of insurance from Three Weirs",
        "Quarry Lane Library’s certificate of insurance ends before",
    ):
        assert words in headlines

    assert "nothing was loaded" in run("load_demo")
    assert Volunteer.objects.count() == 24


@pytest.mark.thorough
def test_the_demos_mail_addresses_and_telephones_reach_nobody():
    begin_in_demo()
    addresses = [*Volunteer.objects.values_list("email", flat=True), *User.objects.values_list("email", flat=True)]
    addresses += CenterContact.objects.exclude(email="").values_list("email", flat=True)
    assert all(address.endswith("@example.org") for address in addresses)
    phones = [
        *Volunteer.objects.values_list("phone", flat=True),
        *Center.objects.values_list("contact_phone", flat=True),
        *CenterContact.objects.values_list("phone", flat=True),
    ]
    assert all(phone.startswith("555-01") and len(phone) == 8 for phone in phones)


@pytest.mark.thorough
def test_the_questions_nobody_answered_are_the_workers_first_work():
    begin_in_demo()
    waiting = Note.objects.filter(state=NoteState.WAITING).about_some(Assignment)

    # And the way to today's floor page, which its lead is to find in the mail at once.
    asked = [note.number_of(Assignment) for note in waiting if note.facts.get("step") != "floor"]
    questions = Assignment.objects.filter(pk__in=asked)
    assert questions and all(row.reply == "needs-action" for row in questions)


@pytest.mark.parametrize(
    ("hour", "minute", "starts", "ends"),
    [(0, 1, "00:35", "02:35"), (9, 2, "09:35", "11:35"), (21, 12, "21:45", "23:45"), (23, 50, "21:45", "23:45")],
)
def test_the_demos_clinic_of_today_begins_in_half_an_hour_and_never_crosses_midnight(hour, minute, starts, ends):
    tz = ZoneInfo("America/New_York")
    begins_at, ends_at = hours_of_today(datetime(2026, 11, 25, hour, minute, tzinfo=tz), tz)

    local = begins_at.astimezone(tz), ends_at.astimezone(tz)
    assert [f"{moment:%H:%M}" for moment in local] == [starts, ends]
    assert {moment.date() for moment in local} == {date(2026, 11, 25)}


@pytest.mark.thorough
def test_the_demo_has_a_floor_to_open_now_and_days_that_phones_kept():
    begin_in_demo()
    now = clock.now()
    clinic = clinic_of_today()
    # The last quarter of an hour before midnight finds it just over.
    assert clinic.starts_at < now + timedelta(minutes=40) and now - clinic.ends_at < timedelta(minutes=16)
    lead = Assignment.objects.accepted().get(shift__clinic=clinic, shift__duty__code="lead")
    assert clinic.day == clock.today(clinic.center.tz) and clinic.status == Status.CONFIRMED
    # The mail with the link waits for the worker, and the lead's account is the lead's own address.
    assert Note.objects.about(clinic).get(state=NoteState.WAITING).to_email == lead.volunteer.email
    assert User.objects.get(email=lead.volunteer.email).name == lead.volunteer.name == "Oswin Tarrant"
    phone, _ = open_phone(clinic=clinic, volunteer=lead.volunteer, came_from="192.0.2.1", now=now)
    day = day_data(phone, now)
    children = day["children"]
    assert 12 <= len(children) <= 19 and [one["state"] for one in children].count("waiting") == 1
    assert all(adult["counts"] or "never counts" in adult["why_not"] for adult in day["adults"])
    assert {"lead", "coach", "first aider", "door"} <= {adult["duty"] for adult in day["adults"]}
    for mark in ("allergies", "care_notes", "must_not"):
        assert any(one[mark] for one in children)
    assert any(not one["photos"] for one in children) and {"missing", "expired"} <= {one["waiver"] for one in children}
    assert day["sheet"]["slots"] and len(day["sheet"]["groups"]) > 1

    last = Clinic.objects.filter(floor_day__closed_at__isnull=False).order_by("-starts_at").first()
    assert last is not None
    page = floor_day_page(last, with_incidents=True)
    assert page.came >= 10 and not page.still_in and page.incidents and page.day and page.day.notes
    assert all(line.minutes for line in page.adults)
    assert "Up from earlier clinics." in [line.words for line in page.growth]
    # One day was never closed, and somebody is still in.
    left = Clinic.objects.get(floor_day__isnull=False, floor_day__closed_at=None)
    assert len(floor_day_page(left, with_incidents=False).still_in) == 1


def test_scale_writes_as_many_as_asked_for_and_the_same_for_the_same_seed():
    first = run("load_scale", volunteers=40, clinics=20, seed=3)
    assert "40 volunteers" in first and "20 clinics" in first
    duties = sorted(map(tuple, Volunteer.objects.values_list("duties", flat=True)))
    Assignment.objects.all().delete()
    Volunteer.objects.all().delete()

    assert run("load_scale", volunteers=40, clinics=20, seed=3) == first
    assert sorted(map(tuple, Volunteer.objects.values_list("duties", flat=True))) == duties


def test_scale_refuses_a_number_below_zero_with_a_sentence():
    with pytest.raises(CommandError, match="zero or more"):
        run("load_scale", volunteers=-1)


def test_the_starter_policy_is_written_once_and_names_its_sources():
    assert "Check each interval" in run("start_policy")
    PolicyRow.objects.filter(kind__code="screening").update(months=60)

    assert "nothing was changed" in run("start_policy")
    assert set(PolicyRow.objects.filter(kind__code="screening").values_list("months", flat=True)) == {60}
    assert all("law" in kind.source for kind in ClearanceKind.objects.all())


def test_an_account_is_added_with_its_role(monkeypatch):
    monkeypatch.setattr("sys.stdin", io.StringIO("a long enough pass phrase\n"))
    assert "can log in as coordinator" in run("add_account", "coordinator", "New@Example.org", "Perpetua Lang")

    account = User.objects.get()
    assert account.email == "new@example.org" and account.check_password("a long enough pass phrase")
    assert account.has_perm("people.book_clinics") and not account.has_perm("people.keep_clearances")


@pytest.mark.parametrize(
    ("email", "password", "sentence"),
    [("no address", "a long enough pass phrase", "not an email address"), ("a@example.org", "short", "15 characters")],
)
def test_an_account_that_cannot_be_is_refused_with_a_sentence(monkeypatch, email, password, sentence):
    monkeypatch.setattr("sys.stdin", io.StringIO(password + "\n"))
    with pytest.raises(CommandError, match=sentence):
        run("add_account", "admin", email, "Somebody")


def on_a_later_day(days: int, at: time) -> datetime:
    tz = clock.home_zone()
    return datetime.combine(clock.today(tz) + timedelta(days=days), at, tz).astimezone(UTC)


@pytest.mark.slow
@pytest.mark.parametrize("days", [1, 2, 3, 30])
def test_a_demo_of_an_earlier_day_gets_a_clinic_of_today_once(days):
    begin_in_demo()
    before, later = set(Clinic.objects.values_list("pk", flat=True)), on_a_later_day(days, time(8))
    assert open_today(later) is True
    assert open_today(later) is False and open_today(later + timedelta(minutes=20)) is False

    (clinic,) = Clinic.objects.exclude(pk__in=before)
    assert clinic.day == later.astimezone(clinic.center.tz).date() and clinic.status == Status.CONFIRMED
    lead = Assignment.objects.accepted().get(shift__clinic=clinic, shift__duty__code="lead")
    note = Note.objects.about(clinic).get(facts__step="floor", state=NoteState.WAITING)
    assert note.to_email == lead.volunteer.email
    assert clinic.spots.filter(state="held").count() > 10


@pytest.mark.thorough
@pytest.mark.slow
def test_where_the_demo_has_a_clinic_in_that_space_at_that_hour_it_gets_no_second():
    begin_in_demo()
    count = Clinic.objects.count()
    assert open_today(on_a_later_day(3, time(14, 30))) is False and Clinic.objects.count() == count


def test_a_house_with_other_people_gets_nothing_of_the_demo(admin, settings):
    assert "nothing was loaded" in run("load_demo")
    assert not Clinic.objects.exists()
    User.objects.all().delete()
    begin_in_demo()
    settings.PRODUCTION = True
    count = Clinic.objects.count()
    assert "nothing was loaded" in run("load_demo") and Clinic.objects.count() == count
