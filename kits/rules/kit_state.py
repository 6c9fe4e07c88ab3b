"""What of a kit can be used on a day, what it must not go without, and when it is looked after next.

Common practice, no source: what is broken or lost as a whole counts nothing; what has a last day counts through it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

__all__ = ["GONE", "Held", "MustHave", "Trouble", "check_state", "due_on", "must_have_troubles"]

GONE = ("repair", "missing")


@dataclass(frozen=True, slots=True)
class Held:
    """A line of a kit: how many belong to it, and how many of them are damaged or lost at present."""

    item: str
    count: int
    away: int = 0
    condition: str = "ready"
    last_day: date | None = None

    def usable(self, day: date) -> int:
        """How many can be used on ``day``."""
        if self.condition in GONE or (self.last_day is not None and self.last_day < day):
            return 0
        return max(0, self.count - self.away)

    def past(self, day: date) -> bool:
        """Whether some of it is in the kit on ``day`` and past its last day. What is gone keeps no kit here."""
        there = self.condition != "missing" and self.count > self.away
        return there and self.last_day is not None and self.last_day < day


@dataclass(frozen=True, slots=True)
class MustHave:
    """``sized`` items stand in a kit as "item, size 5"; one of any size will do."""

    item: str
    needs_last_day: bool = False
    sized: bool = False


@dataclass(frozen=True, slots=True)
class Trouble:
    """``code``: absent, unusable or no day, of the item; or kit gone, with the kit's condition."""

    item: str
    code: str
    blocks: bool
    condition: str = ""


def must_have_troubles(needs: Sequence[MustHave], held: Sequence[Held], day: date) -> list[Trouble]:
    """List every must-have that the kit would go without on ``day``.

    A must-have with a last day helps an injured child, so the kit stays here without it. Without another must-have it
    may go, and somebody is told.
    """
    troubles = []
    for need in needs:
        own = [one for one in held if _is(need, one.item)]
        if any(one.usable(day) for one in own):
            if need.needs_last_day and all(one.last_day is None for one in own if one.usable(day)):
                troubles.append(Trouble(need.item, "no day", False))
            continue
        if not any(one.count for one in own):
            troubles.append(Trouble(need.item, "absent", need.needs_last_day))
        else:
            troubles.append(Trouble(need.item, "unusable", need.needs_last_day))
    return troubles


def due_on(last_on: date | None, every_days: int, today: date) -> date:
    """The day on which a check is due; a check that was never done is due today."""
    return today if last_on is None else last_on + timedelta(days=every_days)


def check_state(due: date, today: date, next_needed: date | None) -> str:
    """ "overdue", "due" (today, or by the day the kit is next needed) or "fine"."""
    if due < today:
        return "overdue"
    return "due" if due == today or (next_needed is not None and due <= next_needed) else "fine"


def _is(need: MustHave, item: str) -> bool:
    name, wanted = item.strip().casefold(), need.item.strip().casefold()
    return name == wanted or (need.sized and name.startswith(wanted + ", size "))
