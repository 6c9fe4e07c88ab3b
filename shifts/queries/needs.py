"""Who can't stand, who needs a second look, who would like to help, who would swap."""

from collections.abc import Iterator
from datetime import date, datetime

from django.urls import reverse

from clinics.needs import STANDING_DAYS, Desk, Need
from people.models import Application, Clearance, ClearanceState
from shifts.models import Reply
from shifts.queries.horizon import broken_assignments
from shifts.queries.standby_swaps import open_swaps


def all_people_needs(desk: Desk) -> Iterator[Need]:
    """Answers ``clinics.needs.needs``."""
    yield from standing_needs(desk.now)
    yield from second_look_needs(desk.today)
    yield from application_needs(desk.today)
    yield from swap_needs(desk.now)


def standing_needs(now: datetime) -> Iterator[Need]:
    """Coming shifts whose person can't stand on the clinic's day."""
    for broken in broken_assignments(now, days=STANDING_DAYS):
        row = broken.assignment
        clinic = row.shift.clinic
        state = "accepted" if row.reply == Reply.ACCEPTED else "was asked"
        yield Need(
            day=clinic.day,
            rank=0,
            headline=f"{row.volunteer} can't stand at {clinic.center.name}",
            detail=f"{row.shift.duty_name.capitalize()}, {state}: {'; '.join(broken.words)}.",
            action_label="See who could",
            action_href=reverse("shift-who", args=[row.shift_id]),
        )


def second_look_needs(today: date) -> Iterator[Need]:
    """Refused results that a second person has not confirmed."""
    rows = Clearance.objects.filter(state=ClearanceState.REFUSED, confirmed_at__isnull=True)
    for row in rows.select_related("volunteer", "kind"):
        yield Need(
            day=today,
            rank=0,
            headline=f"A result of {row.volunteer} needs a second person",
            detail=f"{str(row.kind).capitalize()}: nobody is told until somebody else confirms what was recorded.",
            action_label="Open the person",
            action_href=reverse("volunteer", args=[row.volunteer_id]),
        )


def application_needs(today: date) -> Iterator[Need]:
    """Applications that wait for the office."""
    count = Application.objects.filter(state=Application.State.NEW).count()
    if count:
        yield Need(
            day=today,
            rank=6,
            headline=f"{count} {'person would' if count == 1 else 'people would'} like to help",
            detail="They have confirmed their address and wait for an answer.",
            action_label="Look at them",
            action_href=reverse("applications"),
        )


def swap_needs(now: datetime) -> Iterator[Need]:
    """Swaps that both volunteers agreed on and the office has not settled."""
    for swap in open_swaps().filter(assignment__shift__clinic__starts_at__gt=now):
        held = swap.assignment
        clinic = held.shift.clinic
        yield Need(
            day=clinic.day,
            rank=2,
            headline=f"{held.volunteer} and {swap.to} would swap",
            detail=f"{held.shift.duty_name.capitalize()} at {clinic.center.name}: both agree, and it waits for you.",
            action_label="Open the clinic",
            action_href=reverse("clinic", args=[clinic.pk]),
        )
