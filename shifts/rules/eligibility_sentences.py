"""Each reason against somebody's taking a shift, in words: as a line under their name, or as a sentence about them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

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

DAYS = ("Mondays", "Tuesdays", "Wednesdays", "Thursdays", "Fridays", "Saturdays", "Sundays")


def words(reason: Reason, today: date | None = None) -> str:
    """Say one reason as a line. ``today`` decides which days are over and which years are named; without it none is."""
    match reason:
        case Left(day):
            return f"left on {_day(day, today)}"
        case UnderAge():
            return "under 18, so a helper only"
        case DutyNotHeld(name):
            return f"doesn't have this duty{f': {name}' if name else ''}"
        case NotCleared(kind, day):
            return kind_words(kind.name, kind.state, kind.last_day, day, today)
        case AlreadyThere(shift):
            return f"already on this clinic{_as(shift)}"
        case Elsewhere(shift):
            return f"at {_where(shift)}{_as(shift, ',')}"
        case TooLate(shift):
            drive = f"{reason.minutes} minute{'' if reason.minutes == 1 else 's'} by road"
            return f"can't get here in time from {_where(shift)} ({drive}){', in this plan' if shift.planned else ''}"
        case Away(first, last):
            return f"away {_day(first, today)}{'' if first == last else f' to {_day(last, today)}'}"
        case Window(weekday, hours):
            if hours is None:
                return f"not available on {DAYS[weekday]}"
            return f"available on {DAYS[weekday]} only from {hours[0]:%H:%M} to {hours[1]:%H:%M}"
        case Shifts(has, most):
            return f"already has {has} shift{'' if has == 1 else 's'} that month (limit {most})"
        case Hours(_, most):
            return f"would go over {most:g} hour{'' if most == 1 else 's'} that month, travel included"
        case TooFar(km, most):
            return f"{km:.0f} km away (limit {most:g} km)"
        case Apart(name):
            return f"set to be kept apart from {name}"
        case Declined():
            return "said no to this clinic"
        case AskedEnough(planned):
            return f"already has the most unanswered requests allowed{', in this plan' if planned else ''}"


def sentence(name: str, reasons: Sequence[Reason], today: date | None = None) -> str:
    """Say the reasons, all of one code, as one sentence about the person called ``name``."""
    told = "; ".join(words(reason, today) for reason in reasons)
    match reasons[0]:
        case NotCleared(_, day):
            return f"{name} isn't cleared on {day:%A}, {_day(day, today)}: {told}."
        case UnderAge() | AlreadyThere() | Elsewhere() | Away() | Window() | TooFar() | Apart():
            return f"{name} is {told}."
        case _:
            return f"{name} {told}."


def _day(day: date, today: date | None) -> str:
    year = f", {day.year}" if today is not None and day.year != today.year else ""
    return f"{day:%B} {day.day}{year}"


def _where(shift: Engagement) -> str:
    return shift.where or "another clinic"


def _as(shift: Engagement, comma: str = "") -> str:
    role = f"{comma} as {shift.duty}" if shift.duty else ""
    return f"{role}{f' ({shift.reply})' if shift.reply else ''}{', in this plan' if shift.planned else ''}"
