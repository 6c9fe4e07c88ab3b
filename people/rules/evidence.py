"""The evidence that a volunteer may work with children, and what a duty asks of it."""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import MAXYEAR, date

__all__ = ["Clearance", "PolicyRow", "expires_on", "rows_by_duty"]

_RECORD_STATES = frozenset({"awaiting", "clear", "refused", "withdrawn"})


def expires_on(issued_on: date, months: int | None) -> date | None:
    """The last day it is current: the same day of the month, `months` calendar months later (None: no limit, so None).

    A day that the month does not have becomes its last day: 29 Feb 2024 and 24 months give 28 Feb 2026.
    Raises ValueError for fewer than one month, and for a last day after the year 9999.
    """
    if months is None:
        return None
    if months < 1:
        raise ValueError(f"A clearance must be valid for at least 1 month, not {months}. Leave it empty for no limit.")
    years, month_index = divmod(issued_on.month - 1 + months, 12)
    year, month = issued_on.year + years, month_index + 1
    if year > MAXYEAR:
        raise ValueError(f"{months} months from {issued_on} is past the year {MAXYEAR}. Choose fewer months.")
    return date(year, month, min(issued_on.day, monthrange(year, month)[1]))


@dataclass(frozen=True, slots=True)
class Clearance:
    """One piece of evidence. `state` is "awaiting", "clear", "refused" or "withdrawn".

    `issued_on` is the day it counts from, and only an awaiting record may leave it out (it then counts
    always). `expires_on` is the record's own last valid day, where it names one. Raises ValueError when
    these disagree.
    """

    kind: str
    state: str
    issued_on: date | None
    expires_on: date | None = None

    def __post_init__(self) -> None:
        if self.state not in _RECORD_STATES:
            raise ValueError(f"A clearance is awaiting, clear, refused or withdrawn, not {self.state!r}.")
        if self.issued_on is None and self.state != "awaiting":
            raise ValueError(f"A {self.state} record of {self.kind} needs the day it was issued.")
        if self.issued_on and self.expires_on and self.expires_on < self.issued_on:
            raise ValueError(f"{self.kind} would expire on {self.expires_on}, before its issue on {self.issued_on}.")

    @property
    def counts_from(self) -> date:
        return self.issued_on or date.min


@dataclass(frozen=True, slots=True)
class PolicyRow:
    """One clearance kind that a duty requires.

    `months`: calendar months a record is good for (None: no limit). `notice_days`: days before the last day
    in which it shows as expiring soon. `overlap`: a renewal issued while an earlier record is current counts its
    months from the earlier one's last day, so that renewing early loses nothing. Raises ValueError for a bad
    number.
    """

    duty: str
    kind: str
    months: int | None
    notice_days: int = 60
    overlap: bool = False

    def __post_init__(self) -> None:
        if self.months is not None and self.months < 1:
            raise ValueError(
                f"{self.kind} for {self.duty} must be valid for at least 1 month, not {self.months}. "
                "Leave it empty for no limit."
            )
        if self.notice_days < 0:
            raise ValueError(f"{self.kind} for {self.duty} needs 0 or more days of notice, not {self.notice_days}.")


def rows_by_duty(policy: Iterable[PolicyRow]) -> dict[str, list[PolicyRow]]:
    """Policy rows by duty, to pass to `standing` when it is called many times.

    Raises ValueError when one duty names a kind twice, because the two rows might disagree.
    """
    rows: dict[str, list[PolicyRow]] = {}
    for row in policy:
        of_duty = rows.setdefault(row.duty, [])
        if any(row.kind == other.kind for other in of_duty):
            raise ValueError(f"The policy names {row.kind} twice for {row.duty}. Keep one of the two rows.")
        of_duty.append(row)
    return rows
