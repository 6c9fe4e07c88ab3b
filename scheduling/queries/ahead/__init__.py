"""What needs the coordinator now, soonest first, and the next clinics.

Each kind of need is a generator in a file by subject, with a number of queries that does not grow with rows.
"""

from dataclasses import dataclass, replace
from datetime import date, datetime

from scheduling.queries.ahead.agreements import agreement_needs
from scheduling.queries.ahead.cover import cover_needs
from scheduling.queries.ahead.families import request_needs, unreachable_needs, waiver_needs
from scheduling.queries.ahead.floor import floor_needs
from scheduling.queries.ahead.kit_care import kit_check_needs, kit_short_needs
from scheduling.queries.ahead.need import FORTNIGHT, Need
from scheduling.queries.ahead.office import waiver_text_needs
from scheduling.queries.ahead.people import application_needs, second_look_needs, standing_needs, swap_needs
from scheduling.queries.ahead.places import booking_needs, closed_needs, safety_needs
from scheduling.queries.ahead.run_sheets import run_sheet_needs
from scheduling.queries.ahead.things import kit_needs, note_needs
from scheduling.queries.clinics import ClinicLine, clinics_ahead, lines_by_day
from scheduling.words import when_words

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
    """Everything on Ahead in a number of queries that does not grow with rows."""
    clinics = list(clinics_ahead(now).live().filter(starts_at__lt=now + FORTNIGHT))
    days = lines_by_day(clinics)
    lines = [line for _, of_day in days for line in of_day]
    found = [
        *standing_needs(now, today),
        *cover_needs(lines, today),
        *floor_needs(now),
        *booking_needs(now),
        *kit_needs(now),
        *kit_short_needs(now),
        *kit_check_needs(now, today),
        *note_needs(today),
        *second_look_needs(today),
        *application_needs(today),
        *swap_needs(now),
        *safety_needs(clinics),
        *closed_needs(clinics),
        *run_sheet_needs(clinics, now),
        *waiver_needs(clinics),
        *unreachable_needs(today),
        *request_needs(today),
        *waiver_text_needs(today),
        *agreement_needs(now),
    ]
    found.sort(key=lambda need: (need.day, need.rank, need.headline))
    needs = [
        replace(need, days_text=when_words(need.day, today), first=place == 0)
        for place, need in enumerate(found[:MOST_NEEDS])
    ]
    return AheadPage(
        needs=needs,
        days=days,
        more=max(0, len(found) - MOST_NEEDS),
        clinics=len(lines),
        accepted=sum(line.strip.accepted for line in lines),
        shifts=sum(line.strip.total for line in lines),
    )
