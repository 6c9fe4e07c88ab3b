"""Children who went home with somebody whose name is like that of one who must not pick them up."""

from collections.abc import Iterable

from floor.rules.floor_log import Action, in_order

__all__ = ["released_despite"]


def released_despite(actions: Iterable[Action]) -> list[str]:
    """The ids of the entries that say so and were not taken back, in order of time."""
    rows = in_order(actions)
    undone = {str(row.facts.get("of")) for row in rows if row.kind == "undo"}
    return [row.id for row in rows if row.kind == "out" and row.facts.get("near") and row.id not in undone]
