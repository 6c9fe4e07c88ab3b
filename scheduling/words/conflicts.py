"""Why a space or a center can't be had at a time: one sentence for the fact, and one for what to do about it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from django.utils.translation import gettext, gettext_lazy

from clinics.formatting import clinic_words
from clinics.models import Clinic, Space
from core.formats import clock_time, long_day, span

__all__ = ["Closed", "closed_days", "closed_weekday", "open_only", "space_taken"]

# Monday first, as `date.weekday` counts.
_EVERY = (
    gettext_lazy("Mondays"),
    gettext_lazy("Tuesdays"),
    gettext_lazy("Wednesdays"),
    gettext_lazy("Thursdays"),
    gettext_lazy("Fridays"),
    gettext_lazy("Saturdays"),
    gettext_lazy("Sundays"),
)


@dataclass(frozen=True)
class Closed:
    """That a center is closed for some of the time; ``field`` is where the form says so."""

    fact: str
    advice: str
    field: str

    @property
    def to_us(self) -> str:
        return f"{self.fact} {self.advice}"

    @property
    def to_the_center(self) -> str:
        """For the center itself, which knows better than we do."""
        return gettext("Our records say: %(fact)s") % {"fact": self.fact}


def closed_days(center: str, day: date, why: str) -> Closed:
    facts = {"center": center, "day": long_day(day), "why": why}
    fact = gettext("%(center)s is closed on %(day)s: %(why)s.") if why else gettext("%(center)s is closed on %(day)s.")
    return Closed(fact % facts, gettext("Choose another day."), "day")


def closed_weekday(center: str, weekday: int) -> Closed:
    fact = gettext("%(center)s is closed on %(weekdays)s.") % {"center": center, "weekdays": _EVERY[weekday]}
    return Closed(fact, gettext("Choose another day."), "day")


def open_only(center: str, weekday: int, opened: tuple[time, time], needed: tuple[datetime, datetime]) -> Closed:
    """``opened`` are the center's hours, ``needed`` those of the hold, on the center's wall clock."""
    fact = gettext("%(center)s is open on %(weekdays)s only from %(opens)s to %(closes)s.") % {
        "center": center,
        "weekdays": _EVERY[weekday],
        "opens": clock_time(opened[0]),
        "closes": clock_time(opened[1]),
    }
    advice = gettext("With setup and cleanup, this needs %(hours)s. Choose another time.") % {"hours": span(*needed)}
    return Closed(fact, advice, "starts")


def space_taken(space: Space, other: Clinic, held: tuple[datetime, datetime], day: date, gaps: Sequence[str]) -> str:
    """Name the clinic that has the space, and the hours of that day in which one of this length would fit."""
    taken = gettext(
        "%(space)s is reserved: %(clinic)s, %(hours)s (%(status)s), has it from %(held)s with setup and cleanup."
    ) % {
        "space": space.name,
        "clinic": clinic_words(other),
        "hours": span(other.local_start, other.local_end),
        "status": other.get_status_display(),
        "held": span(*held),
    }
    if gaps:
        free = gettext("You could fit a clinic this long on %(day)s within these hours: %(hours)s.") % {
            "day": long_day(day),
            "hours": ", ".join(gaps),
        }
    else:
        free = gettext("There’s no opening this long on %(day)s. Choose another day or space.") % {"day": long_day(day)}
    return f"{taken} {free}"
