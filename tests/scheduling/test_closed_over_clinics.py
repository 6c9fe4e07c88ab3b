"""A center closes over what is booked, and hours that reach over midnight."""

from dataclasses import replace
from datetime import date, time, timedelta

import pytest
from django.urls import reverse

from clinics.models import Clinic, ClosedDays
from clinics.services.hours import add_closed_days, set_hours
from core import clock
from core.refusal import Refusal
from core.rules.local_time import localize
from scheduling.models import Booking
from scheduling.queries.conflicts import closed_then
from scheduling.services.changing import change_clinic
from scheduling.services.clinic_facts import facts_of
from scheduling.services.series import look_at_series


@pytest.fixture
def closed(make_clinic):
    """A confirmed clinic on a day that its center has closed since."""
    clinic = make_clinic(days=10)
    stretch = (clinic.day, clinic.day + timedelta(days=1), "Painting")
    add_closed_days(center=clinic.center, days=[stretch], today=clock.today())
    return clinic


def test_who_comes_is_changed_though_the_center_has_closed_the_day_since(closed, now):
    facts = replace(facts_of(closed), bands=[(7, 10, 9)], theme="Paper bridges")

    change_clinic(clinic=closed, facts=facts, now=now)

    fresh = Clinic.objects.get(pk=closed.pk)
    assert (fresh.children, fresh.theme, fresh.status) == (9, "Paper bridges", "confirmed")
    assert Booking.objects.live().get(clinic=closed).status == "confirmed"


@pytest.mark.parametrize("change", [{"ends": time(11, 45)}, {"day": 1}])
def test_no_more_of_a_closed_day_is_taken_than_is_held_already(closed, now, change):
    facts = facts_of(closed)
    change = change | ({"day": facts.day + timedelta(days=1)} if "day" in change else {})

    with pytest.raises(Refusal, match="is closed on"):
        change_clinic(clinic=closed, facts=replace(facts, **change), now=now)


def held(center, starts, ends):
    """What stands against a hold from Friday 4 December 2026 at ``starts`` until ``ends``, on Saturday if earlier."""
    day = date(2026, 12, 4)
    until = day if ends > starts else day + timedelta(days=1)
    return closed_then(center, localize(day, starts, center.tz), localize(until, ends, center.tz))


def test_a_hold_that_ends_at_midnight_does_not_touch_the_closed_day_after_it(make_center):
    center = make_center("Night Hall")
    ClosedDays.objects.create(center=center, first_day=date(2026, 12, 5), last_day=date(2026, 12, 6))

    assert held(center, time(21), time(0)) is None
    # The day that is named is the one on which it is closed.
    assert "Night Hall is closed on Saturday, December 5" in str(held(center, time(21), time(0, 15)))


def test_hours_past_midnight_that_are_given_to_two_days_are_open_hours(make_center):
    """The page that keeps hours says: end this one at 23:59, and give the next day the rest."""
    center = make_center("Night Hall")
    set_hours(center=center, hours={4: (time(18), time(23, 59)), 5: (time(0), time(2))})

    assert held(center, time(22, 30), time(0, 30)) is None and held(center, time(21), time(0)) is None
    assert "is open on Saturdays only from 00:00 to 02:00" in str(held(center, time(22, 30), time(2, 30)))
    assert "is open on Fridays only from 18:00 to 23:59" in str(held(center, time(17, 30), time(0, 30)))
    set_hours(center=center, hours={4: (time(18), time(23))})
    assert "only from 18:00 to 23:00" in str(held(center, time(22), time(0)))
    assert "only from 18:00 to 23:00" in str(held(center, time(22), time(0, 30)))
    set_hours(center=center, hours={4: (time(18), time(23, 59))})
    assert "is closed on Saturdays" in str(held(center, time(22), time(0, 30)))


@pytest.mark.parametrize("retired", ["space", "center"])
def test_a_clinic_in_a_space_that_is_no_longer_lent_is_changed_without_moving_it(
    make_clinic, coordinator, signed_in, now, retired
):
    clinic = make_clinic(days=10)
    held = Booking.objects.select_related("space__center").get(clinic=clinic)
    row = held.space if retired == "space" else clinic.center
    row.active = False
    row.save()
    client, address = signed_in(coordinator), reverse("clinic-change", args=[clinic.pk])
    assert f'value="{held.space_id}" selected' in client.get(address).content.decode()

    answer = client.post(
        address,
        {
            "center": clinic.center_id, "space": held.space_id, "day": clinic.day, "starts": "09:30", "ends": "11:30",
            "ratio_table": clinic.ratio_table, "youngest_1": 7, "oldest_1": 10, "children_1": 9,
        },
    )  # fmt: skip

    assert answer.status_code == 302 and Clinic.objects.get(pk=clinic.pk).children == 9
    # No other clinic is booked there any more, nor more like this one.
    (date_of_row,) = look_at_series(
        clinic=Clinic.objects.get(pk=clinic.pk), days=[clinic.day + timedelta(weeks=1)], now=now
    )
    assert date_of_row.refusal is not None and date_of_row.refusal.codes == {"no longer lent"}
    assert f'<option value="{held.space_id}"' not in client.get(reverse("clinic-new")).content.decode()
