"""A volunteer's own page: what it shows, what it changes, and what it keeps to itself."""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.urls import get_resolver, reverse
from icalendar import Calendar

from core import clock, links
from core.formats import short_date
from outbox.models import Note
from outbox.services.sending import send_due
from people.models import AddressChange, Clearance, Volunteer
from shifts.letters.own_page import OWN_PAGE
from shifts.models import Assignment, Away, Backup, Limits, Reply, WeeklyWindow
from shifts.queries.candidates import candidates
from shifts.queries.own_page import own_page
from shifts.rules import eligibility as rule
from shifts.rules.availability import Availability
from shifts.rules.eligibility import Candidacy, Wanted, reasons_against

SATURDAY = datetime(2026, 11, 28, 9, 0, tzinfo=UTC)


def address(volunteer, purpose="me", route="own-page", counter=None):
    token = links.make(
        purpose,
        subject=volunteer.pk,
        counter=volunteer.link_counter if counter is None else counter,
        expires_at=clock.now() + timedelta(days=30),
    )
    return reverse(route, args=[token])


def told(**more):
    return {"phone": "555-0121", "reminders": "on"} | more


@pytest.mark.parametrize(
    ("known", "reasons"),
    [
        (Availability(), []),
        (Availability(windows={5: (time(8), time(12))}), []),
        (Availability(windows={6: (time(8), time(12))}), [rule.Window(5, None)]),
        (Availability(windows={5: (time(10), time(12))}), [rule.Window(5, (time(10), time(12)))]),
        (
            Availability(away=[(date(2026, 11, 28), date(2026, 11, 28))]),
            [rule.Away(date(2026, 11, 28), date(2026, 11, 28))],
        ),
        (Availability(away=[(date(2026, 11, 20), date(2026, 11, 27))]), []),
        (Availability(shifts_a_month=3), [rule.Shifts(3, 3)]),
        (Availability(shifts_a_month=4), []),
        (Availability(hours_a_month=8.5), [rule.Hours(9, 8.5)]),
        (Availability(hours_a_month=9), []),
        (Availability(farthest_km=10), [rule.TooFar(12.4, 10)]),
    ],
)
def test_each_thing_a_volunteer_told_us_is_a_reason_of_its_own(known, reasons):
    person = Candidacy(frozenset({"coach"}), known=known, shifts=3, hours=6, takes=3, km=12.4)

    found = reasons_against(Wanted(1, "coach", SATURDAY, SATURDAY + timedelta(hours=3)), person)

    assert found == reasons


def test_what_she_saves_is_why_she_is_not_asked(stranger, make_volunteer, make_shift, make_clinic):
    imara = make_volunteer("Imara Venn")
    shift = make_shift(make_clinic(days=10))
    assert candidates(shift, clock.today())[0].can
    day = shift.clinic.day

    answer = stranger.post(
        address(imara, route="own-page-times"),
        told(away_from=day.isoformat(), away_until=(day + timedelta(days=2)).isoformat()),
        follow=True,
    )

    assert "Saved. Thank you!" in answer.content.decode()
    (imara_then,) = candidates(shift, clock.today())
    assert not imara_then.can and imara_then.why_not[0].startswith("away")


def test_opening_the_page_changes_nothing_and_saving_keeps_what_stays(stranger, make_volunteer):
    imara = make_volunteer("Imara Venn", phone="555-0100")
    gone = clock.today() + timedelta(days=40)
    times = address(imara, route="own-page-times")
    stranger.post(times, told(from_5="09:00", until_5="13:00", shifts_a_month=2, away_from=gone.isoformat()))
    away = Away.objects.get()

    page = stranger.get(address(imara)).content.decode()
    stranger.post(times, told(from_5="09:00", until_5="13:00", keep=str(away.pk)))

    assert 'value="09:00"' in page and short_date(gone) in page
    assert str(WeeklyWindow.objects.get()) == "Saturday 09:00 to 13:00"
    assert Away.objects.count() == 1 and Limits.objects.get().shifts_a_month is None


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"from_5": "13:00", "until_5": "09:00"}, "The end is before the start"),
        ({"from_5": "13:00"}, "Enter both times for Saturday"),
        ({"away_from": "2027-02-01", "away_until": "2027-01-01"}, "Your last day away is before your first"),
        ({"away_until": "2027-01-01"}, "Enter the first day you’re away"),
        ({"away_from": "2027-02-30"}, "Enter the date as year-month-day"),
        ({"hours_a_month": "-1"}, "greater than or equal to 0"),
        ({"farthest_km": "99999"}, "less than or equal to 2000"),
    ],
)
def test_what_cannot_be_is_said_and_nothing_typed_is_lost(stranger, make_volunteer, typed, sentence):
    answer = stranger.post(address(make_volunteer(), route="own-page-times"), told(phone="Kept as typed") | typed)

    text = answer.content.decode()
    assert answer.status_code == 422 and sentence in text and "Kept as typed" in text
    assert not WeeklyWindow.objects.exists() and not Away.objects.exists()


def test_it_shows_shifts_clearances_and_hours(stranger, make_assignment, make_shift, make_clinic, make_volunteer):
    imara = make_volunteer("Imara Venn")
    Clearance.objects.filter(kind__code="conduct").update(expires_on=clock.today() + timedelta(days=9))
    make_assignment(make_shift(make_clinic(days=-10)), imara)
    coming = make_assignment(make_shift(make_clinic(days=10)), imara, reply=Reply.NEEDS_ACTION)

    page = stranger.get(address(imara)).content.decode()

    assert "You’ve given 2 hours at 1 clinic" in page
    assert coming.shift.clinic.center.name in page and "Say yes or no" in page
    assert "please renew it" in page


def test_the_feed_lists_her_shifts_and_a_new_address_ends_the_old(stranger, make_assignment):
    row = make_assignment()
    feed = address(row.volunteer, "feed", "own-feed", counter=0)

    calendar = Calendar.from_ical(stranger.get(feed).content)
    (event,) = calendar.walk("VEVENT")
    # RFC 5546 section 3.2.1: PUBLISH carries no attendee.
    assert calendar["METHOD"] == "PUBLISH" and "ATTENDEE" not in event
    assert event.decoded("DTSTART") == row.shift.clinic.starts_at and event["STATUS"] == "CONFIRMED"

    stranger.post(address(row.volunteer, route="own-feed-renew"))

    assert stranger.get(feed).status_code == 410


def test_where_somebody_is_a_backup_stands_apart_from_their_shifts(
    stranger, make_volunteer, make_clinic, make_shift, make_assignment, now
):
    who = make_volunteer()
    mine, other, over = make_clinic(days=3), make_clinic(days=5), make_clinic(days=-2)
    make_assignment(make_shift(mine), who)
    for clinic in (other, over):
        Backup.objects.create(clinic=clinic, duty_id="coach", volunteer=who, since=now)

    seen = own_page(who, now, clock.today())

    assert [one.where for one in seen.shifts] == [mine.center.name]
    (backup,) = seen.backups
    assert (backup.where, backup.duty) == (other.center.name, "coach")
    assert stranger.get(backup.link).status_code == 200


def test_leaving_takes_a_tick_frees_the_shifts_and_ends_the_links(stranger, make_assignment):
    row = make_assignment()
    page, leave = address(row.volunteer), address(row.volunteer, route="own-page-leave")
    stranger.post(leave)
    row.volunteer.refresh_from_db()
    assert row.volunteer.left_on is None

    answer = stranger.post(leave, {"sure": "yes"})

    row.volunteer.refresh_from_db()
    assert "You’re no longer a volunteer" in answer.content.decode()
    assert row.volunteer.left_on == clock.today() and not Assignment.objects.live().exists()
    assert stranger.get(page).status_code == 410


def test_one_persons_link_opens_no_others_page_and_an_altered_one_none(stranger, make_volunteer):
    make_volunteer("Somebody Else", phone="555-0199")
    imara = make_volunteer("Imara Venn")

    page = stranger.get(address(imara)).content.decode()

    assert "Imara" in page and "555-0199" not in page
    assert stranger.get(address(imara)[:-5] + "/").status_code == 404


def test_staff_send_the_link_and_the_link_works(
    stranger, coordinator, floor_lead, signed_in, make_volunteer, mailoutbox
):
    imara = make_volunteer("Imara Venn")
    assert signed_in(floor_lead).post(reverse("own-page-send", args=[imara.pk])).status_code == 403
    signed_in(coordinator).post(reverse("own-page-send", args=[imara.pk]))
    assert Note.objects.get().kind == OWN_PAGE

    send_due()

    path = next(word for word in mailoutbox[0].body.split() if "/v/" in word).split("testserver", 1)[1]
    assert "Hello Imara" in stranger.get(path).content.decode()


ACTIONS = {
    "own-page-times": {"phone": "555-0121"},
    "own-page-details": {"name": "Imara Oake", "email": "imara.new@example.org", "home_area": ""},
    "own-feed-renew": {},
    "own-page-leave": {"sure": "yes"},
}


def everything():
    tables: list[Any] = [Volunteer, AddressChange, Away, Limits, WeeklyWindow, Assignment, Note]
    return {table.__name__: sorted(map(repr, table.objects.values_list())) for table in tables}


def test_every_address_under_the_own_page_is_one_of_its_actions():
    names = {
        one.name
        for part in get_resolver().url_patterns
        for one in getattr(part, "url_patterns", [])
        if str(one.pattern).startswith("v/")
    }
    assert names == {"own-page", *ACTIONS}


@pytest.mark.parametrize("action", ACTIONS)
def test_a_get_of_an_action_does_nothing_and_is_sent_on_to_the_page_and_a_post_does_it(
    stranger, make_assignment, action
):
    imara = make_assignment().volunteer
    before, where = everything(), address(imara, route=action)
    for ask in (stranger.get, stranger.head):
        answer = ask(where, ACTIONS[action])
        assert answer.status_code == 302 and answer["Location"] == address(imara)
    assert stranger.put(where).status_code == 405 and stranger.post(address(imara)).status_code == 405
    assert everything() == before

    answer = stranger.post(where, ACTIONS[action])
    if action == "own-page-leave":
        assert "You’re no longer a volunteer" in answer.content.decode()
    else:
        assert answer.status_code == 302 and answer["Location"] == address(imara)
    assert everything() != before


@pytest.mark.parametrize("action", ACTIONS)
def test_a_link_that_cant_be_used_does_nothing_at_an_actions_address(stranger, make_assignment, action):
    imara = make_assignment().volunteer
    link, another = address(imara, route=action), address(imara, "feed", route=action)
    token = link.split("/")[2]
    altered = link.replace(token, token[:-1] + ("A" if token[-1] != "A" else "B"))
    Volunteer.objects.update(link_counter=imara.link_counter + 1)
    before = everything()
    for where, status in ((reverse(action, args=["made-up"]), 404), (altered, 404), (another, 404), (link, 410)):
        for ask in (stranger.post, stranger.get):
            # A caller of its own each time: after many that don't work an address has to wait.
            answer = ask(where, ACTIONS[action], REMOTE_ADDR=f"198.51.100.{list(ACTIONS).index(action)}")
            assert answer.status_code == status and "Imara" not in answer.content.decode()
    assert everything() == before


def test_each_form_of_the_page_sends_to_its_own_address_and_keeps_doing_so_when_it_was_refused(
    stranger, make_volunteer
):
    imara = make_volunteer("Imara Venn")
    page = stranger.get(address(imara)).content.decode()
    refused = stranger.post(address(imara, route="own-page-times"), told(hours_a_month="-1"))

    assert refused.status_code == 422
    for action in ACTIONS:
        assert f'action="{address(imara, route=action)}"' in page
        assert f'action="{address(imara, route=action)}"' in refused.content.decode()
