"""The facts that ``rules/eligibility.py`` decides by, for many people and one duty at one clinic."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext

from clinics.formatting import clinic_words
from clinics.models import BE_THERE_BEFORE, STAY_AFTER, Center, Clinic
from core.formats import span
from people.models import Volunteer, duties
from people.queries.standing import StandingBook, open_book
from shifts.models import Assignment, KeptApart, Reply
from shifts.queries.availability import ROADS, MonthLoad, availability_of, month_loads
from shifts.rules.availability import Availability
from shifts.rules.eligibility import (
    NEVER,
    Candidacy,
    Engagement,
    Kind,
    Reason,
    Wanted,
    reasons_against,
)
from shifts.rules.matching import Stay
from shifts.rules.matching.pairs import drive_minutes, reachable, shift_minutes, trip_km

__all__ = ["Eligibility", "assignment_period", "bars", "gather", "stays_near", "where_words", "within_reach"]

Period = tuple[datetime, datetime]


@dataclass(frozen=True)
class Eligibility:
    """What is wanted, and what is known of each person asked about, by number."""

    wanted: Wanted
    people: dict[int, Candidacy]
    book: StandingBook
    declined: dict[int, date]

    def against(self, volunteer_id: int) -> list[Reason]:
        """List every reason against this person."""
        return reasons_against(self.wanted, self.people[volunteer_id])


def assignment_period(clinic: Clinic) -> Period:
    """The time a shift takes, from being there to going home; no other shift of the person may touch it."""
    return clinic.starts_at - BE_THERE_BEFORE, clinic.ends_at + STAY_AFTER


def where_words(clinic: Clinic) -> str:
    """Say where and when a clinic is: Saint Orla's Hall on Saturday, November 28, 09:30 to 11:30."""
    facts = {"clinic": clinic_words(clinic), "hours": span(clinic.local_start, clinic.local_end)}
    return gettext("%(clinic)s, %(hours)s") % facts


def gather(people: Iterable[Volunteer], duty: str, clinic: Clinic) -> Eligibility:
    """Read all facts about these people for a duty at a clinic, in a constant number of queries.

    ``clinic`` needs its center loaded. How many questions somebody may be asked at once is no fact of the person:
    whoever asks by themselves counts those.
    """
    found = list(people)
    ids = [person.pk for person in found]
    book = open_book(ids)
    busy = _engagements(ids, clinic)
    told = availability_of(ids)
    loads = month_loads(told, clinic.starts_at, clinic.center.tz)
    there, declined = _on_clinic(clinic)
    apart = _apart(ids, there)
    wanted = _wanted(duty, clinic)
    return Eligibility(
        wanted,
        {
            person.pk: Candidacy(
                duties=frozenset(person.duties),
                adult=person.adult,
                left_on=person.left_on,
                kinds=_kinds(book, person, duty, clinic),
                engagements=busy.get(person.pk, ()),
                known=told.get(person.pk, Availability()),
                shifts=loads.get(person.pk, MonthLoad()).shifts,
                hours=loads.get(person.pk, MonthLoad()).hours,
                takes=shift_minutes(wanted.starts, wanted.ends, person.home, clinic.center.point, ROADS) / 60,
                km=trip_km(person.home, clinic.center.point, ROADS),
                apart=apart.get(person.pk, ()),
                declined=person.pk in declined,
            )
            for person in found
        },
        book,
        declined,
    )


def bars(person: Volunteer, duty: str, clinic: Clinic, *, but_for: Assignment | None = None) -> list[Reason]:
    """List the reasons that bar one person, even when the office asks them by name; what they told us bars nobody.

    ``but_for`` is the assignment in question, which stands in nobody's way.
    """
    facts = Candidacy(
        duties=frozenset(person.duties),
        adult=person.adult,
        left_on=person.left_on,
        kinds=_kinds(open_book([person.pk]), person, duty, clinic),
        engagements=_engagements([person.pk], clinic, but_for).get(person.pk, ()),
    )
    wanted = _wanted(duty, clinic, duties().name(duty))
    return [reason for reason in reasons_against(wanted, facts) if reason.severity == NEVER]


def stays_near(volunteer_ids: Iterable[int], period: Period, but_for: Clinic) -> dict[int, list[Assignment]]:
    """By person, their live assignments at other clinics within a day of ``period``, soonest first. One query."""
    found: dict[int, list[Assignment]] = defaultdict(list)
    for row in _near(volunteer_ids, period):
        if row.shift.clinic_id != but_for.pk:
            found[row.volunteer_id].append(row)
    return found


def within_reach(stay: Assignment, period: Period, center: Center) -> bool:
    """Whether somebody can be at ``stay`` and also at ``center`` for ``period``, with the drive between the two."""
    there = Stay(stay.period.lower, stay.period.upper, stay.shift.clinic.center.point)
    return reachable(there, Stay(*period, center.point), ROADS)


def _wanted(duty: str, clinic: Clinic, name: str = "") -> Wanted:
    starts, ends = (moment.astimezone(clinic.center.tz) for moment in assignment_period(clinic))
    return Wanted(clinic.pk, duty, starts, ends, name)


def _kinds(book: StandingBook, person: Volunteer, duty: str, clinic: Clinic) -> Sequence[Kind]:
    standing = book.on(person.pk, duty, clinic.day, clinic.center.place)
    return [
        Kind(code, book.kind_names.get(code, code), state, standing.last_days.get(code))
        for code, state, _ in standing.reasons
    ]


def _near(volunteer_ids: Iterable[int], period: Period) -> Iterable[Assignment]:
    day = timedelta(days=1)
    rows = Assignment.objects.live().filter(
        volunteer__in=list(volunteer_ids), period__overlap=(period[0] - day, period[1] + day)
    )
    return rows.select_related("shift__clinic__center").order_by("period")


def _engagements(
    volunteer_ids: Iterable[int], clinic: Clinic, but_for: Assignment | None = None
) -> dict[int, list[Engagement]]:
    """By person: where else they are within a day of the clinic, and for what they are on it already. One query."""
    found: dict[int, list[Engagement]] = defaultdict(list)
    here = clinic.center.point
    for row in _near(volunteer_ids, assignment_period(clinic)):
        if but_for is not None and row.pk == but_for.pk:
            continue
        there = row.shift.clinic
        found[row.volunteer_id].append(
            Engagement(
                there.pk,
                row.period.lower,
                row.period.upper,
                0.0 if there.center.point == here else drive_minutes(there.center.point, here, ROADS),
                where_words(there),
                row.shift.duty_name,
                str(row.get_reply_display()),
            )
        )
    return found


def _on_clinic(clinic: Clinic) -> tuple[dict[int, str], dict[int, date]]:
    """Who is asked or comes, by name, and who said no, with the day at the center. One query."""
    there: dict[int, str] = {}
    declined: dict[int, date] = {}
    rows = Assignment.objects.filter(shift__clinic=clinic).select_related("volunteer").order_by("volunteer__name", "pk")
    for row in rows:
        if row.live:
            there[row.volunteer_id] = row.volunteer.name
        elif row.reply == Reply.DECLINED and row.replied_at is not None:
            declined[row.volunteer_id] = row.replied_at.astimezone(clinic.center.tz).date()
    return there, declined


def _apart(volunteer_ids: Iterable[int], there: dict[int, str]) -> dict[int, list[str]]:
    """By person: the names of those on the clinic whom they are kept apart from. One query."""
    asked = set(volunteer_ids)
    found: dict[int, list[str]] = defaultdict(list)
    for pair in KeptApart.objects.order_by("pk").values_list("one_id", "other_id"):
        for person, other in (pair, pair[::-1]):
            if person in asked and other in there:
                found[person].append(there[other])
    return found
