"""Who takes which position: the best plan with its proof. The search itself is OR-tools, loaded only when used."""

from scheduling.rules.matching.facts import Objective, Options, Person, Placement, Plan, Position, Requirement, Stay
from scheduling.rules.matching.gap import Assignment, assign
from scheduling.rules.matching.pairs import Block, Change, apply, blocks
from scheduling.rules.matching.plan import Progress, greedy_plan, keep_everybody, match

__all__ = [
    "Assignment",
    "Block",
    "Change",
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
