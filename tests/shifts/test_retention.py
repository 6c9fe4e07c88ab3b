"""Forgetting who left long ago: what names them goes, what was done stays, and only the number is remembered."""

import io
from datetime import date

import pytest
from django.core.management import call_command

from core import clock
from outbox.models import Note
from people.models import Clearance, ClearanceEvent, Purge, Volunteer
from people.services.retention import purge_leavers
from shifts.models import Assignment
from shifts.services.own_page import send_own_page


@pytest.fixture
def left(make_assignment, make_volunteer):
    row = make_assignment(volunteer=make_volunteer("Imara Venn", phone="555-0121", home_area="Mill Green"))
    Volunteer.objects.update(left_on=date(2024, 2, 29))
    return row.volunteer


@pytest.mark.parametrize(("today", "gone"), [(date(2026, 2, 28), 0), (date(2026, 3, 1), 1)])
def test_months_are_calendar_months(left, today, gone):
    assert purge_leavers(today=today, months=24, now=clock.now()) == gone


def test_what_names_somebody_goes_and_hours_stay(left):
    send_own_page(volunteer=left, now=clock.now())
    purge_leavers(today=date(2030, 1, 1), months=24, now=clock.now())

    left.refresh_from_db()
    facts = " ".join(str(value) for value in left.__dict__.values())
    for word in ("Imara", "555-0121", "Mill Green", "volunteer1@"):
        assert word not in facts
    assert not Clearance.objects.exists() and not ClearanceEvent.objects.exists()
    assert Assignment.objects.count() == 1 and not Note.objects.exists()
    assert purge_leavers(today=date(2030, 1, 1), months=24, now=clock.now()) == 0
    assert [(purge.what, purge.count) for purge in Purge.objects.all()] == [("volunteers who left", 1)]


def test_a_dry_run_counts_and_forgets_nobody(left, settings):
    settings.RETENTION_MONTHS = 1
    out = io.StringIO()
    call_command("purge", "--dry-run", stdout=out)
    assert "1 person who left" in out.getvalue() and Clearance.objects.exists()

    call_command("purge", stdout=out)
    assert "Deleted" in out.getvalue() and not Clearance.objects.exists()
