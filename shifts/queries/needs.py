"""Who isn't cleared, whose result needs a second look, who would like to help, who would swap."""

from collections.abc import Iterator
from datetime import date, datetime

from django.urls import reverse
from django.utils.translation import gettext, ngettext

from clinics.needs import STANDING_DAYS, Desk, Need
from people.models import Application, Clearance, ClearanceState
from shifts.queries.backup_swaps import open_swaps
from shifts.queries.horizon import broken_assignments


def all_people_needs(desk: Desk) -> Iterator[Need]:
    """Answers ``clinics.needs.needs``."""
    yield from standing_needs(desk.now)
    yield from second_look_needs(desk.today)
    yield from application_needs(desk.today)
    yield from swap_needs(desk.now)


def standing_needs(now: datetime) -> Iterator[Need]:
    """Coming shifts whose person isn't cleared on the clinic's day."""
    for broken in broken_assignments(now, days=STANDING_DAYS):
        row = broken.assignment
        clinic = row.shift.clinic
        yield Need(
            day=clinic.day,
            rank=0,
            headline=gettext("%(volunteer)s isn’t cleared for %(center)s")
            % {"volunteer": row.volunteer, "center": clinic.center.name},
            detail=gettext("%(duty)s, %(reply)s: %(why)s.")
            % {
                "duty": row.shift.duty_name.capitalize(),
                "reply": row.get_reply_display(),
                "why": "; ".join(broken.words),
            },
            action_label=gettext("Find someone"),
            action_href=reverse("shift-who", args=[row.shift_id]),
        )


def second_look_needs(today: date) -> Iterator[Need]:
    """Refused results that a second person has not confirmed."""
    rows = Clearance.objects.filter(state=ClearanceState.REFUSED, confirmed_at__isnull=True)
    for row in rows.select_related("volunteer", "kind"):
        yield Need(
            day=today,
            rank=0,
            headline=gettext("%(volunteer)s’s result needs a second admin") % {"volunteer": row.volunteer},
            detail=gettext("%(clearance)s: no one is notified until another admin confirms it.")
            % {"clearance": str(row.kind).capitalize()},
            action_label=gettext("Open record"),
            action_href=reverse("volunteer", args=[row.volunteer_id]),
        )


def application_needs(today: date) -> Iterator[Need]:
    """Applications that wait for the office."""
    count = Application.objects.filter(state=Application.State.NEW).count()
    if count:
        yield Need(
            day=today,
            rank=6,
            headline=ngettext("%(n)d person would like to help", "%(n)d people would like to help", count)
            % {"n": count},
            detail=gettext("They’ve confirmed their email and are waiting for your answer."),
            action_label=gettext("Review applications"),
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
            headline=gettext("%(one)s and %(other)s want to swap") % {"one": held.volunteer, "other": swap.to},
            detail=gettext("%(duty)s at %(center)s: both agree. It needs your approval.")
            % {"duty": held.shift.duty_name.capitalize(), "center": clinic.center.name},
            action_label=gettext("Open clinic"),
            action_href=reverse("clinic", args=[clinic.pk]),
        )
