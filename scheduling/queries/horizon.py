"""Clearances over time against the clinics they touch; standing is asked of each clinic's own day."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.core.paginator import Page, Paginator

from clinics.models import Status
from people.models import Volunteer
from people.queries.standing import StandingBook, open_book
from people.rules.standing import PolicyRow, Standing
from people.rules.standing_words import why_not
from people.rules.timeline import Timeline
from scheduling.models import Assignment
from scheduling.rules.axis import Axis, months_from
from scheduling.words import long_day

__all__ = ["Broken", "Filters", "HorizonPage", "HorizonRow", "broken_assignments", "horizon_page"]

MONTHS = 12
MONTH_WIDTH = 52
# Room at the right of the bars for the lapse in words, clear of every clinic line.
WORD_WIDTH = 150
PER_PAGE = 200
MOST_BROKEN = 20  # listed in words above the drawing; the drawing has them all


@dataclass(frozen=True)
class Broken:
    """A live assignment whose person can't stand on the clinic's day."""

    assignment: Assignment
    standing: Standing
    words: list[str]


def live_ahead(now: datetime, until: datetime | None = None) -> list[Assignment]:
    rows = Assignment.objects.live().filter(shift__clinic__ends_at__gt=now)
    rows = rows.exclude(shift__clinic__status=Status.CANCELLED)
    if until is not None:
        rows = rows.filter(shift__clinic__starts_at__lt=until)
    return list(rows.select_related("volunteer", "shift__clinic__center").order_by("shift__clinic__starts_at", "pk"))


def broken_assignments(now: datetime, days: int | None = None) -> list[Broken]:
    """Live assignments on coming clinics whose standing fails on the clinic's day. Four queries."""
    rows = live_ahead(now, None if days is None else now + timedelta(days=days))
    return _broken(rows, open_book({row.volunteer_id for row in rows}), now)


def _broken(rows: Iterable[Assignment], book: StandingBook, now: datetime) -> list[Broken]:
    out = []
    for row in rows:
        clinic = row.shift.clinic
        standing = book.on(row.volunteer_id, row.shift.duty, clinic.day, clinic.center.place)
        if not standing.ok:
            today = now.astimezone(clinic.center.tz).date()
            out.append(Broken(row, standing, why_not(standing, book.kind_names, clinic.day, today)))
    return out


@dataclass(frozen=True)
class Bar:
    """One kind of clearance: its stretches in date as (left, width), and where it is out of date."""

    kind: str
    code: str
    y: int
    good: list[tuple[float, float]]
    bad: list[tuple[float, float]]
    word: str
    word_x: float
    lapses_on: date | None
    trouble: bool
    soon: bool


@dataclass(frozen=True)
class ClinicMark:
    x: float
    breaks: bool
    words: str


@dataclass(frozen=True)
class HorizonRow:
    volunteer: Volunteer
    bars: list[Bar]
    marks: list[ClinicMark]
    broken: list[Broken]

    @property
    def height(self) -> int:
        return 28 * max(1, len(self.bars)) + 24

    @property
    def lines_end(self) -> int:
        return self.height - 18

    @property
    def renew(self) -> str:
        """The kind that is worst off, for the button beside the name."""
        troubled = [bar.code for bar in self.bars if bar.trouble]
        dated = sorted((bar.lapses_on, bar.code) for bar in self.bars if bar.lapses_on)
        return troubled[0] if troubled else dated[0][1] if dated else (self.bars[0].code if self.bars else "")

    @property
    def sentences(self) -> list[str]:
        """Everything that the drawing shows, in words."""
        out = [f"{bar.kind}: {bar.word or 'in date throughout'}" for bar in self.bars]
        return out + [mark.words for mark in self.marks]


@dataclass(frozen=True)
class HorizonPage:
    page: Page[Volunteer]
    rows: list[HorizonRow]
    axis: Axis
    months: list[tuple[float, date]]
    today_x: float
    breaking: int  # volunteers who lapse before a clinic that they are on
    broken: list[Broken]
    more_broken: int
    width: int

    @property
    def grid(self) -> str:
        """The months' lines as one path, taller than any row; the drawing cuts it off."""
        return "".join(f"M{x} -10V400" for x, _ in self.months)


@dataclass(frozen=True)
class Filters:
    """What the page is narrowed to; empty means everything."""

    only_breaking: bool = False
    duty: str = ""
    kind: str = ""
    center: int | None = None


def horizon_page(now: datetime, today: date, filters: Filters, page: str | None) -> HorizonPage:
    """One page of volunteers, those who break a clinic first, then the soonest lapse. Constant queries."""
    axis = Axis.of_months(today, MONTHS, MONTHS * MONTH_WIDTH)
    rows = live_ahead(now)
    if filters.center is not None:
        rows = [row for row in rows if row.shift.clinic.center_id == filters.center]
    touched = {row.volunteer_id for row in rows}
    people = Volunteer.objects.active()
    if filters.duty:
        people = people.holding(filters.duty)
    everybody = [p for p in people.only("pk", "name", "duties") if filters.center is None or p.pk in touched]
    book = open_book({p.pk for p in everybody} | touched)
    broken = _broken(rows, book, now)
    by_person: dict[int, list[Broken]] = defaultdict(list)
    for one in broken:
        by_person[one.assignment.volunteer_id].append(one)
    if filters.only_breaking:
        everybody = [p for p in everybody if p.pk in by_person]
    if filters.kind:
        everybody = [p for p in everybody if filters.kind in book.kinds_for(p.duties, today)]
    ordered = sorted(everybody, key=lambda p: (p.pk not in by_person, _soonest(p, book, today), p.name))
    shown: Page[Volunteer] = Paginator(ordered, PER_PAGE).get_page(page)
    marks: dict[int, list[Assignment]] = defaultdict(list)
    for row in rows:
        marks[row.volunteer_id].append(row)
    return HorizonPage(
        page=shown,
        rows=[
            _row(p, book, axis, today, marks.get(p.pk, []), by_person.get(p.pk, []), filters.kind)
            for p in shown.object_list
        ],
        axis=axis,
        months=[(axis.x(month), month) for month in months_from(today, MONTHS)],
        today_x=axis.x(today),
        breaking=len(by_person),
        broken=broken[:MOST_BROKEN],
        more_broken=max(0, len(broken) - MOST_BROKEN),
        width=MONTHS * MONTH_WIDTH + WORD_WIDTH,
    )


def _soonest(person: Volunteer, book: StandingBook, today: date) -> date:
    """The last day on which every duty's clearances are in date; what is out already comes first."""
    days = [date.max]
    for duty in person.duties:
        standing = book.on(person.pk, duty, today)
        days.append(date.min if not standing.ok else standing.ok_until or date.max)
    return min(days)


def _strictest(person: Volunteer, book: StandingBook, today: date) -> dict[str, PolicyRow]:
    """Per kind that any of the person's duties needs, the row with the fewest months."""
    out: dict[str, PolicyRow] = {}
    rows_today = book.rows_on(today)
    for code in book.kinds_for(person.duties, today):
        rows = [row for duty in person.duties for row in rows_today.get(duty, []) if row.kind == code]
        out[code] = min(rows, key=lambda row: row.months or 9999)
    return out


def _row(
    person: Volunteer,
    book: StandingBook,
    axis: Axis,
    today: date,
    assignments: Sequence[Assignment],
    broken: list[Broken],
    only_kind: str = "",
) -> HorizonRow:
    bars = []
    needed = {code: row for code, row in _strictest(person, book, today).items() if only_kind in ("", code)}
    for place, (code, policy) in enumerate(needed.items()):
        records = [record for record in book.clearances.get(person.pk, []) if record.kind == code]
        bars.append(_bar(book.kind_names[code], code, place, Timeline(records, policy), axis, today))
    failing = {one.assignment.pk: one.words for one in broken}
    marks = []
    for row in assignments:
        clinic = row.shift.clinic
        if axis.shows(clinic.day):
            words = f"{clinic.center.name}, {long_day(clinic.day)}, {row.shift.get_duty_display()}"
            if row.pk in failing:
                words += f": {'; '.join(failing[row.pk])}"
            marks.append(ClinicMark(axis.x(clinic.day), row.pk in failing, words))
    return HorizonRow(person, bars, marks, broken)


def _bar(kind: str, code: str, place: int, timeline: Timeline, axis: Axis, today: date) -> Bar:
    good: list[tuple[float, float]] = []
    bad: list[tuple[float, float]] = []
    edge = axis.start
    for first, last in timeline.runs:
        drawn = axis.bar(first, last)
        if drawn is None:
            continue
        gap = axis.bar(edge, first - timedelta(days=1)) if first > edge else None
        if gap:
            bad.append(gap)
        good.append(drawn)
        edge = axis.end if last is None else last + timedelta(days=1)
    rest = axis.bar(edge, axis.end) if edge < axis.end else None
    if rest:
        bad.append(rest)
    run = timeline.run_on(today)
    state = timeline.state_on(today)
    word, lapses_on = "", None
    if state in ("in date", "lapsing"):
        lapses_on = run[1] if run else None
        if lapses_on is not None:
            word = f"{'lapses after' if state == 'lapsing' else 'until'} {_short(lapses_on, today)}"
    elif state == "lapsed" and run and run[1]:
        word = f"lapsed after {_short(run[1], today)}"
    else:
        word = {"missing": "none on record", "awaiting": "result awaited", "refused": "not cleared"}[state]
    return Bar(
        kind=kind,
        code=code,
        y=28 * place + 4,
        good=good,
        bad=bad,
        word=word,
        word_x=axis.width + 10,
        lapses_on=lapses_on,
        trouble=state not in ("in date", "lapsing"),
        soon=state == "lapsing",
    )


def _short(day: date, today: date) -> str:
    return f"{day.day} {day:%b}" + ("" if day.year == today.year else f" {day.year}")
