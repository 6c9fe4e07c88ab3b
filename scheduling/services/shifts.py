"""The shifts that a clinic asks for, from the published supervision table that it follows."""

from collections import Counter

from clinics.models import AgeBand, Clinic
from clinics.rules.cover_needs import duties_needed
from clinics.rules.supervision import RATIO_TABLES
from config.refusal import Refusal
from scheduling.models import Shift

__all__ = ["duties_for", "fit_shifts"]


def duties_for(bands: list[tuple[int, int, int]], ratio_table: str, stem: bool) -> list[str]:
    """Duties for bands of (youngest, oldest, children); Refusal when the table does not cover an age."""
    table = RATIO_TABLES.get(ratio_table)
    if table is None:
        raise Refusal.because("no such table", "Choose one of the supervision tables in the list.", "ratio_table")
    try:
        return duties_needed(bands, table, stem)
    except ValueError as problem:
        raise Refusal.because("age outside table", str(problem)) from problem


def fit_shifts(clinic: Clinic) -> None:
    """Add the shifts that are missing and take away surplus ones that nobody was asked for.

    An asked or accepted person is never removed here: a surplus shift with somebody in it stays.
    Must run inside the transaction that changed the clinic.
    """
    bands = [(b.youngest, b.oldest, b.children) for b in AgeBand.objects.filter(clinic=clinic)]
    needed = Counter(duties_for(bands, clinic.ratio_table, bool(clinic.theme)))
    shifts = list(Shift.objects.filter(clinic=clinic).order_by("-position"))
    taken = set(Shift.objects.filter(clinic=clinic, assignments__isnull=False).values_list("pk", flat=True))
    surplus = Counter(shift.duty for shift in shifts) - needed
    for shift in shifts:
        if surplus[shift.duty] > 0 and shift.pk not in taken:
            surplus[shift.duty] -= 1
            shift.delete()
    have = Counter(Shift.objects.filter(clinic=clinic).values_list("duty", flat=True))
    position = max((shift.position for shift in shifts), default=0)
    missing = needed - have
    for duty in duties_for(bands, clinic.ratio_table, bool(clinic.theme)):
        if missing[duty] > 0:
            missing[duty] -= 1
            position += 1
            Shift.objects.create(clinic=clinic, duty=duty, position=position)
