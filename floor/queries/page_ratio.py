"""What a clinic asks of the adults on its floor, as the phone reads it: the tables, whose they are, and the duties."""

from typing import Any

from clinics.models import Clinic
from clinics.rules.supervision import LEAST_ADULTS, LEAST_ADULTS_SOURCE, LEAST_ADULTS_WORDS, RatioTable
from floor.rules.alarms import NEEDED_DUTIES
from people.models import duties
from shifts.models import Shift

__all__ = ["asked_tables", "duties_asked", "needs_data", "ratio_data"]


def asked_tables(clinic: Clinic) -> list[tuple[RatioTable, str]]:
    """The clinic's tables, each with whose it is: "center", "funder" or "ours".

    A table that several ask for is the center's before the funder's, and ours only when no one else asks for it.
    """
    whose = {clinic.funder_table: "funder"} | {clinic.center.ratio_table: "center"}
    return [(table, whose.get(table.code, "ours")) for table in clinic.ratio_tables]


def duties_asked(clinic: Clinic) -> list[str]:
    """The codes of the duties of which one must be in while children are: a lead always, others where there is a shift.

    One query.
    """
    shifts = set(Shift.objects.filter(clinic=clinic, duty__in=NEEDED_DUTIES).values_list("duty__code", flat=True))
    return [code for code in NEEDED_DUTIES if code == "lead" or code in shifts]


def needs_data(clinic: Clinic) -> list[dict[str, str]]:
    """Those duties with the word that follows "no"."""
    return [{"code": code, "noun": duties().noun(code)} for code in duties_asked(clinic)]


def ratio_data(clinic: Clinic) -> dict[str, Any]:
    return {
        "least_adults": LEAST_ADULTS,
        "least_source": LEAST_ADULTS_SOURCE,
        "least_words": LEAST_ADULTS_WORDS,
        "tables": [
            {
                "name": table.name,
                "whose": whose,
                "source": table.source,
                "rows": [[row.lowest_age, row.highest_age, row.children_per_adult] for row in table.rows],
            }
            for table, whose in asked_tables(clinic)
        ],
    }
