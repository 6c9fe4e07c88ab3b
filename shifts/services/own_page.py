"""What a volunteer changes on their own page: time, limits, mail, and the feed's address."""

from dataclasses import dataclass, field
from datetime import date, datetime, time

from django.db import transaction
from django.utils.translation import gettext, ngettext

from core.refusal import Reason, Refusal
from outbox.services.writing import drop_waiting, write_note
from people.models import Volunteer
from shifts.letters.own_page import OWN_PAGE
from shifts.letters.shifts import REMINDER
from shifts.models import Away, Limits, Weekday, WeeklyWindow

__all__ = ["TimeFacts", "renew_feed", "save_time", "send_own_page"]

MOST_AWAY = 40


@dataclass(frozen=True)
class TimeFacts:
    windows: dict[int, tuple[time, time]] = field(default_factory=dict)
    away: list[tuple[date, date]] = field(default_factory=list)
    shifts_a_month: int | None = None
    hours_a_month: int | None = None
    farthest_km: int | None = None
    reminders: bool = True
    phone: str = ""


@transaction.atomic
def save_time(*, volunteer: Volunteer, facts: TimeFacts) -> None:
    """Write what the volunteer told us of time and mail, in place of what they told before. They keep their shifts.

    Raises Refusal "backwards", "away backwards" or "too many", each at its field.
    """
    reasons = [
        Reason(
            "backwards",
            gettext("The end is before the start. Check both times for %(day)s.") % {"day": Weekday(weekday).label},
            f"from_{weekday}",
        )
        for weekday, (starts, ends) in facts.windows.items()
        if ends <= starts
    ]
    if any(last < first for first, last in facts.away):
        text = gettext("Your last day away is before your first. Check the dates.")
        reasons.append(Reason("away backwards", text, "away_from"))
    if len(facts.away) > MOST_AWAY:
        text = ngettext("You can save up to %(n)d time away.", "You can save up to %(n)d times away.", MOST_AWAY)
        reasons.append(Reason("too many", text % {"n": MOST_AWAY}, "away_from"))
    if reasons:
        raise Refusal(*reasons)
    Volunteer.objects.filter(pk=volunteer.pk).update(reminders=facts.reminders, phone=facts.phone)
    if not facts.reminders:
        drop_waiting(why=gettext("This person turned off reminders."), about=volunteer, kinds=[REMINDER])
    WeeklyWindow.objects.filter(volunteer=volunteer).delete()
    WeeklyWindow.objects.bulk_create(
        WeeklyWindow(volunteer=volunteer, weekday=day, starts=starts, ends=ends)
        for day, (starts, ends) in facts.windows.items()
    )
    Away.objects.filter(volunteer=volunteer).delete()
    Away.objects.bulk_create(
        Away(volunteer=volunteer, first_day=first, last_day=last) for first, last in sorted(set(facts.away))
    )
    Limits.objects.update_or_create(
        volunteer=volunteer,
        defaults={
            "shifts_a_month": facts.shifts_a_month,
            "hours_a_month": facts.hours_a_month,
            "farthest_km": facts.farthest_km,
        },
    )


@transaction.atomic
def renew_feed(*, volunteer: Volunteer) -> Volunteer:
    """Give the calendar feed a new private address; the old one stops."""
    row = Volunteer.objects.select_for_update(no_key=True).get(pk=volunteer.pk)
    row.feed_counter += 1
    row.save(update_fields=["feed_counter"])
    return row


@transaction.atomic
def send_own_page(*, volunteer: Volunteer, now: datetime) -> None:
    """Mail the volunteer the link to their own page; at most one in a minute."""
    write_note(
        key=f"{OWN_PAGE}:volunteer {volunteer.pk}:{now:%Y-%m-%dT%H:%M}",
        kind=OWN_PAGE,
        to_name=volunteer.name,
        to_email=volunteer.email,
        summary=gettext("Link to their volunteer page, to %(name)s") % {"name": volunteer},
        due_at=now,
        about=[volunteer],
    )
