"""The policy as it stands, and what a change to it would do before it is saved."""

from dataclasses import dataclass
from datetime import date, datetime

from people.models import PolicyRow, Volunteer, duties
from people.queries.standing import open_book
from people.services.policy import PolicyChange
from people.words.standing import why_not
from shifts.models import Assignment
from shifts.queries.horizon import live_ahead

__all__ = ["ClinicEffect", "Effects", "PersonEffect", "PolicyLine", "effects_of", "policy_lines"]


@dataclass(frozen=True)
class PolicyLine:
    """One row in force or to come; ``now`` when it is what holds today."""

    row: PolicyRow
    duty: str
    now: bool


@dataclass(frozen=True)
class PersonEffect:
    volunteer: Volunteer
    duty: str
    reasons: list[str]


@dataclass(frozen=True)
class ClinicEffect:
    assignment: Assignment
    reasons: list[str]


@dataclass(frozen=True)
class Effects:
    """Who could stand on the change's first day and no longer can, and which coming shifts would break."""

    people: list[PersonEffect]
    shifts: list[ClinicEffect]
    regained: int  # people who could not stand for the duty on that day and then can


def policy_lines(today: date) -> list[PolicyLine]:
    """List, by duty, the rows that hold today and those to come, without those that a later row replaced. One query."""
    names, lines = duties(), []
    latest: dict[tuple[str, int, str], int] = {}
    rows = list(PolicyRow.objects.select_related("kind").order_by("from_day", "pk"))
    for row in rows:
        if row.from_day <= today:
            latest[row.duty_id, row.kind_id, row.place] = row.pk
    current = set(latest.values())
    for row in rows:
        if (row.pk in current and row.required) or row.from_day > today:
            lines.append(PolicyLine(row, names.name(row.duty_id), row.pk in current))
    return sorted(
        lines, key=lambda line: (names.rank(line.row.duty_id), line.row.duty_id, line.row.place, line.row.kind_id)
    )


def effects_of(change: PolicyChange, now: datetime) -> Effects:
    """Compare standing with and without the change. Constant queries."""
    day = change.from_day
    people = list(Volunteer.objects.active().holding(change.duty))
    rows = [row for row in live_ahead(now) if row.shift.clinic.day >= day and row.shift.duty_id == change.duty]
    book = open_book({p.pk for p in people} | {row.volunteer_id for row in rows})
    after = book.with_change(change.dated())
    fallen, regained = [], 0
    for person in people:
        was = book.on(person.pk, change.duty, day, change.place)
        then = after.on(person.pk, change.duty, day, change.place)
        if was.ok and not then.ok:
            reasons = why_not(then, book.kind_names, day, day, "change")
            fallen.append(PersonEffect(person, duties().name(change.duty), reasons))
        elif then.ok and not was.ok:
            regained += 1
    shifts = []
    for row in rows:
        clinic = row.shift.clinic
        where = clinic.center.place
        was = book.on(row.volunteer_id, change.duty, clinic.day, where)
        then = after.on(row.volunteer_id, change.duty, clinic.day, where)
        if was.ok and not then.ok:
            today = now.astimezone(clinic.center.tz).date()
            shifts.append(ClinicEffect(row, why_not(then, book.kind_names, clinic.day, today)))
    return Effects(fallen, shifts, regained)
