"""Each reason against somebody's taking a shift, in words: as a line under their name, or as a sentence about them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from django.utils.translation import gettext, gettext_lazy

from core.formats import amount, clock_time, counted, long_day, short_date, short_day
from people.words.standing import kind_words
from shifts.rules.eligibility_reasons import (
    AlreadyThere,
    Apart,
    AskedEnough,
    Away,
    Declined,
    DutyNotHeld,
    Elsewhere,
    Engagement,
    Hours,
    Left,
    NotCleared,
    Reason,
    Shifts,
    TooFar,
    TooLate,
    UnderAge,
    Window,
)

__all__ = ["sentence", "words"]

DAYS = (
    gettext_lazy("Mondays"),
    gettext_lazy("Tuesdays"),
    gettext_lazy("Wednesdays"),
    gettext_lazy("Thursdays"),
    gettext_lazy("Fridays"),
    gettext_lazy("Saturdays"),
    gettext_lazy("Sundays"),
)


def words(reason: Reason, today: date | None = None) -> str:
    """Say one reason as a line. ``today`` decides which clearances have expired by now; without it none has."""
    match reason:
        case Left(day):
            return gettext("left on %(day)s") % {"day": short_date(day)}
        case UnderAge():
            return gettext("under 18, so a helper only")
        case DutyNotHeld(name):
            return (
                gettext("doesn’t have this duty: %(duty)s") % {"duty": name}
                if name
                else gettext("doesn’t have this duty")
            )
        case NotCleared(kind, day):
            return kind_words(kind.name, kind.state, kind.last_day, day, today)
        case AlreadyThere(shift):
            return _on_this_clinic(shift)
        case Elsewhere(shift):
            return _elsewhere(shift)
        case TooLate(shift):
            facts = {"where": _where(shift), "minutes": counted(reason.minutes, "minute")}
            if shift.planned:
                return gettext("can’t get here in time from %(where)s (%(minutes)s by road), in this plan") % facts
            return gettext("can’t get here in time from %(where)s (%(minutes)s by road)") % facts
        case Shifts() | Hours() | TooFar() | AskedEnough():
            return _limit(reason)
        case Away() | Window() | Apart() | Declined():
            return _told(reason)


def _told(reason: Away | Window | Apart | Declined) -> str:
    match reason:
        case Away(first, last):
            if first == last:
                return gettext("away %(day)s") % {"day": short_day(first)}
            return gettext("away %(first)s through %(last)s") % {"first": short_day(first), "last": short_day(last)}
        case Window(weekday, hours):
            if hours is None:
                return gettext("not available on %(weekdays)s") % {"weekdays": DAYS[weekday]}
            return gettext("available on %(weekdays)s only from %(start)s to %(end)s") % {
                "weekdays": DAYS[weekday],
                "start": clock_time(hours[0]),
                "end": clock_time(hours[1]),
            }
        case Apart(name):
            return gettext("set to be kept apart from %(name)s") % {"name": name or gettext("someone there")}
        case Declined():
            return gettext("said no to this clinic")


def _limit(reason: Shifts | Hours | TooFar | AskedEnough) -> str:
    match reason:
        case Shifts(has, most):
            facts = {"shifts": counted(has, "shift"), "most": amount(most)}
            return gettext("already has %(shifts)s that month (limit %(most)s)") % facts
        case Hours(_, most):
            return gettext("would go over %(hours)s that month, travel included") % {"hours": counted(most, "hour")}
        case TooFar(km, most):
            return gettext("%(km)s km away (limit %(most)s km)") % {"km": f"{km:.0f}", "most": amount(most)}
        case AskedEnough(planned):
            if planned:
                return gettext("already has the most unanswered requests allowed, in this plan")
            return gettext("already has the most unanswered requests allowed")


def _on_this_clinic(shift: Engagement) -> str:
    if shift.planned:
        return gettext("already on this clinic, in this plan")
    if not shift.duty:
        return gettext("already on this clinic")
    return gettext("already on this clinic as %(duty)s (%(reply)s)") % {"duty": shift.duty, "reply": shift.reply}


def _elsewhere(shift: Engagement) -> str:
    if shift.planned:
        return gettext("at %(where)s, in this plan") % {"where": _where(shift)}
    if not shift.duty:
        return gettext("at %(where)s") % {"where": _where(shift)}
    facts = {"where": _where(shift), "duty": shift.duty, "reply": shift.reply}
    return gettext("at %(where)s, as %(duty)s (%(reply)s)") % facts


def _where(shift: Engagement) -> str:
    return shift.where or gettext("another clinic")


def sentence(name: str, reasons: Sequence[Reason], today: date | None = None) -> str:
    """Say the reasons, all of one code, about the person called ``name``: a sentence for each.

    The clearances of one day are one sentence.
    """
    match reasons[0]:
        case NotCleared(_, day):
            told = "; ".join(words(reason, today) for reason in reasons)
            facts = {"name": name, "day": long_day(day), "reasons": told}
            return gettext("%(name)s isn’t cleared on %(day)s: %(reasons)s.") % facts
        case _:
            return " ".join(_about(name, reason, today) for reason in reasons)


def _about(name: str, reason: Reason, today: date | None) -> str:
    facts = {"name": name, "reason": words(reason, today)}
    match reason:
        case Left(day):
            return gettext("%(name)s left on %(day)s.") % {"name": name, "day": short_date(day)}
        case UnderAge():
            return gettext("%(name)s is under 18, so a helper only.") % facts
        case DutyNotHeld(duty):
            if not duty:
                return gettext("%(name)s doesn’t have this duty.") % facts
            return gettext("%(name)s doesn’t have this duty: %(duty)s.") % {"name": name, "duty": duty}
        case AlreadyThere() | Elsewhere():
            return gettext("%(name)s is %(reason)s.") % facts
        case _:
            return gettext("%(name)s: %(reason)s.") % facts
