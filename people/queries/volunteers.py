"""Volunteers as a list, and one volunteer with everything that decides what they may do."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Any

from django.db.models import Avg, QuerySet
from django.utils.translation import gettext

from core.acting import who_did
from core.formats import short_date
from people.models import ClearanceEvent, Volunteer, duties
from people.queries.standing import StandingBook, open_book
from people.rules import standing as rule
from people.rules.timeline import DAY
from people.words.history import changed_words, recorded_words, removed_words
from people.words.standing import state_words, why_not

__all__ = [
    "ClearanceLine",
    "DutyLine",
    "VolunteerLine",
    "area_point",
    "duty_lines",
    "history_lines",
    "volunteer_lines",
    "volunteers",
]

LOOK_AHEAD_DAYS = 183


@dataclass(frozen=True)
class VolunteerLine:
    volunteer: Volunteer
    flag_kind: str
    flag_word: str
    reasons: list[str]


@dataclass(frozen=True)
class DutyLine:
    """Standing for one duty today, and each day in the next 6 months on which it changes, with the state from then."""

    duty: str
    standing: rule.Standing
    reasons: list[str]
    changes: list[tuple[date, rule.State]]

    @property
    def change_words(self) -> list[tuple[date, str]]:
        return [(day, state_words(state)) for day, state in self.changes]

    @property
    def flag_kind(self) -> str:
        return _flag(self.standing.state)

    @property
    def flag_word(self) -> str:
        return state_words(self.standing.state)


@dataclass(frozen=True)
class ClearanceLine:
    """One moment in a clearance's history."""

    at: datetime
    who: str
    what: str


def volunteers(*, words: str = "", duty: str = "", left: bool = False) -> QuerySet[Volunteer]:
    """Volunteers who are with us, or with ``left`` those who have left and are not forgotten yet.

    ``words`` and ``duty`` narrow them.
    """
    rows = Volunteer.objects.active()
    if left:
        rows = Volunteer.objects.filter(left_on__isnull=False, forgotten=False)
    if words:
        rows = rows.called(words)
    if duty:
        rows = rows.holding(duty)
    return rows


def area_point(area: str) -> tuple[float, float] | None:
    """The average latitude and longitude of an area's volunteers; None when no place of theirs is known."""
    found = Volunteer.objects.active().filter(home_area__iexact=area, latitude__isnull=False)
    middle = found.aggregate(lat=Avg("latitude"), lon=Avg("longitude"))
    return None if middle["lat"] is None else (middle["lat"], middle["lon"])


def volunteer_lines(people: Sequence[Volunteer], today: date) -> list[VolunteerLine]:
    """Each person's worst standing over the duties they hold, as a flag. Three queries."""
    book = open_book(person.pk for person in people)
    return [_line(person, book, today) for person in people]


def _line(person: Volunteer, book: StandingBook, today: date) -> VolunteerLine:
    if person.left_on is not None:
        left = gettext("left on %(day)s") % {"day": short_date(person.left_on)}
        return VolunteerLine(person, "plain", left, [])
    found = [book.on(person.pk, duty, today) for duty in person.duties]
    found.sort(key=lambda standing: rule.WORST_FIRST.index(standing.state))
    if not found:
        return VolunteerLine(person, "plain", gettext("no duties yet"), [])
    worst = found[0]
    flag, word = _flag(worst.state), state_words(worst.state)
    if not worst.ok:
        reasons = [word for s in found for word in why_not(s, book.kind_names, today, today)]
        return VolunteerLine(person, flag, word, list(dict.fromkeys(reasons)))
    last = min(filter(None, [*(s.ok_until for s in found), _policy_ends(person, book, today)]), default=None)
    words = [gettext("through %(day)s") % {"day": short_date(last)}] if last else []
    return VolunteerLine(person, flag, word, words)


def _flag(state: rule.State) -> str:
    return {"current": "set", "expires soon": "due"}.get(state, "stop")


def _policy_ends(person: Volunteer, book: StandingBook, today: date) -> date | None:
    """The eve of the first coming change of policy that takes somebody's standing, if there is one."""
    for day in sorted({dated.from_day for dated in book.policy if dated.from_day > today}):
        if not all(book.on(person.pk, duty, day).ok for duty in person.duties):
            return day - DAY
    return None


def duty_lines(person: Volunteer, today: date) -> list[DutyLine]:
    book = open_book([person.pk])
    lines = []
    for duty in person.duties:
        standing = book.on(person.pk, duty, today)
        reasons = why_not(standing, book.kind_names, today, today)
        changes = _changes(person, duty, book, today)
        lines.append(DutyLine(duties().name(duty), standing, reasons, changes))
    return lines


def _changes(person: Volunteer, duty: str, book: StandingBook, today: date) -> list[tuple[date, rule.State]]:
    """Each day of the next 6 months on which the state changes, because of a clearance or of a new policy."""
    records = book.clearances.get(person.pk, [])
    tomorrow, end = today + DAY, today + timedelta(days=LOOK_AHEAD_DAYS)
    new_policies = {dated.from_day for dated in book.policy if tomorrow < dated.from_day <= end}
    told: list[tuple[date, rule.State]] = []
    state = book.on(person.pk, duty, today).state
    for first, after in pairwise([tomorrow, *sorted(new_policies), end + DAY]):
        rows = book.rows_on(first)
        begins = rule.standing(duty, records, rows, first)
        for day, later in [(first, begins), *rule.horizon(duty, records, rows, first, after - DAY)]:
            if later.state != state:
                state = later.state
                told.append((day, state))
    return told


def history_lines(person: Volunteer) -> list[ClearanceLine]:
    """Every change to this person's clearances, latest first: who, when, before and after. Three queries."""
    events = list(
        ClearanceEvent.objects.filter(volunteer=person)
        .select_related("pgh_context", "kind")
        .order_by("pgh_created_at", "pgh_id")
    )
    author = who_did(events)
    lines = []
    before: dict[int, Any] = {}
    for event in events:
        what = _changed(before.get(event.pgh_obj_id), event)
        before[event.pgh_obj_id] = event
        lines.append(ClearanceLine(event.pgh_created_at, author(event), what))
    return lines[::-1]


def _changed(earlier: Any, event: Any) -> str:
    kind = str(event.kind)
    if earlier is None or event.pgh_label == "insert":
        return recorded_words(kind, vars(event))
    if event.pgh_label == "delete":
        return removed_words(kind)
    return changed_words(kind, vars(earlier), vars(event))
