"""Standing for many volunteers at once, in two queries whatever their number."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from people.models import Clearance, ClearanceKind, PolicyRow
from people.rules import standing as rule

__all__ = ["StandingBook", "open_book"]


@dataclass(frozen=True)
class StandingBook:
    """Clearances and policy, read once; asked as often as needed."""

    clearances: dict[int, list[rule.Clearance]]
    policy: dict[str, list[rule.PolicyRow]]
    kind_names: dict[str, str]

    def on(self, volunteer_id: int, duty: str, day: date) -> rule.Standing:
        return rule.standing(duty, self.clearances.get(volunteer_id, []), self.policy, day)

    def kinds_for(self, duties: Iterable[str]) -> list[str]:
        """Codes of the kinds that any of these duties needs, in the policy's order."""
        needed = {row.kind for duty in duties for row in self.policy.get(duty, [])}
        return [code for code in self.kind_names if code in needed]


def open_book(volunteer_ids: Iterable[int]) -> StandingBook:
    clearances: dict[int, list[rule.Clearance]] = {}
    rows = Clearance.objects.filter(volunteer_id__in=list(volunteer_ids)).values_list(
        "volunteer_id", "kind__code", "state", "issued_on", "expires_on"
    )
    for volunteer_id, kind, state, issued_on, expires_on in rows.order_by():
        clearances.setdefault(volunteer_id, []).append(rule.Clearance(kind, state, issued_on, expires_on))
    policy: dict[str, list[rule.PolicyRow]] = {}
    for duty, kind, months, notice_days, overlap in PolicyRow.objects.values_list(
        "duty", "kind__code", "months", "notice_days", "overlap"
    ):
        policy.setdefault(duty, []).append(rule.PolicyRow(duty, kind, months, notice_days, overlap))
    return StandingBook(clearances, policy, dict(ClearanceKind.objects.values_list("code", "name")))
