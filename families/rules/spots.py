"""Which age band a child falls into, how many spots are free, and how long a free spot waits for a yes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from people.rules.ages import age_on

__all__ = ["Band", "NoBand", "age_at", "answer_by", "band_of", "free_spots", "no_band"]

# A spot that comes free on the very day is still offered: whoever can come at once may have it.
LAST_MOMENT = timedelta(minutes=30)


@dataclass(frozen=True, order=True)
class Band:
    """Ages in completed years on the clinic's day, both ends within; ``spots`` children have a spot."""

    youngest: int
    oldest: int
    spots: int


@dataclass(frozen=True)
class NoBand:
    """Why a child of an age has no band: "too young", "too old" or "between"; ``words`` say it to a guardian."""

    code: str
    least: int
    most: int


def band_of(age: int, bands: Sequence[Band]) -> Band | None:
    """The band that holds this age, or None."""
    return next((band for band in bands if band.youngest <= age <= band.oldest), None)


def no_band(age: int, bands: Sequence[Band]) -> NoBand:
    """Say why an age has no band. Raises ValueError when the clinic has no bands at all or when the age has one."""
    if not bands:
        raise ValueError("A clinic without age bands takes no children.")
    if band_of(age, bands) is not None:
        raise ValueError(f"There is a band for children of {age}.")
    least, most = min(band.youngest for band in bands), max(band.oldest for band in bands)
    code = "too young" if age < least else "too old" if age > most else "between"
    return NoBand(code, least, most)


def free_spots(bands: Sequence[Band], held_ages: Mapping[int, int]) -> dict[Band, int]:
    """Count the free spots of each band, never below 0. ``held_ages``: how many children of each age hold a spot."""
    return {
        band: max(0, band.spots - sum(n for age, n in held_ages.items() if band.youngest <= age <= band.oldest))
        for band in bands
    }


def answer_by(now: datetime, starts_at: datetime, hours: int) -> datetime:
    """Until when a free spot is kept for the first child who waits: ``hours`` from now, but never past the start.

    When less than twice that is left, it is half of what is left, so that someone after them can still come.
    """
    left = starts_at - now
    if left <= LAST_MOMENT:
        return starts_at
    return min(now + timedelta(hours=hours), now + left / 2)


def age_at(born: date, day: date) -> int:
    """The age on the clinic's day. A child who is born after it is -1, too young for any band."""
    return age_on(born, day) if born <= day else -1
