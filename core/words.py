"""Sentences for what core's rules find."""

from django.utils.translation import gettext

from core.formats import clock_time, full_day
from core.rules.local_time import TimeDoesNotExist

__all__ = ["skipped_time"]


def skipped_time(problem: TimeDoesNotExist) -> str:
    """Say which time the clocks skip, and from when on there is one to choose."""
    first = problem.first.replace(tzinfo=None)
    facts = {
        "at": clock_time(problem.at),
        "day": full_day(problem.day),
        "zone": problem.zone,
        "first": clock_time(first),
        "first_day": full_day(first),
    }
    if first.date() == problem.day:
        words = gettext(
            "%(at)s doesn’t exist on %(day)s in %(zone)s, because clocks spring forward that night. "
            "Choose %(first)s or later."
        )
    else:
        words = gettext(
            "%(at)s doesn’t exist on %(day)s in %(zone)s, because clocks spring forward that night. "
            "Choose %(first)s on %(first_day)s or later."
        )
    return words % facts
