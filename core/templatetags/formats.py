"""Days, hours and counts in templates, as core/formats.py writes them; nothing for a value that is not there."""

from collections.abc import Callable, Iterable
from datetime import date, datetime, time
from functools import wraps
from typing import Any

from django import template

from core import formats
from core.formats import Zone

__all__ = ["register"]

register = template.Library()


def _filter(name: str, write: Callable[..., str]) -> None:
    @wraps(write)
    def written(value: date | datetime | time | None, zone: Zone = None) -> str:
        return write(value, zone) if value else ""

    register.filter(name, written)


for _name in (
    "long_day",
    "short_day",
    "full_day",
    "full_date",
    "short_date",
    "month_and_year",
    "month_short",
    "weekday",
    "weekday_short",
    "clock_time",
):
    _filter(_name, getattr(formats, _name))


@register.filter
def counted(number: Any, noun: str) -> str:
    """``{{ n|counted:"child" }}``: 1 child, 3 children."""
    return formats.counted(number, noun)


@register.filter
def listed(words: Iterable[str]) -> str:
    """``{{ names|listed }}``: A, B, and C."""
    return formats.listed(words)


@register.filter
def amount(number: Any) -> str:
    return formats.amount(number)


@register.filter
def iso_date(value: date | datetime | None, zone: Zone = None) -> str:
    """2026-11-28, for form fields and machines."""
    if isinstance(value, datetime):
        value = formats.local(value, zone).date()
    return value.isoformat() if value else ""


@register.filter
def iso(value: datetime | None) -> str:
    """A moment with its offset, for ``<time datetime>``."""
    return value.isoformat() if value else ""
