"""Clearances over time against the clinics they touch; standing is asked of each clinic's own day."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.core.paginator import Page, Paginator
from django.db.models import Q
from django.utils.translation import gettext

from clinics.models import Status
from core.formats import long_day
from people.models import Volunteer
from people.queries.standing import StandingBook, open_book
from people.rules import standing as rule
from people.rules.standing import PolicyRow, Standing
from people.rules.timeline import Timeline
from people.words.standing import why_not
from shifts.models import Assignment
from shifts.rules.axis import Axis, months_from
from shifts.rules.bars import LANE, Bar, Stretch, draw_bar
from shifts.words.bars import bar_words

__all__ = ["Broken", "Filters", "HorizonPage", "HorizonRow", "broken_assignments", "horizon_page"]

MONTHS = 12
MONTH_WIDTH = 52
# Room at the right of the bars for what is said of each, clear of every clinic line.
WORD_WIDTH = 210
PER_PAGE = 200
MOST_BROKEN = 20  # listed in words above the drawing; the drawing has them all


@dataclass(frozen=True)
class Broken:
    """A live assignment whose person isn't cleared on the clinic's day."""

    assignment: Assignment
    standing: Standing
    words: list[str]


def live_ahead(now: datetime, until: datetime | None = None) -> list[Assignment]:
    """Live assignments on clinics that are not over, soonest first, with volunteer, clinic and center. One query."""
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
        standing = book.on(row.volunteer_id, row.shift.duty_id, clinic.day, clinic.center.place)
        if not standing.ok:
            today = now.astimezone(clinic.center.tz).date()
            out.append(Broken(row, standing, why_not(standing, book.kind_names, clinic.day, today)))
    return out


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
        return LANE * max(1, len(self.bars)) + 24

    @property
    def lines_end(self) -> int:
        return self.height - 18

    @property
    def renew(self) -> str:
        """The kind that is worst off, for the button beside the name."""
        troubled = [bar.code for bar in self.bars if bar.trouble]
        dated = sorted((bar.expires_on, bar.code) for bar in self.bars if bar.expires_on)
        return troubled[0] if troubled else dated[0][1] if dated else (self.bars[0].code if self.bars else "")

    @property
    def told(self) -> str:
        """Everything that the drawing shows, in sentences."""
        out = [f"{bar.kind}: {bar_words(bar.told) or gettext('current for the whole period')}" for bar in self.bars]
        out += [mark.words for mark in self.marks]
        return " ".join(f"{words[:1].upper()}{words[1:]}." for words in (self.volunteer.name, *out))


@dataclass(frozen=True)
class HorizonPage:
    page: Page[Volunteer]
    rows: list[HorizonRow]
    axis: Axis
    months: list[tuple[float, date]]
    today_x: float
    breaking: int  # volunteers who expire before a clinic that they are on
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
    """One page of volunteers, those who break a clinic first, then the soonest expiry. Constant queries."""
    axis = Axis.of_months(today, MONTHS, MONTHS * MONTH_WIDTH)
    rows = live_ahead(now)
    if filters.center is not None:
        rows = [row for row in rows if row.shift.clinic.center_id == filters.center]
    touched = {row.volunteer_id for row in rows}
    everybody = _people(filters, touched)
    book = open_book(p.pk for p in everybody)
    if filters.kind:
        everybody = [p for p in everybody if filters.kind in book.kinds_for(p.duties, today)]
    listed = {p.pk for p in everybody}
    rows = [row for row in rows if row.volunteer_id in listed]
    broken = _broken(rows, book, now)
    by_person: dict[int, list[Broken]] = defaultdict(list)
    for one in broken:
        by_person[one.assignment.volunteer_id].append(one)
    if filters.only_breaking:
        everybody = [p for p in everybody if p.pk in by_person]
    soonest = _soonest(everybody, book, today)
    ordered = sorted(everybody, key=lambda p: (p.pk not in by_person, soonest[p.pk], p.name))
    shown: Page[Volunteer] = Paginator(ordered, PER_PAGE).get_page(page)
    marks: dict[int, list[Assignment]] = defaultdict(list)
    for row in rows:
        marks[row.volunteer_id].append(row)
    places = {pk: tuple(sorted({"", *(row.shift.clinic.center.place for row in rows)})) for pk, rows in marks.items()}
    plan = _Plan(book, axis, today, filters.kind, places)
    return HorizonPage(
        page=shown,
        rows=[_row(p, plan, marks.get(p.pk, []), by_person.get(p.pk, [])) for p in shown.object_list],
        axis=axis,
        months=[(axis.x(month), month) for month in months_from(today, MONTHS)],
        today_x=axis.x(today),
        breaking=len(by_person),
        broken=broken[:MOST_BROKEN],
        more_broken=max(0, len(broken) - MOST_BROKEN),
        width=MONTHS * MONTH_WIDTH + WORD_WIDTH,
    )


def _people(filters: Filters, touched: set[int]) -> list[Volunteer]:
    """Whom the filters leave. Somebody who has left stays in sight for as long as a coming clinic counts on them."""
    people = Volunteer.objects.filter(Q(left_on__isnull=True) | Q(pk__in=touched))
    if filters.duty:
        people = people.holding(filters.duty)
    rows = people.only("pk", "name", "duties")
    return [p for p in rows if filters.center is None or p.pk in touched]


def _soonest(people: Iterable[Volunteer], book: StandingBook, today: date) -> dict[int, date]:
    """By person, the last day on which every duty's clearances are current; what is out already comes first."""
    asked: dict[tuple[str, ...], list[list[PolicyRow]]] = {}
    out = {}
    for person in people:
        duties = tuple(person.duties)
        if duties not in asked:
            asked[duties] = _merged(duties, book.rows_on(today))
        days = [date.max]
        for rows in asked[duties]:
            standing = rule.standing("", book.clearances.get(person.pk, []), {"": rows}, today)
            days.append(date.min if not standing.ok else standing.ok_until or date.max)
        out[person.pk] = min(days)
    return out


def _merged(duties: Iterable[str], rows: Mapping[str, Sequence[PolicyRow]]) -> list[list[PolicyRow]]:
    """What several duties ask, in the fewest lists that name each kind once: most duties ask the same of a kind."""
    lists: list[dict[str, PolicyRow]] = []
    for row in (row for duty in duties for row in rows.get(duty, [])):
        for known in lists:
            same = known.setdefault(row.kind, row)
            if (same.months, same.overlap) == (row.months, row.overlap):
                break
        else:
            lists.append({row.kind: row})
    return [list(known.values()) for known in lists]


class _Plan:
    """What every row of one page is drawn from."""

    def __init__(
        self, book: StandingBook, axis: Axis, today: date, only_kind: str, places: Mapping[int, tuple[str, ...]]
    ) -> None:
        self.book, self.axis, self.today, self.only_kind, self.places = book, axis, today, only_kind, places
        changes = {dated.from_day for dated in book.policy if axis.start < dated.from_day < axis.end}
        self.starts = [axis.start, *sorted(changes)]
        self._asked: dict[tuple[tuple[str, ...], tuple[str, ...]], list[dict[str, PolicyRow]]] = {}

    def asked(self, person: Volunteer) -> list[dict[str, PolicyRow]]:
        """From each day in ``starts``: per kind that a duty of theirs needs, the row with the fewest months.

        What a place asks for itself counts for whoever has a coming clinic there.
        """
        duties, places = tuple(person.duties), self.places.get(person.pk, ("",))
        if (duties, places) not in self._asked:
            self._asked[duties, places] = [self._strictest(duties, places, day) for day in self.starts]
        return self._asked[duties, places]

    def _strictest(self, duties: Sequence[str], places: Sequence[str], day: date) -> dict[str, PolicyRow]:
        found: dict[str, list[PolicyRow]] = {}
        for place in places:
            rows_then = self.book.rows_on(day, place)
            for row in (row for duty in duties for row in rows_then.get(duty, [])):
                if self.only_kind in ("", row.kind):
                    found.setdefault(row.kind, []).append(row)
        return {code: min(rows, key=lambda row: row.months or 9999) for code, rows in found.items()}

    def bars(self, person: Volunteer) -> list[Bar]:
        asked = self.asked(person)
        needed = {code for rows in asked for code in rows}
        codes = [code for code in self.book.kind_names if code in needed]
        return [self._bar(person, code, place, asked) for place, code in enumerate(codes)]

    def _bar(self, person: Volunteer, code: str, place: int, asked: list[dict[str, PolicyRow]]) -> Bar:
        records = [record for record in self.book.clearances.get(person.pk, []) if record.kind == code]
        ends = [*self.starts[1:], self.axis.end]
        stretches = [
            Stretch(start, end, Timeline(records, rows[code]) if code in rows else None)
            for start, end, rows in zip(self.starts, ends, asked, strict=True)
        ]
        return draw_bar(self.book.kind_names[code], code, place, stretches, self.axis, self.today)


def _row(person: Volunteer, plan: _Plan, assignments: Sequence[Assignment], broken: list[Broken]) -> HorizonRow:
    failing = {one.assignment.pk: one.words for one in broken}
    marks = []
    for row in assignments:
        clinic = row.shift.clinic
        if plan.axis.shows(clinic.day):
            facts = {"center": clinic.center.name, "day": long_day(clinic.day), "duty": row.shift.duty_name}
            words = gettext("%(center)s, %(day)s, %(duty)s") % facts
            if row.pk in failing:
                facts["why"] = "; ".join(failing[row.pk])
                words = gettext("%(center)s, %(day)s, %(duty)s: %(why)s") % facts
            marks.append(ClinicMark(plan.axis.x(clinic.day), row.pk in failing, words))
    return HorizonRow(person, plan.bars(person), marks, broken)
