"""Standing for many volunteers at once, in three queries whatever their number."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from people.models import Clearance, ClearanceKind, PolicyRow
from people.rules import standing as rule
from people.rules.policy import DatedRow, in_force

__all__ = ["StandingBook", "dated_rows", "open_book"]


@dataclass(frozen=True)
class StandingBook:
    """Clearances and policy, read once; it answers for any day and place without a further query."""

    clearances: dict[int, list[rule.Clearance]]
    policy: Sequence[DatedRow]
    kind_names: dict[str, str]
    _seen: dict[tuple[date, str], dict[str, list[rule.PolicyRow]]] = field(default_factory=dict)

    def rows_on(self, day: date, place: str = "") -> dict[str, list[rule.PolicyRow]]:
        """Policy rows by duty that hold on a day at a place."""
        # Between two changes every day has the same rows, so only the change before a day is remembered.
        since = max((dated.from_day for dated in self.policy if dated.from_day <= day), default=date.min)
        known = self._seen.get((since, place))
        if known is None:
            known = self._seen[since, place] = in_force(self.policy, day, place)
        return known

    def on(self, volunteer_id: int, duty: str, day: date, place: str = "") -> rule.Standing:
        return rule.standing(duty, self.clearances.get(volunteer_id, []), self.rows_on(day, place), day)

    def kinds_for(self, duties: Iterable[str], day: date) -> list[str]:
        """Codes of the kinds that any of these duties needs everywhere on a day, in the kinds' order."""
        rows = self.rows_on(day)
        needed = {row.kind for duty in duties for row in rows.get(duty, [])}
        return [code for code in self.kind_names if code in needed]

    def with_change(self, change: DatedRow) -> "StandingBook":
        """Return the same book with one more policy row."""
        return StandingBook(self.clearances, [*self.policy, change], self.kind_names)


def dated_rows() -> list[DatedRow]:
    rows = PolicyRow.objects.values_list(
        "duty__code", "kind__code", "months", "notice_days", "overlap", "place", "from_day", "required"
    )
    return [
        DatedRow(rule.PolicyRow(duty, kind, months, notice_days, overlap), place, from_day, required)
        for duty, kind, months, notice_days, overlap, place, from_day, required in rows
    ]


def open_book(volunteer_ids: Iterable[int]) -> StandingBook:
    clearances: dict[int, list[rule.Clearance]] = {}
    rows = Clearance.objects.filter(volunteer_id__in=list(volunteer_ids)).values_list(
        "volunteer_id", "kind__code", "state", "issued_on", "expires_on"
    )
    for volunteer_id, kind, state, issued_on, expires_on in rows.order_by():
        clearances.setdefault(volunteer_id, []).append(rule.Clearance(kind, state, issued_on, expires_on))
    return StandingBook(clearances, dated_rows(), dict(ClearanceKind.objects.values_list("code", "name")))
