"""Whom a clinic's bag is packed for."""

from clinics.models import Clinic
from families.models import SpotState
from kits.rules.pack_list import spread_ages

__all__ = ["ages_to_pack_for"]


def ages_to_pack_for(clinic: Clinic) -> list[int]:
    """List an age for each child for whom the bag is packed. This is the one place that decides it.

    Children who hold a spot count with their own age on the day. The rest of each band's spots, whom nobody knows
    yet, are spread evenly over its ages. So there are as many as spots, and a walk-in finds a ball too.

    Reads ``bands`` and ``spots``: prefetch both where many clinics are shown.
    """
    held = [spot.age for spot in clinic.spots.all() if spot.state == SpotState.HELD]
    ages = list(held)
    left = []
    for band in clinic.bands.all():
        known = sum(band.youngest <= age <= band.oldest for age in held)
        left.append((band.youngest, band.oldest, max(0, band.children - known)))
    return ages + spread_ages(left)
