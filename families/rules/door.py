"""Who may open a clinic's sign-in sheet, and when. Pickup people, phone numbers and who must not pick up are on it."""

from dataclasses import dataclass
from datetime import datetime, timedelta

__all__ = ["OPEN_FOR", "Leading", "door_bar"]

# Once opened, and written down, the sheet stays open to the same account for so long: to load it again and print it.
OPEN_FOR = timedelta(minutes=30)


@dataclass(frozen=True)
class Leading:
    """Whether an account leads a clinic or stands in for its lead, and the hours in which that opens the sheet.

    ``closes_at`` is when the day was closed; until then, when its floor page closes by itself. ``who`` are the names of
    those who lead.
    """

    leads: bool
    opens_at: datetime
    closes_at: datetime
    who: tuple[str, ...] = ()


def door_bar(*, keeps_records: bool, leading: Leading | None, now: datetime) -> str:
    """Return "" when the sheet may be opened, else why not: "not the lead", "too early" or "closed".

    Whoever keeps the records may at any time; anybody else only leading this clinic, on the days that are theirs.
    """
    if keeps_records:
        return ""
    if leading is None or not leading.leads:
        return "not the lead"
    if now < leading.opens_at:
        return "too early"
    return "closed" if now >= leading.closes_at else ""
