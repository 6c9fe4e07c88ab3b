"""How many seconds a child is active.

A child is active while its own turn or its partner's turn runs. In ``minutes`` there are whole turns only, one after
the other: turns = floor(60 * minutes / cycle_seconds). Side by side run as many turns as the station has places for
(``turns_at_once``, all hoops together; for the whole space once for each set of hoops the floor has, and no more than
there are balls for), and in each ``players`` children move. Turns go round fairly, so each child is active for

    active = cycle_seconds * turns * min(1, places * players / children)

seconds, rounded down. Without hoops everybody's turn runs at once: active = cycle_seconds * turns.
"""

from __future__ import annotations

from runsheets.rules.activities import Activity
from runsheets.rules.rotation.facts import Floor

__all__ = ["active_seconds", "balls_needed", "most_together", "space_turns"]


def active_seconds(one: Activity, children: int, minutes: int, places: int | None = None) -> int:
    """Seconds for which each of ``children`` is active when all are there at once.

    ``places`` is how many turns run side by side, when that is not the activity's own number.
    """
    if not one.moving or not children:
        return 0
    running = one.cycle_seconds * (60 * minutes // one.cycle_seconds)
    if places is None:
        places = one.turns_at_once if one.hoops else children
    return min(running, running * places * one.players // children)


def balls_needed(one: Activity, children: int) -> int:
    """How many balls a station needs for ``children``. Without hoops as many turns run as its players make."""
    turns = one.turns_at_once if one.hoops else -(-children // one.players)
    return one.balls * turns + one.balls_each * children


def space_turns(one: Activity, floor: Floor, children: int) -> int:
    """How many turns run side by side when the whole space does the activity."""
    places = children
    if one.hoops:
        places = one.turns_at_once * (floor.hoops // one.hoops)
    if one.balls:
        places = min(places, floor.balls // one.balls)
    if one.balls_each:
        places = min(places, floor.balls // one.balls_each)
    return places


def most_together(one: Activity, floor: Floor) -> int:
    """How many children at most can do the activity when the whole space does it."""
    return one.group_size * (floor.hoops // one.hoops) if one.hoops else one.group_size
