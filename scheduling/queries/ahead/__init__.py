"""What needs the coordinator now, soonest first, and the next clinics.

Each kind of need is a generator in a file by subject, with a number of queries that does not grow with rows. The apps
below answer ``clinics.needs.needs``; their order does not matter, since what they say is sorted.
"""

from dataclasses import dataclass, replace
from datetime import date, datetime

from clinics.needs import FORTNIGHT, Desk, Need, needs
from clinics.queries.agreement_needs import agreement_needs
from core.formats import near_day
from scheduling.queries.ahead.cover import cover_needs
from scheduling.queries.ahead.notes import note_needs
from scheduling.queries.ahead.places import booking_needs, closed_needs, safety_needs
from scheduling.queries.clinics import ClinicLine, clinics_ahead, lines_by_day

__all__ = ["AheadPage", "Need", "ahead_page"]

# More than one evening's work is counted, not listed.
MOST_NEEDS = 40


@dataclass(frozen=True)
class AheadPage:
    needs: list[Need]
    days: list[tuple[date, list[ClinicLine]]]
    more: int  # needs beyond those listed
    clinics: int
    accepted: int
    shifts: int


def ahead_page(now: datetime, today: date) -> AheadPage:
    """Read everything on Ahead in a number of queries that does not grow with rows."""
    clinics = list(clinics_ahead(now).live().filter(starts_at__lt=now + FORTNIGHT))
    days = lines_by_day(clinics)
    lines = [line for _, of_day in days for line in of_day]
    found = [
        *(need for answer in needs.ask(Desk(now, today, clinics)) for need in answer),
        *cover_needs(lines, today),
        *booking_needs(now),
        *note_needs(today),
        *safety_needs(clinics),
        *closed_needs(clinics),
        *agreement_needs(now),
    ]
    found.sort(key=lambda need: (need.day, need.rank, need.headline))
    listed = [
        replace(need, days_text=near_day(need.day, today), first=place == 0)
        for place, need in enumerate(found[:MOST_NEEDS])
    ]
    return AheadPage(
        needs=listed,
        days=days,
        more=max(0, len(found) - MOST_NEEDS),
        clinics=len(lines),
        accepted=sum(line.strip.accepted for line in lines),
        shifts=sum(line.strip.total for line in lines),
    )
