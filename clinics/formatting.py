"""How dates and clinics read in sentences, in the clinic's own time zone."""

from datetime import date, datetime

from clinics.models import Clinic

__all__ = [
    "children_words",
    "clinic_words",
    "clock",
    "long_day",
    "long_day_with_year",
    "short_day",
    "span",
    "when_words",
]


def long_day(day: date) -> str:
    return f"{day:%A} {day.day} {day:%B}"


def long_day_with_year(day: date) -> str:
    return f"{long_day(day)} {day.year}"


def short_day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b}"


def clock(moment: datetime) -> str:
    return f"{moment:%H:%M}"


def span(start: datetime, end: datetime) -> str:
    return f"{clock(start)} to {clock(end)}"


def clinic_words(clinic: Clinic) -> str:
    """Say which clinic it is: Saint Orla's Hall on Saturday 28 November."""
    return f"{clinic.center.name} on {long_day(clinic.day)}"


def children_words(clinic: Clinic) -> str:
    """Say how many children a clinic expects and of which ages: 40 children, ages 8 to 12."""
    ages = clinic.ages
    if ages is None:
        return "no children expected yet"
    span = f"age {ages[0]}" if ages[0] == ages[1] else f"ages {ages[0]} to {ages[1]}"
    return f"{clinic.children} {'child' if clinic.children == 1 else 'children'}, {span}"


def when_words(day: date, today: date) -> str:
    """Say how far off a day is: today, tomorrow, in 3 days, 2 days ago."""
    days = (day - today).days
    near = {0: "today", 1: "tomorrow", -1: "yesterday"}
    if days in near:
        return near[days]
    return f"in {days} days" if days > 0 else f"{-days} days ago"
