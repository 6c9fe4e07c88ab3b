"""What a plan is judged by, one thing after the other, as costs over the network."""

from __future__ import annotations

from dataclasses import dataclass, field

from shifts.rules.matching.network import Network

__all__ = ["Stage", "stages", "value_of"]


@dataclass(frozen=True)
class Stage:
    """Costs to keep low: per arc taken, per place of a group left open, per clinic below its ratio.

    ``squares``: also the sum over people of their shifts squared, which is least when shared evenly.
    ``constant`` is added to what the costs come to.
    """

    name: str
    arcs: dict[int, int] = field(default_factory=dict)
    opened: dict[int, int] = field(default_factory=dict)
    below: int = 0
    squares: bool = False
    constant: int = 0


def stages(net: Network, fill_only: bool = False) -> list[Stage]:
    """List the stages in the order in which they count. ``moved`` counts people asked today who would be let go."""
    asked = [place for place, arc in enumerate(net.arcs) if arc.today]
    found = [
        Stage("unfilled", opened={number: group.weight for number, group in enumerate(net.groups)}),
        Stage("below ratio", below=1),
    ]
    if fill_only:
        return found[:1]
    return [
        *found,
        Stage("moved", arcs=dict.fromkeys(asked, -1), constant=len(asked)),
        Stage("travel", arcs={place: arc.km for place, arc in enumerate(net.arcs) if arc.km}),
        Stage("fairness", squares=True),
        Stage("new faces", arcs={place: 1 for place, arc in enumerate(net.arcs) if not arc.served}),
    ]


def value_of(net: Network, stage: Stage, chosen: set[int]) -> int:
    """Add up the stage's costs of a choice of arcs."""
    value = stage.constant + sum(stage.arcs.get(arc, 0) for arc in chosen)
    if stage.opened:
        left = {number: group.demand for number, group in enumerate(net.groups)}
        for arc in chosen:
            left[net.arcs[arc].group] -= 1
        value += sum(stage.opened[number] * count for number, count in left.items())
    if stage.below:
        adults = dict(net.short)
        for arc in chosen:
            group = net.groups[net.arcs[arc].group]
            if group.in_ratio and group.clinic in adults:
                adults[group.clinic] -= 1
        value += stage.below * sum(left > 0 for left in adults.values())
    if stage.squares:
        load = list(net.base)
        for arc in chosen:
            load[net.arcs[arc].person] += 1
        value += sum(count * count for count in load)
    return value
