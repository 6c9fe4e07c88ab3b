"""A standing in words, as a coordinator would say it."""

from collections.abc import Mapping
from datetime import date

from people.rules.standing import Standing, State

__all__ = ["kind_words", "why_not", "worth_knowing"]


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b} {day.year}"


def why_not(
    standing: Standing, names: Mapping[str, str], on: date, today: date, event: str = "this clinic"
) -> list[str]:
    """Every reason why the person can't stand on the day ``on``, worst first; empty when they can.

    >>> why_not(s, {"conduct": "conduct training"}, date(2026, 12, 5), today)   # doctest: +SKIP
    ['conduct training lapses 4 days before this clinic']
    """
    found = (
        kind_words(names.get(kind, kind), state, standing.last_days.get(kind), on, today, event)
        for kind, state, _ in standing.reasons
    )
    return [words for words in found if words]


def kind_words(
    name: str, state: State, last: date | None, on: date, today: date | None, event: str = "this clinic"
) -> str:
    """Say why one kind of clearance is not in date on the day ``on``; "" when it is.

    ``last`` is the day it last was in date. Without ``today`` nothing is known to be over yet.
    """
    if state == "lapsed":
        if last is None:
            return f"{name} is not in date on that day"
        if today is not None and last < today:
            return f"{name} lapsed after {_day(last)}"
        days = (on - last).days
        return f"{name} lapses {'the day' if days == 1 else f'{days} days'} before {event}"
    if state == "missing":
        # Only a withdrawn record was in date once and counts as missing after.
        return f"{name} was withdrawn after {_day(last)}" if last else f"no {name} on record for that day"
    if state == "awaiting":
        return f"{name}: the result is still awaited"
    return f"{name} was not cleared" if state == "refused" else ""


def worth_knowing(standing: Standing, names: Mapping[str, str], on: date) -> list[str]:
    """Say which clearances are in date on the day but lapse soon after it."""
    words = []
    for kind, state, _ in standing.reasons:
        last = standing.last_days.get(kind)
        if state == "lapsing" and last is not None:
            days = (last - on).days
            after = "on the day itself" if days == 0 else f"{days} {'day' if days == 1 else 'days'} later"
            words.append(f"{names.get(kind, kind)} has its last day {after}")
    return words
