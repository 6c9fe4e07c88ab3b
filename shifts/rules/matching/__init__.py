"""Who takes which position: the best plan with its proof. The search itself is OR-tools, loaded only when used."""

from shifts.rules.matching.facts import (
    Note,
    Objective,
    Options,
    Person,
    Placement,
    Plan,
    Position,
    Requirement,
    Stay,
)
from shifts.rules.matching.gap import Assignment, assign
from shifts.rules.matching.pairs import Block, Change, apply, blocks
from shifts.rules.matching.plan import Progress, greedy_plan, keep_everybody, match

__all__ = [
    "Assignment",
    "Block",
    "Change",
    "Note",
    "Objective",
    "Options",
    "Person",
    "Placement",
    "Plan",
    "Position",
    "Progress",
    "Requirement",
    "Stay",
    "apply",
    "assign",
    "blocks",
    "greedy_plan",
    "keep_everybody",
    "match",
]
