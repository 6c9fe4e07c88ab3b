"""One thing that needs the coordinator."""

from dataclasses import dataclass
from datetime import date, timedelta

__all__ = ["FORTNIGHT", "STANDING_DAYS", "UNANSWERED_AFTER", "Need"]

FORTNIGHT = timedelta(days=14)
# How far each kind of trouble is looked for: standing early enough to renew, cover within two weeks.
STANDING_DAYS = 60
UNANSWERED_AFTER = timedelta(days=3)


@dataclass(frozen=True)
class Need:
    day: date
    rank: int  # among needs of one day: what can hurt somebody first
    headline: str
    detail: str
    action_label: str
    action_href: str
    # Whose page the action is on; to anybody else the need says who can do it.
    right: str = ""
    days_text: str = ""
    first: bool = False
