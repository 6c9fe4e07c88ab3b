"""Where a day lies on a drawn stretch of time."""

from dataclasses import dataclass
from datetime import date, timedelta

__all__ = ["Axis", "months_from"]


def months_from(start: date, count: int) -> list[date]:
    """The first days of ``count`` months, beginning with the month of ``start``. Raises ValueError below one."""
    if count < 1:
        raise ValueError("An axis needs at least one month.")
    first = start.year * 12 + start.month - 1
    return [date((first + n) // 12, (first + n) % 12 + 1, 1) for n in range(count)]


@dataclass(frozen=True)
class Axis:
    """Days from ``start`` up to, not including, ``end``, drawn over ``width`` units."""

    start: date
    end: date
    width: float

    @classmethod
    def of_months(cls, start: date, count: int, width: float) -> "Axis":
        return cls(start.replace(day=1), months_from(start, count + 1)[-1], width)

    def x(self, day: date) -> float:
        """The left edge of a day in the drawing's units; a day outside is drawn at the nearer end."""
        share = (min(max(day, self.start), self.end) - self.start) / (self.end - self.start)
        return round(share * self.width, 1)

    def bar(self, first: date, last: date | None) -> tuple[float, float] | None:
        """The left edge and width of the bar from day ``first`` through day ``last`` (None: no end).

        None when the drawing shows no part of it.
        """
        after = self.end if last is None or last >= self.end else last + timedelta(days=1)
        left, right = self.x(first), self.x(after)
        return (left, round(right - left, 1)) if right > left else None

    def shows(self, day: date) -> bool:
        """Whether the drawing shows this day."""
        return self.start <= day < self.end
