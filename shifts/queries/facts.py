"""Everything matching needs to know of some days' clinics, read in a constant number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from itertools import pairwise

from clinics.formatting import clinic_words
from clinics.models import Clinic
from core import clock
from people.models import Volunteer, duties
from people.queries.standing import StandingBook, open_book
from people.rules.timeline import State, Timeline
from shifts.models import AskingRules, Assignment, KeptApart, Reply, Shift
from shifts.queries.availability import availability_of, hours_of
from shifts.queries.eligibility import assignment_period, where_words
from shifts.queries.shift_needs import RATIO_DUTIES, ratio_adults
from shifts.rules.availability import Availability
from shifts.rules.matching import Options, Person, Position, Requirement, Stay

__all__ = ["Facts", "clinics_between", "gather", "requirements"]

SEASON = timedelta(weeks=26)


@dataclass(frozen=True)
class Facts:
    """What a search is given, and the rows behind the numbers."""

    positions: list[Position]
    people: list[Person]
    options: Options
    shifts: dict[int, Shift]
    volunteers: dict[int, Volunteer]
    clinics: dict[int, Clinic]
    book: StandingBook


def clinics_between(first: date, last: date, now: datetime) -> list[Clinic]:
    """Coming clinics on these days of their own centers, soonest first."""
    begin = datetime.combine(first, datetime.min.time(), now.tzinfo) - timedelta(days=1)
    end = datetime.combine(last, datetime.min.time(), now.tzinfo) + timedelta(days=2)
    rows = Clinic.objects.live().between(begin, end).filter(starts_at__gt=now).select_related("center")
    rows = rows.prefetch_related("bands", "hand_needs").order_by("starts_at", "pk")
    return [clinic for clinic in rows if first <= clinic.day <= last]


def gather(clinics: Sequence[Clinic], now: datetime, **options: object) -> Facts:
    """Read what matching needs to know about these clinics. ``options`` become fields of ``Options``.

    The clinics need ``center``, ``bands`` and ``hand_needs`` loaded.
    """
    by_id = {clinic.pk: clinic for clinic in clinics}
    shifts = {s.pk: s for s in Shift.objects.filter(clinic__in=by_id).order_by("clinic_id", "position")}
    for shift in shifts.values():
        shift.clinic = by_id[shift.clinic_id]
    wanted = {shift.duty_id for shift in shifts.values()}
    volunteers = {v.pk: v for v in Volunteer.objects.active().filter(duties__overlap=sorted(wanted))}
    span = _span(clinics, now)
    rows = list(
        Assignment.objects.live().filter(period__overlap=span).select_related("shift__clinic__center").order_by("pk")
    )
    inside = {row.shift_id: row for row in rows if row.shift.clinic_id in by_id}
    volunteers |= {
        v.pk: v for v in Volunteer.objects.filter(pk__in={r.volunteer_id for r in inside.values()} - set(volunteers))
    }
    book = open_book(volunteers)
    positions = [_position(shift, inside.get(shift.pk), book) for shift in shifts.values()]
    made = Options(adults_needed={c.pk: ratio_adults(c) for c in clinics}, **options)  # type: ignore[arg-type]
    outside = [row for row in rows if row.shift.clinic_id not in by_id]
    people = _People(volunteers, book, clinics, positions, outside, made, now)
    return Facts(positions, people.all(), made, shifts, volunteers, by_id, book)


def _span(clinics: Sequence[Clinic], now: datetime) -> tuple[datetime, datetime]:
    """The season around the clinics: what was given lately and what is promised count for evenness and for limits."""
    first = min((clinic.starts_at for clinic in clinics), default=now)
    last = max((clinic.ends_at for clinic in clinics), default=now)
    return min(first, now) - SEASON, last + timedelta(days=40)


def _position(shift: Shift, row: Assignment | None, book: StandingBook) -> Position:
    clinic = shift.clinic
    starts, ends = (moment.astimezone(clinic.center.tz) for moment in assignment_period(clinic))
    accepted = row.volunteer_id if row is not None and row.reply == Reply.ACCEPTED else None
    return Position(
        id=shift.pk,
        clinic=clinic.pk,
        duty=shift.duty_id,
        starts=starts,
        ends=ends,
        center=clinic.center_id,
        place=clinic.center.place,
        point=clinic.center.point,
        rank=duties().rank(shift.duty_id),
        in_ratio=shift.duty_id in RATIO_DUTIES,
        accepted=accepted,
        asked=row.volunteer_id if row is not None and accepted is None else None,
        cannot=accepted is not None and not book.on(accepted, shift.duty_id, clinic.day, clinic.center.place).ok,
        title=clinic_words(clinic),
    )


class _People:
    def __init__(
        self,
        volunteers: dict[int, Volunteer],
        book: StandingBook,
        clinics: Sequence[Clinic],
        positions: Sequence[Position],
        outside: Sequence[Assignment],
        options: Options,
        now: datetime,
    ) -> None:
        self.volunteers, self.book, self.positions, self.options = volunteers, book, positions, options
        self.told = availability_of(volunteers)
        self.rows: dict[int, list[Assignment]] = defaultdict(list)
        for row in outside:
            self.rows[row.volunteer_id].append(row)
        self.may_ask = self._may_ask(now)
        self.declined: dict[int, set[int]] = defaultdict(set)
        said_no = Assignment.objects.filter(shift__clinic__in=[c.pk for c in clinics], reply=Reply.DECLINED)
        for volunteer_id, clinic_id in said_no.values_list("volunteer_id", "shift__clinic_id"):
            self.declined[volunteer_id].add(clinic_id)
        self.apart: dict[int, set[int]] = defaultdict(set)
        for one, other in KeptApart.objects.values_list("one_id", "other_id"):
            self.apart[one].add(other)
            self.apart[other].add(one)
        days = [p.day for p in positions] or [now.astimezone(clock.home_zone()).date()]
        self.first, self.last = min(days), max(days)
        self.now = now

    def _may_ask(self, now: datetime) -> dict[int, int]:
        """How many questions each may still be asked beyond those that are open, coming clinics only."""
        most = AskingRules.current().most_open
        left = dict.fromkeys(self.volunteers, most)
        for volunteer_id in (
            Assignment.objects.unanswered(now)
            .filter(volunteer__in=self.volunteers)
            .values_list("volunteer_id", flat=True)
        ):
            left[volunteer_id] -= 1
        return {pk: max(0, count) for pk, count in left.items()}

    def all(self) -> list[Person]:
        return [self._person(volunteer) for volunteer in sorted(self.volunteers.values(), key=lambda v: v.pk)]

    def _person(self, volunteer: Volunteer) -> Person:
        rows = self.rows.get(volunteer.pk, [])
        person = Person(
            id=volunteer.pk,
            name=volunteer.name,
            duties=frozenset(volunteer.duties),
            home=volunteer.home,
            known=self.told.get(volunteer.pk, Availability()),
            needs={
                (duty, place): requirements(self.book, volunteer.pk, duty, place, self.first, self.last)
                for duty, place in {(p.duty, p.place) for p in self.positions}
            },
            stays=tuple(self._stay(row) for row in rows if row.period.upper > self.now),
            apart=frozenset(self.apart.get(volunteer.pk, ())),
            declined=frozenset(self.declined.get(volunteer.pk, ())),
            served=frozenset(row.shift.clinic.center_id for row in rows if row.reply == Reply.ACCEPTED),
            load=len(rows),
            may_ask=self.may_ask.get(volunteer.pk),
            adult=volunteer.adult,
            left_on=volunteer.left_on,
        )
        return replace(person, used=self._used(person, rows))

    def _stay(self, row: Assignment) -> Stay:
        clinic = row.shift.clinic
        return Stay(
            row.period.lower,
            row.period.upper,
            clinic.center.point,
            where_words(clinic),
            clinic.pk,
            row.shift.duty_name,
            str(row.get_reply_display()),
        )

    def _used(self, person: Person, rows: Iterable[Assignment]) -> dict[tuple[int, int], tuple[int, float]]:
        used: dict[tuple[int, int], tuple[int, float]] = {}
        for row in rows:
            begins = row.period.lower.astimezone(row.shift.clinic.center.tz)
            shifts, hours = used.get((begins.year, begins.month), (0, 0.0))
            used[begins.year, begins.month] = shifts + 1, hours + hours_of(row, person.home)
        return used


def requirements(
    book: StandingBook, volunteer_id: int, duty: str, place: str, first: date, last: date
) -> tuple[Requirement, ...]:
    """List what a duty asks for at a place from ``first`` through ``last``, an entry for each stretch of one policy."""
    changes = {dated.from_day for dated in book.policy if first < dated.from_day <= last}
    records = book.clearances.get(volunteer_id, [])
    found = []
    for begins, until in pairwise([first, *sorted(changes), date.max]):
        for row in book.rows_on(begins, place).get(duty, []):
            timeline = Timeline([record for record in records if record.kind == row.kind], row)
            name = book.kind_names.get(row.kind, row.kind)
            found.append(Requirement(row.kind, name, tuple(timeline.runs), begins, until, _troubles(timeline, begins)))
    return tuple(found)


def _troubles(timeline: Timeline, first: date) -> tuple[tuple[date, State], ...]:
    """What the kind is from ``first`` on, whenever it is not current."""
    days = [first, *(day for day in timeline.change_days if day > first)]
    states = ((day, timeline.state_on(day)) for day in days)
    return tuple((day, state) for day, state in states if state not in ("current", "expires soon"))
