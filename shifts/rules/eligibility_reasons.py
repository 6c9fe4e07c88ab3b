"""What may be against somebody's taking a shift: each reason with a code that stays, and with what it is about."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time
from math import ceil
from typing import ClassVar, Literal

from people.rules.timeline import State

__all__ = [
    "NEVER",
    "TELL",
    "AlreadyThere",
    "Apart",
    "AskedEnough",
    "Away",
    "Declined",
    "DutyNotHeld",
    "Elsewhere",
    "Engagement",
    "Hours",
    "Kind",
    "Left",
    "NotCleared",
    "Reason",
    "Shifts",
    "TooFar",
    "TooLate",
    "UnderAge",
    "Window",
]

Severity = Literal["never", "tell"]
NEVER: Severity = "never"
TELL: Severity = "tell"


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of clearance that the duty asks for: its state on the clinic's day, and the last day it was current."""

    code: str
    name: str
    state: State
    last_day: date | None = None


@dataclass(frozen=True, slots=True)
class Engagement:
    """Another shift: asked there or accepted. ``minutes``: the drive between the two; ``planned``: only by a plan."""

    clinic: int | None
    starts: datetime
    ends: datetime
    minutes: float = 0.0
    where: str = ""
    duty: str = ""
    reply: str = ""
    planned: bool = False


@dataclass(frozen=True, slots=True)
class Left:
    code: ClassVar[str] = "left"
    severity: ClassVar[Severity] = NEVER
    day: date


@dataclass(frozen=True, slots=True)
class UnderAge:
    code: ClassVar[str] = "under 18"
    severity: ClassVar[Severity] = NEVER


@dataclass(frozen=True, slots=True)
class DutyNotHeld:
    code: ClassVar[str] = "duty not held"
    severity: ClassVar[Severity] = NEVER
    name: str


@dataclass(frozen=True, slots=True)
class NotCleared:
    code: ClassVar[str] = "standing"
    severity: ClassVar[Severity] = NEVER
    kind: Kind
    day: date


@dataclass(frozen=True, slots=True)
class AlreadyThere:
    code: ClassVar[str] = "already there"
    severity: ClassVar[Severity] = NEVER
    shift: Engagement


@dataclass(frozen=True, slots=True)
class Elsewhere:
    code: ClassVar[str] = "elsewhere"
    severity: ClassVar[Severity] = NEVER
    shift: Engagement


@dataclass(frozen=True, slots=True)
class TooLate:
    """The other shift does not touch this one, and leaves too little time for the drive between them."""

    code: ClassVar[str] = "too late"
    severity: ClassVar[Severity] = TELL
    shift: Engagement

    @property
    def minutes(self) -> int:
        return ceil(self.shift.minutes)


@dataclass(frozen=True, slots=True)
class Away:
    code: ClassVar[str] = "away"
    severity: ClassVar[Severity] = TELL
    first: date
    last: date


@dataclass(frozen=True, slots=True)
class Window:
    """``hours``: when they are free on that weekday (Monday 0); None for never."""

    code: ClassVar[str] = "window"
    severity: ClassVar[Severity] = TELL
    weekday: int
    hours: tuple[time, time] | None


@dataclass(frozen=True, slots=True)
class Shifts:
    code: ClassVar[str] = "shifts"
    severity: ClassVar[Severity] = TELL
    has: int
    most: int


@dataclass(frozen=True, slots=True)
class Hours:
    """``would``: what the month would come to with this shift."""

    code: ClassVar[str] = "hours"
    severity: ClassVar[Severity] = TELL
    would: float
    most: float


@dataclass(frozen=True, slots=True)
class TooFar:
    code: ClassVar[str] = "too far"
    severity: ClassVar[Severity] = TELL
    km: float
    most: float


@dataclass(frozen=True, slots=True)
class Apart:
    code: ClassVar[str] = "apart"
    severity: ClassVar[Severity] = TELL
    name: str


@dataclass(frozen=True, slots=True)
class Declined:
    code: ClassVar[str] = "declined"
    severity: ClassVar[Severity] = TELL


@dataclass(frozen=True, slots=True)
class AskedEnough:
    """``planned``: how many of the questions only a plan would put."""

    code: ClassVar[str] = "asked enough"
    severity: ClassVar[Severity] = TELL
    planned: int


Reason = (
    Left
    | UnderAge
    | DutyNotHeld
    | NotCleared
    | AlreadyThere
    | Elsewhere
    | TooLate
    | Away
    | Window
    | Shifts
    | Hours
    | TooFar
    | Apart
    | Declined
    | AskedEnough
)
