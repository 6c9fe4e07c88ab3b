"""Scores of the stations: what is counted, how sure one can be of it, and never who is better than whom.

Par-zero and the ladder are common practice, no source. The interval of a share is Wilson's (1927), of a difference
Newcombe's method 10 (Statistics in Medicine 17, 1998, 873-890; from memory, checked in tests/reference).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, sqrt
from statistics import NormalDist

__all__ = [
    "ENOUGH_SHOTS",
    "Growth",
    "Ladder",
    "Level",
    "Rate",
    "growth",
    "ladder",
    "ladder_shots_expected",
    "make_rate",
    "par_zero",
]

# Below about ten shots a share says next to nothing: advice, no source.
ENOUGH_SHOTS = 10

_PAR = {"clean": -1, "rim": 0, "miss": 1}


def par_zero(shots: Sequence[str]) -> int:
    """The round's score: clean make -1, make off the rim 0, miss +1. Lowest wins. No shots is 0.

    Raises ValueError for a shot that is none of "clean", "rim" and "miss".
    """
    if isinstance(shots, str):
        raise ValueError("Give the shots one by one, such as clean, rim, miss.")
    for shot in shots:
        if shot not in _PAR:
            raise ValueError(f"A shot is clean, rim or miss, not {shot}.")
    return sum(_PAR[shot] for shot in shots)


@dataclass(frozen=True, slots=True)
class Rate:
    """A share of shots made with its Wilson limits. ``enough``: whether there are shots enough to say it aloud."""

    made: int
    tried: int
    value: float
    low: float
    high: float

    @property
    def enough(self) -> bool:
        return self.tried >= ENOUGH_SHOTS


def make_rate(made: int, tried: int, confidence: float = 0.95) -> Rate:
    """The share of shots made, with Wilson's interval. Raises ValueError for no shots, or more made than tried."""
    _check_counts(made, tried)
    if not 0 < confidence < 1:
        raise ValueError(f"A confidence lies between 0 and 1, such as 0.95, not {confidence:g}.")
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    middle = made + z * z / 2
    half = z * sqrt(made * (tried - made) / tried + z * z / 4)
    # At none and at all made one limit is exactly 0 or 1; the sums would leave a crumb.
    low = 0.0 if made == 0 else (middle - half) / (tried + z * z)
    high = 1.0 if made == tried else (middle + half) / (tried + z * z)
    return Rate(made, tried, made / tried, low, high)


@dataclass(frozen=True, slots=True)
class Growth:
    """How a group's share of made shots changed. ``said`` is "more", "fewer", "no clear change" or "too few to say"."""

    before: Rate
    after: Rate
    change: float
    low: float
    high: float
    said: str


def growth(before: tuple[int, int], after: tuple[int, int], confidence: float = 0.95) -> Growth:
    """Compare two (made, tried) of the same group, never one child with another.

    Uses Newcombe's interval from the two Wilson intervals. It says more or fewer only when the interval leaves out 0,
    and nothing at all below ``ENOUGH_SHOTS`` shots on either side.
    """
    first, second = make_rate(*before, confidence), make_rate(*after, confidence)
    change = second.value - first.value
    low = change - sqrt((second.value - second.low) ** 2 + (first.high - first.value) ** 2)
    high = change + sqrt((second.high - second.value) ** 2 + (first.value - first.low) ** 2)
    if not (first.enough and second.enough):
        said = "too few to say"
    elif low > 0:
        said = "more"
    elif high < 0:
        said = "fewer"
    else:
        said = "no clear change"
    return Growth(first, second, change, low, high, said)


def ladder_shots_expected(rate: float, makes: int = 3) -> float:
    """How many shots a child who makes this share is expected to need for ``makes`` makes: makes / rate.

    This is the mean of the negative binomial distribution, in shots. Raises ValueError for a rate outside (0, 1].
    """
    if not (isfinite(rate) and 0 < rate <= 1):
        raise ValueError(f"A rate lies above 0 and up to 1, not {rate:g}.")
    if makes < 1:
        raise ValueError(f"A level asks for at least 1 make, not {makes}.")
    return makes / rate


@dataclass(frozen=True, slots=True)
class Level:
    """One spot of the ladder, the nearest first. ``form_held``: whether the shot still looked the same there."""

    shots: int
    made: int
    form_held: bool = True


@dataclass(frozen=True, slots=True)
class Ladder:
    """A child's ladder. ``shots``: per level, up to where the form broke. ``done``: levels finished with good form.

    There is no total and no distance: what is compared is this child's own shots at the same level another day.
    """

    shots: tuple[int, ...]
    done: int
    rate: Rate | None
    stopped: str


def ladder(levels: Sequence[Level], makes: int = 3) -> Ladder:
    """Record one step-back ladder: the child makes ``makes``, takes one step back, and stops where form breaks.

    Levels after the one where form broke don't count, however many went in. Raises ValueError for counts that can't
    be, for more makes than a level asks for, and for a level begun before the one nearer was finished.
    """
    if makes < 1:
        raise ValueError(f"A level asks for at least 1 make, not {makes}.")
    counted: list[Level] = []
    done, stopped = 0, "time was up"
    for number, level in enumerate(levels, start=1):
        _check_counts(level.made, level.shots)
        if level.made > makes:
            raise ValueError(f"Level {number} ends at {makes} makes, so it can't have {level.made}.")
        if counted and counted[-1].made < makes:
            raise ValueError(f"Level {number} comes after {makes} makes at level {number - 1}, which has fewer.")
        counted.append(level)
        if not level.form_held:
            stopped = f"form broke at level {number}"
            break
        done += level.made == makes
    tried = sum(level.shots for level in counted)
    rate = make_rate(sum(level.made for level in counted), tried) if tried else None
    return Ladder(tuple(level.shots for level in counted), done, rate, stopped)


def _check_counts(made: int, tried: int) -> None:
    if tried < 1:
        raise ValueError("There are no shots yet. A share needs at least 1.")
    if not 0 <= made <= tried:
        raise ValueError(f"{made} made out of {tried} can't be. Give 0 to {tried}.")
