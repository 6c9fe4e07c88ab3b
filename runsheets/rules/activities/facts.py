"""One thing that children do at a clinic: how long, how many at once, with what, and who with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from core.rules.refused import Refused
from runsheets.rules.activities.things import Thing, parse_things

__all__ = ["Activity", "Kind", "Level"]

Kind = Literal["opener", "station", "game", "stem", "water", "closer"]
Level = Literal["all", "newer", "advanced"]


@dataclass(frozen=True, slots=True)
class Activity:
    """One activity. Openers, games, water and closers are done by all groups together, the rest at a station.

    ``group_size``: most children at one station, or at one set of ``hoops`` of an activity for the whole space.
    ``turns_at_once``: turns that run side by side on its hoops; ``players``: children moving in one turn (the one
    with the ball and its partners); ``cycle_seconds``: one turn. Without hoops everybody's turn runs at once.
    ``balls``: for each turn that runs; ``balls_each``: for each child. ``adults``: fewest at the station whatever the
    ratio says. ``skill``: what one of them must be able to do. ``tables`` and ``sockets``: for the station.
    ``things``: whatever else is packed for it, one a line (see things.py). Raises Refused for what can't be.
    """

    code: str
    name: str
    kind: Kind
    least_minutes: int
    most_minutes: int
    group_size: int
    hoops: int = 0
    balls: int = 0
    balls_each: int = 0
    adults: int = 1
    youngest: int = 5
    oldest: int = 18
    level: Level = "all"
    cycle_seconds: int = 30
    players: int = 1
    turns_at_once: int = 1
    tables: int = 0
    sockets: int = 0
    skill: str = ""
    teaching: tuple[str, ...] = ()
    safety: tuple[str, ...] = ()
    record: str = ""
    things: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.code or not self.name:
            raise ValueError("An activity needs a code and a name.")
        if self.kind not in get_args(Kind):
            raise Refused.because("kind", name=self.name, kind=self.kind, kinds=list(get_args(Kind)))
        if self.level not in get_args(Level):
            raise Refused.because("level", name=self.name, level=self.level, levels=list(get_args(Level)))
        if not 1 <= self.least_minutes <= self.most_minutes:
            raise Refused.because("minutes", name=self.name, least=self.least_minutes, most=self.most_minutes)
        if min(self.group_size, self.cycle_seconds, self.players, self.turns_at_once) < 1:
            raise Refused.because("below 1", name=self.name)
        if min(self.hoops, self.balls, self.balls_each, self.adults, self.tables, self.sockets) < 0:
            raise Refused.because("below 0", name=self.name)
        if self.cycle_seconds > 60 * self.least_minutes:
            raise Refused.because("long turn", name=self.name, minutes=self.least_minutes)
        if not 0 <= self.youngest <= self.oldest:
            raise Refused.because("ages", name=self.name, youngest=self.youngest, oldest=self.oldest)
        parse_things(self.things)

    @property
    def packed(self) -> tuple[Thing, ...]:
        return parse_things(self.things)

    @property
    def whole_space(self) -> bool:
        return self.kind not in ("station", "stem")

    @property
    def moving(self) -> bool:
        """Whether its minutes can count as active: legs are at work, not only hands and heads."""
        return self.kind in ("opener", "station", "game")

    def suits(self, youngest: int, oldest: int) -> bool:
        """Whether the activity is for all ages from ``youngest`` to ``oldest``."""
        return self.youngest <= youngest and oldest <= self.oldest
