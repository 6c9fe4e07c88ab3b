"""One kind of clearance as a bar over time: where it is current, where it is not, and what there is to say of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from people.rules.timeline import DAY, Timeline
from shifts.rules.axis import Axis

__all__ = ["LANE", "Bar", "Stretch", "Told", "draw_bar"]

LANE = 28  # units from one bar to the next
BAR_HEIGHT = 20
CURRENT = ("current", "expires soon")

Days = list[tuple[date, date]]


@dataclass(frozen=True)
class Stretch:
    """Days from ``start`` up to, not including, ``end`` under one policy; ``timeline`` None: not asked for then."""

    start: date
    end: date
    timeline: Timeline | None


@dataclass(frozen=True)
class Told:
    """What there is to say beside a bar: a code, and the day it speaks of.

    ``code``: "" (current throughout, or never asked for), "until" a last day, "expires" on it, "expired" on it,
    "withdrawn" on it, "asked from" it; and "missing", "awaiting" or "refused" without a day.
    """

    code: str = ""
    day: date | None = None


@dataclass(frozen=True)
class Bar:
    """One kind of clearance: its current stretches as (left, width), and where it is not current."""

    kind: str
    code: str
    y: int
    good: list[tuple[float, float]]
    bad: list[tuple[float, float]]
    told: Told
    word_x: float
    expires_on: date | None
    trouble: bool
    soon: bool

    @property
    def good_path(self) -> str:
        return _path(self.good, self.y)

    @property
    def bad_path(self) -> str:
        return _path(self.bad, self.y)


def draw_bar(kind: str, code: str, place: int, stretches: Sequence[Stretch], axis: Axis, today: date) -> Bar:
    """The bar in lane ``place``, counted from 0. ``stretches`` follow each other without a gap and hold ``today``."""
    good, bad = _days(stretches)
    now = next(stretch for stretch in stretches if stretch.start <= today < stretch.end)
    told, expires_on, trouble, soon = _told(now, stretches, today)
    return Bar(
        kind=kind,
        code=code,
        y=LANE * place + 4,
        good=_drawn(good, axis),
        bad=_drawn(bad, axis),
        told=told,
        word_x=axis.width + 10,
        expires_on=expires_on,
        trouble=trouble,
        soon=soon,
    )


def _days(stretches: Sequence[Stretch]) -> tuple[Days, Days]:
    """The days that are current and the days that are not, each as (first, last) in order."""
    good: Days = []
    bad: Days = []
    for stretch in stretches:
        if stretch.timeline is None:
            continue
        edge = stretch.start
        for first, last in stretch.timeline.runs:
            begins = max(first, edge)
            ends = stretch.end - DAY if last is None or last >= stretch.end else last
            if begins > ends:
                continue
            if begins > edge:
                _add(bad, edge, begins - DAY)
            _add(good, begins, ends)
            edge = ends + DAY
        if edge < stretch.end:
            _add(bad, edge, stretch.end - DAY)
    return good, bad


def _add(days: Days, first: date, last: date) -> None:
    if days and days[-1][1] + DAY == first:
        days[-1] = (days[-1][0], last)
    else:
        days.append((first, last))


def _drawn(days: Days, axis: Axis) -> list[tuple[float, float]]:
    return [drawn for first, last in days if (drawn := axis.bar(first, last)) is not None]


def _told(now: Stretch, stretches: Sequence[Stretch], today: date) -> tuple[Told, date | None, bool, bool]:
    """What is told beside the bar, the last valid day from today on, whether it is out, whether it expires soon."""
    if now.timeline is None:
        asked = next((s for s in stretches if s.start > today and s.timeline is not None), None)
        if asked is None or asked.timeline is None:
            return Told(), None, False, False
        ready = asked.timeline.state_on(asked.start) in CURRENT
        return Told("asked from", asked.start), None if ready else asked.start - DAY, False, not ready
    state = now.timeline.state_on(today)
    run = now.timeline.run_on(today)
    if state in CURRENT:
        last, by_policy = _last_day(now, stretches, today)
        if last is None:
            return Told(), None, False, False
        soon = state == "expires soon" or by_policy
        return Told("expires" if soon else "until", last), last, False, soon
    if state == "expired" and run and run[1]:
        return Told("expired", run[1]), None, True, False
    if state == "missing" and run and run[1]:
        return Told("withdrawn", run[1] + DAY), None, True, False
    # Expired with no run that ended can't be; the rule says missing then.
    return Told(state), None, True, False


def _last_day(now: Stretch, stretches: Sequence[Stretch], today: date) -> tuple[date | None, bool]:
    """The last day of the run that today is in, through later policies; and whether a policy is what ends it."""
    day = today
    for stretch in stretches[stretches.index(now) :]:
        if stretch.timeline is None:
            return None, False
        day = max(day, stretch.start)
        if stretch.timeline.state_on(day) not in CURRENT:
            return stretch.start - DAY, True
        run = stretch.timeline.run_on(day)
        last = run[1] if run else None
        if stretch is stretches[-1] or (last is not None and last < stretch.end):
            return last, False
    return None, False


def _path(pieces: Sequence[tuple[float, float]], y: int) -> str:
    return "".join(f"M{x} {y}h{w}v{BAR_HEIGHT}h-{w}z" for x, w in pieces)
