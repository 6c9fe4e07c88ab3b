"""One thing that needs the coordinator, and the hook by which the desk asks every app for its own."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from clinics.models import Clinic
from core.hooks import Hook

__all__ = ["FORTNIGHT", "STANDING_DAYS", "UNANSWERED_AFTER", "Desk", "Need", "needs"]

FORTNIGHT = timedelta(days=14)
# How far each kind of trouble is looked for: standing early enough to renew, cover within two weeks.
STANDING_DAYS = 60
UNANSWERED_AFTER = timedelta(days=3)


@dataclass(frozen=True)
class Desk:
    """The moment of looking, and the clinics of the next fortnight with their centers and bands loaded."""

    now: datetime
    today: date
    clinics: Sequence[Clinic]


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


# Asked each time that the desk is shown, so each answer takes a number of queries that does not grow with rows.
needs: Hook[[Desk], Iterable[Need]] = Hook("clinics.needs")
