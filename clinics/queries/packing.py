"""Whom a clinic's bag is packed for."""

from clinics.models import Clinic
from clinics.rules.pack_list import spread_ages

__all__ = ["ages_to_pack_for"]


def ages_to_pack_for(clinic: Clinic) -> list[int]:
    """An age for each child the bag is packed for: the expected children, spread evenly over their age band.

    The one place that decides it. Reads ``bands`` and nothing else, so prefetch them where many clinics are shown.
    """
    return spread_ages([(band.youngest, band.oldest, band.children) for band in clinic.bands.all()])
