"""How many people of each duty a clinic asks for: by the tables that it follows, and by hand where that is more."""

from collections import Counter

from django.utils.translation import gettext

from clinics.models import Clinic
from clinics.rules.cover_needs import duties_needed
from clinics.rules.supervision import RATIO_TABLES
from clinics.words.supervision import ratio_words
from core.refusal import Refusal
from shifts.models import Shift

__all__ = [
    "RATIO_DUTIES",
    "bands_of",
    "duties_for",
    "needed_by_tables",
    "needed_for",
    "ratio_adults",
    "shift_count",
]

RATIO_DUTIES = ("lead", "coach")
Bands = list[tuple[int, int, int]]  # youngest, oldest, children


def duties_for(bands: Bands, ratio_table: str, stem: bool, *stricter: str) -> list[str]:
    """The duties that the bands need, each as often as people are needed; of several tables the one that asks for more.

    Raises Refusal "no such table", or "age outside table" for an age that a table does not cover.
    """
    found: Counter[str] = Counter()
    for code in (ratio_table, *filter(None, stricter)):
        table = RATIO_TABLES.get(code)
        if table is None:
            text = gettext("Choose one of the supervision tables in the list.")
            raise Refusal.because("no such table", text, "ratio_table")
        try:
            found |= Counter(duties_needed(bands, table, stem))
        except ValueError as problem:
            raise Refusal.because("age outside table", ratio_words(problem)) from problem
    return list(found.elements())


def bands_of(clinic: Clinic) -> Bands:
    """The clinic's age bands as plain numbers; reads ``bands``."""
    return [(band.youngest, band.oldest, band.children) for band in clinic.bands.all()]


def needed_by_tables(clinic: Clinic, bands: Bands | None = None) -> Counter[str]:
    """How many people of each duty the tables of clinic, center and funder ask for.

    ``bands`` stand in for the clinic's own where given. Raises Refusal as ``duties_for``.
    """
    bands = bands_of(clinic) if bands is None else bands
    tables = (clinic.center.ratio_table, clinic.funder_table)
    return Counter(duties_for(bands, clinic.ratio_table, bool(clinic.theme), *tables))


def needed_for(clinic: Clinic, bands: Bands | None = None) -> Counter[str]:
    """How many people of each duty the clinic asks for: what the tables ask, or more where the office said so.

    ``bands`` stand in for the clinic's own where given. Raises Refusal as ``duties_for``.
    """
    return needed_by_tables(clinic, bands) | Counter({need.duty_id: need.people for need in clinic.hand_needs.all()})


def shift_count(clinic: Clinic) -> Counter[str]:
    """How many shifts of each duty the clinic has."""
    return Counter(Shift.objects.filter(clinic=clinic).values_list("duty__code", flat=True))


def ratio_adults(clinic: Clinic) -> int:
    """How many leads and coaches the strictest table asks for."""
    needed = needed_by_tables(clinic)
    return sum(needed[duty] for duty in RATIO_DUTIES)
