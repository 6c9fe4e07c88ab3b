"""Who could take a shift, best first, and for everybody else the reason why not."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from clinics.models import Center, Clinic
from people.models import Volunteer
from people.queries.standing import StandingBook, open_book
from people.rules.standing_words import why_not, worth_knowing
from scheduling.models import BE_THERE_BEFORE, STAY_AFTER, Assignment, Reply, Shift
from scheduling.queries.availability import ROADS, MonthLoad, availability_of, month_loads
from scheduling.rules.availability import Availability, why_unavailable
from scheduling.rules.matching import Stay
from scheduling.rules.matching.pairs import drive_minutes, reachable, trip_km
from scheduling.words import clock

__all__ = ["Candidate", "assignment_period", "candidates", "elsewhere", "stays_near", "within_reach"]

Period = tuple[datetime, datetime]


@dataclass(frozen=True)
class Candidate:
    volunteer: Volunteer
    km: float | None  # by road, estimated
    shifts_near: int  # accepted or asked within four weeks either side of the clinic
    why_not: tuple[str, ...]
    worth_knowing: tuple[str, ...]
    declined_on: date | None

    @property
    def can(self) -> bool:
        return not self.why_not

    @property
    def rank(self) -> tuple[bool, int, bool, float, str]:
        """Best first: not declined before, fewest shifts lately, lapses late, nearest; then by name.

        Fairness before distance keeps one near neighbour from being asked every week.
        """
        far = self.km if self.km is not None else 9999.0
        return (
            self.declined_on is not None,
            self.shifts_near,
            bool(self.worth_knowing),
            far,
            self.volunteer.name,
        )


def assignment_period(clinic: Clinic) -> Period:
    """From being there to going home: what a person's other shifts may not touch."""
    return clinic.starts_at - BE_THERE_BEFORE, clinic.ends_at + STAY_AFTER


def elsewhere(volunteer: Volunteer, period: Period, but_for: Assignment | None = None) -> Assignment | None:
    """The live assignment that keeps this person from ``period``, if there is one."""
    rows = Assignment.objects.live().filter(volunteer=volunteer, period__overlap=period)
    if but_for is not None:
        rows = rows.exclude(pk=but_for.pk)
    return rows.select_related("volunteer", "shift__clinic__center").order_by("period").first()


def stays_near(volunteer_ids: Iterable[int], period: Period, but_for: Clinic) -> dict[int, list[Assignment]]:
    """By person: their live assignments at other clinics within a day of ``period``, soonest first. One query."""
    day = timedelta(days=1)
    rows = Assignment.objects.live().filter(
        volunteer__in=list(volunteer_ids), period__overlap=(period[0] - day, period[1] + day)
    )
    found: dict[int, list[Assignment]] = defaultdict(list)
    for row in rows.exclude(shift__clinic=but_for).select_related("shift__clinic__center").order_by("period"):
        found[row.volunteer_id].append(row)
    return found


def within_reach(stay: Assignment, period: Period, center: Center) -> bool:
    """Whether somebody can be at ``stay`` and, before or after it, at ``center`` for ``period``: the drive counted."""
    there = Stay(stay.period.lower, stay.period.upper, stay.shift.clinic.center.point)
    return reachable(there, Stay(*period, center.point), ROADS)


def candidates(shift: Shift, today: date) -> list[Candidate]:
    """Everybody who holds the duty, those who can first. Ten queries, however many volunteers there are.

    ``shift`` needs ``clinic__center`` loaded.
    """
    clinic = shift.clinic
    people = list(Volunteer.objects.active().holding(shift.duty))
    book = open_book(person.pk for person in people)
    busy = _busy(clinic)
    near = _shifts_near(clinic)
    told = availability_of(person.pk for person in people)
    loads = month_loads(told, clinic.starts_at, clinic.center.tz)
    declined = _declined(shift)
    out = [
        Candidate(
            volunteer=person,
            km=_km(person, clinic),
            shifts_near=near.get(person.pk, 0),
            why_not=(
                *_reasons(person, shift.duty, clinic, book, busy, today),
                *_unavailable(person, clinic, told, loads),
            ),
            worth_knowing=tuple(
                worth_knowing(
                    book.on(person.pk, shift.duty, clinic.day, clinic.center.place), book.kind_names, clinic.day
                )
            ),
            declined_on=declined.get(person.pk),
        )
        for person in people
    ]
    return sorted(out, key=lambda c: (not c.can, *c.rank))


def _reasons(
    person: Volunteer,
    duty: str,
    clinic: Clinic,
    book: StandingBook,
    busy: dict[int, Assignment],
    today: date,
) -> Iterable[str]:
    yield from why_not(book.on(person.pk, duty, clinic.day, clinic.center.place), book.kind_names, clinic.day, today)
    other = busy.get(person.pk)
    if other is not None and other.shift.clinic_id == clinic.pk:
        yield f"already on this clinic as {other.shift.duty_name} ({other.get_reply_display()})"
    elif other is not None:
        there = other.shift.clinic
        yield f"at {there.center.name} from {clock(there.local_start)} that day ({other.get_reply_display()})"


def _unavailable(
    person: Volunteer, clinic: Clinic, told: dict[int, Availability], loads: dict[int, MonthLoad]
) -> list[str]:
    known = told.get(person.pk)
    if known is None:
        return []
    load = loads.get(person.pk, MonthLoad())
    starts, ends = (moment.astimezone(clinic.center.tz) for moment in assignment_period(clinic))
    return why_unavailable(
        known,
        starts,
        ends,
        shifts_that_month=load.shifts,
        hours_that_month=load.hours,
        km=_km(person, clinic),
        way_hours=2 * drive_minutes(person.home, clinic.center.point, ROADS) / 60,
    )


def _busy(clinic: Clinic) -> dict[int, Assignment]:
    rows = Assignment.objects.live().filter(period__overlap=assignment_period(clinic))
    return {row.volunteer_id: row for row in rows.select_related("shift__clinic__center")}


def _shifts_near(clinic: Clinic) -> dict[int, int]:
    span = (clinic.starts_at - timedelta(weeks=4), clinic.starts_at + timedelta(weeks=4))
    count: dict[int, int] = defaultdict(int)
    for volunteer_id in Assignment.objects.live().filter(period__overlap=span).values_list("volunteer_id", flat=True):
        count[volunteer_id] += 1
    return count


def _declined(shift: Shift) -> dict[int, date]:
    rows = Assignment.objects.filter(shift__clinic=shift.clinic_id, reply=Reply.DECLINED, replied_at__isnull=False)
    tz = shift.clinic.center.tz
    return {
        volunteer_id: replied_at.astimezone(tz).date()
        for volunteer_id, replied_at in rows.values_list("volunteer_id", "replied_at")
        if replied_at is not None
    }


def _km(person: Volunteer, clinic: Clinic) -> float | None:
    return trip_km(person.home, clinic.center.point, ROADS)
