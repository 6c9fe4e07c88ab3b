"""A standing in words, as a coordinator would say it."""

from collections.abc import Mapping
from datetime import date

from people.rules.standing import Standing

__all__ = ["why_not", "worth_knowing"]


def _day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b} {day.year}"


def why_not(
    standing: Standing, names: Mapping[str, str], on: date, today: date, event: str = "this clinic"
) -> list[str]:
    """Every reason why the person can't stand on the day ``on``, worst first; empty when they can.

    >>> why_not(s, {"conduct": "conduct training"}, date(2026, 12, 5), today)   # doctest: +SKIP
    ['conduct training lapses 4 days before this clinic']
    """
    words = []
    for kind, state, _ in standing.reasons:
        name = names.get(kind, kind)
        if state == "lapsed":
            last = standing.last_days.get(kind)
            if last is None:
                words.append(f"{name} is not in date on that day")
            elif last < today:
                words.append(f"{name} lapsed after {_day(last)}")
            else:
                days = (on - last).days
                words.append(f"{name} lapses {'the day' if days == 1 else f'{days} days'} before {event}")
        elif state == "missing":
            # Only a withdrawn record was in date once and counts as missing after.
            last = standing.last_days.get(kind)
            withdrawn = f"{name} was withdrawn after {_day(last)}" if last else ""
            words.append(withdrawn or f"no {name} on record for that day")
        elif state == "awaiting":
            words.append(f"{name}: the result is still awaited")
        elif state == "refused":
            words.append(f"{name} was not cleared")
    return words


def worth_knowing(standing: Standing, names: Mapping[str, str], on: date) -> list[str]:
    """What is in date on the day but lapses soon after it."""
    words = []
    for kind, state, _ in standing.reasons:
        last = standing.last_days.get(kind)
        if state == "lapsing" and last is not None:
            days = (last - on).days
            after = "on the day itself" if days == 0 else f"{days} {'day' if days == 1 else 'days'} later"
            words.append(f"{names.get(kind, kind)} has its last day {after}")
    return words
