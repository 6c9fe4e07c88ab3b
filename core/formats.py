"""How days, hours and counts are written for people: order and names by locale, the year where it is not this one.

`LOCALES` in the settings says which locale each language is written in (English: en_US, "Saturday, November 28").
A day is always the day in some zone. A `date` is such a day already; a moment in UTC is not, so it needs its zone.
"""

import math
import re
from collections.abc import Iterable
from datetime import date, datetime, time
from typing import Literal
from zoneinfo import ZoneInfo

from babel import Locale
from babel.dates import format_date, format_time
from babel.lists import format_list
from babel.numbers import format_decimal
from django.conf import settings
from django.utils.translation import get_language, gettext_lazy, ngettext, ngettext_lazy

from core import clock

__all__ = [
    "NOUNS",
    "Zone",
    "amount",
    "clock_time",
    "counted",
    "full_date",
    "full_day",
    "listed",
    "local",
    "locale_name",
    "long_day",
    "month_and_year",
    "month_short",
    "near_day",
    "short_date",
    "short_day",
    "span",
    "weekday",
    "weekday_short",
]

# "home" is the organization's own zone, for what belongs to no center.
Zone = ZoneInfo | str | None

# What is counted on many pages. A noun of one page stands there, in its own plural sentence.
NOUNS = {
    "activity": ngettext_lazy("%(written)s activity", "%(written)s activities", "n"),
    "adult": ngettext_lazy("%(written)s adult", "%(written)s adults", "n"),
    "ball": ngettext_lazy("%(written)s ball", "%(written)s balls", "n"),
    "center": ngettext_lazy("%(written)s center", "%(written)s centers", "n"),
    "child": ngettext_lazy("%(written)s child", "%(written)s children", "n"),
    "clearance": ngettext_lazy("%(written)s clearance", "%(written)s clearances", "n"),
    "clinic": ngettext_lazy("%(written)s clinic", "%(written)s clinics", "n"),
    "date": ngettext_lazy("%(written)s date", "%(written)s dates", "n"),
    "day": ngettext_lazy("%(written)s day", "%(written)s days", "n"),
    "email": ngettext_lazy("%(written)s email", "%(written)s emails", "n"),
    "family": ngettext_lazy("%(written)s family", "%(written)s families", "n"),
    "group": ngettext_lazy("%(written)s group", "%(written)s groups", "n"),
    "guardian": ngettext_lazy("%(written)s guardian", "%(written)s guardians", "n"),
    "hoop": ngettext_lazy("%(written)s hoop", "%(written)s hoops", "n"),
    "hour": ngettext_lazy("%(written)s hour", "%(written)s hours", "n"),
    "item": ngettext_lazy("%(written)s item", "%(written)s items", "n"),
    "kilometer": ngettext_lazy("%(written)s kilometer", "%(written)s kilometers", "n"),
    "kit": ngettext_lazy("%(written)s kit", "%(written)s kits", "n"),
    "minute": ngettext_lazy("%(written)s minute", "%(written)s minutes", "n"),
    "month": ngettext_lazy("%(written)s month", "%(written)s months", "n"),
    "outlet": ngettext_lazy("%(written)s power outlet", "%(written)s power outlets", "n"),
    "person": ngettext_lazy("%(written)s person", "%(written)s people", "n"),
    "record": ngettext_lazy("%(written)s record", "%(written)s records", "n"),
    "request": ngettext_lazy("%(written)s request", "%(written)s requests", "n"),
    "row": ngettext_lazy("%(written)s row", "%(written)s rows", "n"),
    "second": ngettext_lazy("%(written)s second", "%(written)s seconds", "n"),
    "shift": ngettext_lazy("%(written)s shift", "%(written)s shifts", "n"),
    "space": ngettext_lazy("%(written)s space", "%(written)s spaces", "n"),
    "spot": ngettext_lazy("%(written)s spot", "%(written)s spots", "n"),
    "station": ngettext_lazy("%(written)s station", "%(written)s stations", "n"),
    "step": ngettext_lazy("%(written)s step", "%(written)s steps", "n"),
    "table": ngettext_lazy("%(written)s table", "%(written)s tables", "n"),
    "text": ngettext_lazy("%(written)s text", "%(written)s texts", "n"),
    "trip": ngettext_lazy("%(written)s trip", "%(written)s trips", "n"),
    "turn": ngettext_lazy("%(written)s turn", "%(written)s turns", "n"),
    "volunteer": ngettext_lazy("%(written)s volunteer", "%(written)s volunteers", "n"),
    "waiver": ngettext_lazy("%(written)s waiver", "%(written)s waivers", "n"),
    "week": ngettext_lazy("%(written)s week", "%(written)s weeks", "n"),
    "year": ngettext_lazy("%(written)s year", "%(written)s years", "n"),
}

_NEAR = {0: gettext_lazy("today"), 1: gettext_lazy("tomorrow"), -1: gettext_lazy("yesterday")}


def counted(number: int | float, noun: str) -> str:
    """Write a number with its noun, a key of `NOUNS`, as "1 child" or "3 children"; KeyError for another noun."""
    # A plural is chosen by a whole number, and only one whole thing is singular: 0.5 hours, 1.5 hours.
    whole = int(number) if number == int(number) else math.ceil(number) + 1
    return str(NOUNS[noun] % {"n": whole, "written": amount(number)})


def amount(number: int | float) -> str:
    """Write a number as "1,250" or "2.5"."""
    return str(format_decimal(number, locale=_locale()))


def listed(words: Iterable[str], style: Literal["standard", "or"] = "standard") -> str:
    """Write a list as "A, B, and C", or with the style "or" as "A, B, or C"."""
    return str(format_list([str(word) for word in words], style=style, locale=_locale()))


def long_day(value: date | datetime, zone: Zone = None) -> str:
    """Write a day as "Saturday, November 28", with its year when that is not this year."""
    return _day(value, zone, _full())


def short_day(value: date | datetime, zone: Zone = None) -> str:
    """Write a day as "Sat, Nov 28", with its year when that is not this year."""
    return _day(value, zone, _short())


def full_day(value: date | datetime, zone: Zone = None) -> str:
    """Write a day as "Saturday, November 28, 2026", always with its year: contracts and papers."""
    return _written(_full(), _local_day(value, zone))


def full_date(value: date | datetime, zone: Zone = None) -> str:
    """Write a date as "November 28, 2026", always with its year: births, documents, expiry."""
    return _written(_locale().date_formats["long"].pattern, _local_day(value, zone))


def short_date(value: date | datetime, zone: Zone = None) -> str:
    """Write a date as "Nov 28, 2026", always with its year."""
    return _written(_locale().date_formats["medium"].pattern, _local_day(value, zone))


def month_and_year(value: date | datetime, zone: Zone = None) -> str:
    """Write a month as "November 2026"."""
    return _written(_locale().datetime_skeletons["yMMMM"].pattern, _local_day(value, zone))


def weekday(value: date | datetime, zone: Zone = None) -> str:
    """Write the day of the week: "Saturday"."""
    return str(_locale().days["stand-alone"]["wide"][_local_day(value, zone).weekday()])


def weekday_short(value: date | datetime, zone: Zone = None) -> str:
    """Write the day of the week as "Sat"."""
    return str(_locale().days["stand-alone"]["abbreviated"][_local_day(value, zone).weekday()])


def month_short(value: date | datetime, zone: Zone = None) -> str:
    """Write the month as "Nov"."""
    return str(_locale().months["stand-alone"]["abbreviated"][_local_day(value, zone).month])


def clock_time(value: datetime | time, zone: Zone = None) -> str:
    """Write the hour and minute on the wall in the zone, as `CLOCK_PATTERN` of the settings says."""
    at = value if isinstance(value, time) else local(value, zone).time()
    return str(format_time(at, settings.CLOCK_PATTERN, locale=_locale()))


def span(start: datetime, end: datetime, zone: Zone = None) -> str:
    """Write two moments of one day as "16:30 to 18:00"."""
    return str(gettext_lazy("%(start)s to %(end)s") % {"start": clock_time(start, zone), "end": clock_time(end, zone)})


def near_day(day: date, today: date) -> str:
    """Say how far off a day is: today, tomorrow, in 3 days, 2 days ago."""
    days = (day - today).days
    if days in _NEAR:
        return str(_NEAR[days])
    if days > 0:
        return ngettext("in %(n)d day", "in %(n)d days", days) % {"n": days}
    return ngettext("%(n)d day ago", "%(n)d days ago", -days) % {"n": -days}


def _full() -> str:
    return str(_locale().date_formats["full"].pattern)


def _short() -> str:
    return str(_locale().datetime_skeletons["yMMMEd"].pattern)


def _day(value: date | datetime, zone: Zone, pattern: str) -> str:
    day = _local_day(value, zone)
    this_year = clock.today(_zone_of(value, zone)).year
    # The year goes with the comma or the "de" that ties it to the rest.
    return _written(pattern if day.year != this_year else re.sub(r"[\s,]*(?:'de'\s*)?y+", "", pattern), day)


def _written(pattern: str, day: date) -> str:
    return str(format_date(day, pattern, locale=_locale()))


def locale_name() -> str:
    """The locale in force, as browsers name it: en-US."""
    spoken = (get_language() or settings.LANGUAGE_CODE)[:2]
    return str(settings.LOCALES.get(spoken) or settings.LOCALES["en"]).replace("_", "-")


def _locale() -> Locale:
    return Locale.parse(locale_name(), sep="-")


def _local_day(value: date | datetime, zone: Zone) -> date:
    return local(value, zone).date() if isinstance(value, datetime) else value


def local(value: datetime, zone: Zone) -> datetime:
    """The moment as wall time in ``zone``, or else in its own zone. Raises ValueError if that is UTC."""
    if value.tzinfo is None:
        return value
    asked = _zone(zone)
    if asked is not None:
        return value.astimezone(asked)
    if str(value.tzinfo) == "UTC":
        raise ValueError(f"{value.isoformat()} is in UTC. Say in which zone its day and hour are read.")
    return value


def _zone_of(value: date | datetime, zone: Zone) -> ZoneInfo | None:
    own = value.tzinfo if isinstance(value, datetime) else None
    return _zone(zone) or (own if isinstance(own, ZoneInfo) else None)


def _zone(zone: Zone) -> ZoneInfo | None:
    if isinstance(zone, str) and zone:
        return clock.home_zone() if zone == "home" else ZoneInfo(zone)
    return zone or None
