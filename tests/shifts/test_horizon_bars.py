"""A bar through a change of policy, and a horizon that keeps to what was chosen."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from core import clock
from people.models import Clearance, PolicyRow
from people.rules.evidence import Clearance as Record
from people.rules.evidence import PolicyRow as Row
from people.rules.timeline import Timeline
from shifts.rules.axis import Axis
from shifts.rules.bars import Bar, Stretch, Told, draw_bar
from shifts.words.bars import bar_words

START, END = date(2026, 11, 1), date(2027, 1, 1)
AXIS = Axis(START, END, 610)  # 61 days, ten units each
TODAY = date(2026, 11, 25)


def timeline(*issued: date, months: int | None = 1, state: str = "clear") -> Timeline:
    return Timeline([Record("x", state, day) for day in issued], Row("coach", "x", months, notice_days=7))


def bar(*stretches: Stretch) -> Bar:
    return draw_bar("training", "x", 1, stretches, AXIS, TODAY)


def test_current_days_and_out_of_date_fill_the_drawing_without_a_gap():
    drawn = bar(Stretch(START, END, timeline(date(2026, 11, 11))))  # current through 11 December

    assert drawn.bad == [(0, 100), (410, 200)] and drawn.good == [(100, 310)]
    assert (drawn.told, drawn.expires_on) == (Told("until", date(2026, 12, 11)), date(2026, 12, 11))
    assert drawn.good_path == "M100.0 32h310.0v20h-310.0z"


def test_two_runs_stand_apart():
    drawn = bar(Stretch(START, END, timeline(date(2026, 10, 5), date(2026, 11, 21))))

    assert drawn.good == [(0, 50), (200, 310)] and drawn.bad == [(50, 150), (510, 100)]


def test_a_new_policy_shortens_the_bar_from_its_own_day_and_the_word_says_so():
    issued, change = date(2026, 8, 1), date(2026, 12, 1)
    drawn = bar(
        Stretch(START, change, timeline(issued, months=12)),
        Stretch(change, END, timeline(issued, months=2)),
    )

    assert drawn.good == [(0, 300)] and drawn.bad == [(300, 310)]
    last = date(2026, 11, 30)
    assert (drawn.told, drawn.expires_on, drawn.soon) == (Told("expires", last), last, True)


def test_a_policy_that_changes_nothing_for_somebody_leaves_one_bar():
    issued, change = date(2026, 11, 1), date(2026, 12, 1)
    drawn = bar(
        Stretch(START, change, timeline(issued, months=12)),
        Stretch(change, END, timeline(issued, months=6)),
    )

    assert drawn.good == [(0, 610)] and drawn.bad == []
    assert drawn.told == Told("until", date(2027, 5, 1))


def test_what_is_only_asked_later_has_no_bar_before():
    change = date(2026, 12, 1)
    missing = bar(Stretch(START, change, None), Stretch(change, END, timeline()))
    ready = bar(Stretch(START, change, None), Stretch(change, END, timeline(date(2026, 11, 20), months=None)))

    assert missing.bad == [(300, 310)] and missing.good == []
    told = Told("asked from", change)
    assert (missing.told, missing.expires_on, missing.soon) == (told, date(2026, 11, 30), True)
    assert ready.good == [(300, 310)] and (ready.told, ready.soon) == (told, False)


def test_what_is_no_longer_asked_ends_without_an_expiry():
    change = date(2026, 12, 1)
    drawn = bar(Stretch(START, change, timeline(date(2026, 11, 11))), Stretch(change, END, None))

    assert drawn.good == [(100, 200)] and drawn.bad == [(0, 100)]
    assert (drawn.told, drawn.expires_on) == (Told(), None)


@pytest.mark.parametrize(
    ("given", "told", "words"),
    [
        (timeline(), Told("missing"), "none on file"),
        (timeline(date(2026, 11, 3), state="awaiting"), Told("awaiting"), "waiting for result"),
        (timeline(date(2026, 11, 3), state="refused"), Told("refused"), "not cleared"),
        (timeline(date(2026, 10, 3)), Told("expired", date(2026, 11, 3)), "expired Nov 3, 2026"),
    ],
)
def test_what_is_out_of_date_today_says_why(given, told, words):
    drawn = bar(Stretch(START, END, given))

    assert drawn.told == told and drawn.trouble
    assert bar_words(drawn.told) == words


def test_a_withdrawn_one_is_told_from_one_that_never_was():
    records = [Record("x", "clear", date(2026, 11, 3)), Record("x", "withdrawn", date(2026, 11, 20))]
    drawn = bar(Stretch(START, END, Timeline(records, Row("coach", "x", 12))))

    assert drawn.told == Told("withdrawn", date(2026, 11, 20)) and drawn.trouble


def test_what_a_place_asks_has_a_bar_for_whoever_comes_there(
    admin, signed_in, make_assignment, make_shift, make_clinic, make_space, make_center, make_volunteer, policy
):
    school = make_space(make_center(place="school district"))
    PolicyRow.objects.create(duty_id="coach", kind=policy["first_aid"], months=24, place="school district")
    make_assignment(make_shift(make_clinic(school)), make_volunteer("Imara Venn"))
    make_volunteer("Tobiah Quill")

    page = signed_in(admin).get(reverse("horizon")).content.decode()

    titles = {text.split("</title>")[0] for text in page.split('<title id="row-')[1:]}
    assert any("Imara" in t and "First-aid certificate: none on file" in t for t in titles)
    assert not any("Tobiah" in t and "First-aid" in t for t in titles)


def test_the_page_draws_a_policy_that_has_not_begun(admin, signed_in, make_assignment, make_shift, make_clinic, policy):
    row = make_assignment(make_shift(make_clinic(days=40)))
    PolicyRow.objects.create(
        duty_id="coach", kind=policy["first_aid"], months=24, from_day=clock.today() + timedelta(days=30)
    )

    page = signed_in(admin).get(reverse("horizon")).content.decode()

    title = page[page.index('<title id="row-') :].split("</title>")[0]
    assert row.volunteer.name in title and "First-aid certificate: required from" in title
    assert "no first-aid certificate on file" in title


@pytest.fixture
def two_break(make_assignment, make_shift, make_clinic, make_volunteer):
    """A coach and a door adult whose conduct training expires before their clinic."""
    clinic = make_clinic(days=20)
    for name, duty in (("Tobiah Quill", "coach"), ("Fenella Brook", "door")):
        make_assignment(make_shift(clinic, duty), make_volunteer(name, duties=(duty,)))
    Clearance.objects.filter(kind__code="conduct").update(expires_on=clinic.day - timedelta(days=4))
    return clinic


def test_the_sentences_keep_to_those_who_were_chosen(two_break, coordinator, signed_in):
    client = signed_in(coordinator)
    assert "2 volunteers have a clearance that expires" in client.get(reverse("horizon")).content.decode()

    page = client.get(reverse("horizon") + "?duty=door").content.decode()

    assert "1 volunteer in this list has a clearance that expires" in page
    assert "Fenella Brook" in page and "Tobiah Quill" not in page
    assert (
        "No one in this list has a clearance that expires"
        in client.get(reverse("horizon") + "?duty=lead").content.decode()
    )


def test_somebody_who_left_stays_in_sight_while_a_clinic_counts_on_them(two_break, coordinator, signed_in):
    row = two_break.shifts.get(duty__code="coach").assignments.get()
    row.volunteer.left_on = clock.today()
    row.volunteer.save()

    page = signed_in(coordinator).get(reverse("horizon")).content.decode()

    assert ">Tobiah Quill</a></b>" in page


def test_a_renewal_leads_back_to_the_narrowed_page(two_break, admin, signed_in):
    page = signed_in(admin).get(reverse("horizon") + "?duty=door&show=breaking").content.decode()

    assert page.count("next=/horizon/%3Fduty%3Ddoor%26show%3Dbreaking") == 2


def test_duties_that_ask_for_different_months_sort_by_the_soonest(admin, signed_in, make_volunteer, policy):
    PolicyRow.objects.filter(duty__code="door", kind=policy["conduct"]).update(months=3)
    make_volunteer("Aaron Early", duties=("coach",))
    make_volunteer("Zelda Late", duties=("coach", "door"))

    page = signed_in(admin).get(reverse("horizon")).content.decode()
    drawing = page[page.index('class="horizon"') :]

    assert drawing.index("Zelda Late") < drawing.index("Aaron Early")


def test_a_name_is_never_markup(two_break, admin, signed_in):
    two_break.center.name = "<b>Hall</b>"
    two_break.center.save()
    policy_kind = Clearance.objects.filter(kind__code="conduct")[0].kind
    policy_kind.name = "<i>conduct</i>"
    policy_kind.save()

    page = signed_in(admin).get(reverse("horizon")).content.decode()

    assert "<b>Hall</b>" not in page and "<i>conduct</i>" not in page and "&lt;i&gt;conduct" in page


def test_a_floor_lead_is_told_no_and_a_stranger_signs_in(floor_lead, stranger, signed_in):
    for name in ("horizon", "horizon-csv"):
        assert signed_in(floor_lead).get(reverse(name)).status_code == 403
        assert stranger.get(reverse(name))["Location"].startswith("/log-in/")
