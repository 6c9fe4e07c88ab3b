"""Ball size and rim height by age.

Source: NBA and USA Basketball Youth Guidelines, Rules and Standards, 20 March 2018: ages 7 to 8 size 5 and an 8 ft rim,
9 to 11 size 6 and 9 ft, 12 to 14 and older girls size 6, boys size 7, and 10 ft. Under 7 there is no guideline: a
size 3 ball and a rim of 6 to 7 ft are common practice, from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Equipment", "equipment_for"]


@dataclass(frozen=True, slots=True)
class Equipment:
    """Ball sizes that fit (the smaller first) and the rim's height in feet."""

    ball_sizes: tuple[int, ...]
    rim_ft: float
    published: bool


def equipment_for(age: int) -> Equipment:
    """The balls and rim for a child of ``age`` completed years. Raises ValueError for an age that is no child's."""
    if not 0 <= age <= 18:
        raise ValueError(f"{age} isn't a child's age. Enter 0 to 18.")
    if age < 7:
        return Equipment((3,), 7, published=False)
    if age < 9:
        return Equipment((5,), 8, published=True)
    if age < 12:
        return Equipment((6,), 9, published=True)
    return Equipment((6, 7), 10, published=True)
