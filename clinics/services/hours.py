"""Writing when a center is open, and the days on which it is closed."""

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta

import holidays
from django.conf import settings
from django.db import transaction
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from clinics.models import Center, Clinic, ClosedDays, OpenHours
from core.refusal import Reason, Refusal

__all__ = ["add_closed_days", "clinics_on_closed_days", "public_holidays", "set_hours"]

MOST_CLOSED = 500
CLOSES_FIRST = _("The closing time is before the opening time. Check both times.")
AFTER_MIDNIGHT = _(
    "The closing time is before the opening time. Hours past midnight belong to the next day: end this day at 23:59, "
    "and enter the rest for the next day."
)


@transaction.atomic
def set_hours(*, center: Center, hours: dict[int, tuple[time, time]]) -> None:
    """Replace a center's hours by weekday (Monday 0). A center without any may be asked for any hour.

    Raises Refusal "closes first" for a day that closes before it opens.
    """
    reasons = [
        Reason("closes first", str(AFTER_MIDNIGHT if closes < time(6) else CLOSES_FIRST), f"opens_{day}")
        for day, (opens, closes) in hours.items()
        if closes <= opens
    ]
    if reasons:
        raise Refusal(*reasons)
    OpenHours.objects.filter(center=center).delete()
    OpenHours.objects.bulk_create(
        OpenHours(center=center, weekday=day, opens=opens, closes=closes) for day, (opens, closes) in hours.items()
    )


@transaction.atomic
def add_closed_days(*, center: Center, days: Iterable[tuple[date, date, str]], today: date) -> int:
    """Add sets of closed days, each (first, last, why); returns how many are new. Those already there stay once.

    Only sets that are not over by ``today`` count toward the most that a center may keep. Raises Refusal
    "backwards" or "too many".
    """
    wanted = {(first, last): why for first, last, why in days}
    if any(last < first for first, last in wanted):
        words = gettext("The last day is before the first. Enter a later date.")
        raise Refusal.because("backwards", words, "last_day")
    Center.objects.select_for_update(no_key=True).get(pk=center.pk)
    known = set(ClosedDays.objects.filter(center=center).values_list("first_day", "last_day"))
    new = {span: why for span, why in wanted.items() if span not in known}
    if sum(last >= today for _, last in known | set(new)) > MOST_CLOSED:
        words = ngettext(
            "You can save up to %(n)d set of upcoming closed days. Remove some or add fewer.",
            "You can save up to %(n)d sets of upcoming closed days. Remove some or add fewer.",
            MOST_CLOSED,
        )
        raise Refusal.because("too many", words % {"n": MOST_CLOSED}, "first_day")
    ClosedDays.objects.bulk_create(
        ClosedDays(center=center, first_day=first, last_day=last, why=why[:120]) for (first, last), why in new.items()
    )
    return len(new)


def clinics_on_closed_days(center: Center, days: Iterable[tuple[date, date, str]], now: datetime) -> list[Clinic]:
    """List the center's coming clinics on any of these days, soonest first. Closing the center does not move them."""
    stretches = list(days)
    rows = Clinic.objects.live().filter(center=center, starts_at__gt=now).select_related("center")
    return [
        clinic
        for clinic in rows.order_by("starts_at")
        if any(first <= clinic.day <= last for first, last, _ in stretches)
    ]


def public_holidays(today: date) -> list[tuple[date, str]]:
    """List the public holidays of the coming year where the organization is, for someone to choose from."""
    end = today + timedelta(days=365)
    place = settings.HOLIDAYS_SUBDIVISION or None
    found = holidays.country_holidays(settings.HOLIDAYS_COUNTRY, subdiv=place, years=[today.year, end.year])
    return sorted((day, name) for day, name in found.items() if today <= day <= end)
