"""Which duties a clinic needs filled.

The lead and the coaches are the adults of the supervision ratio. The first aider, the person at the door and
the STEM lead stand beside it, because each is called away from the children at the moment that matters: to an
injury, to a guardian at the door, to the apparatus. Common practice, no source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from clinics.rules.supervision import RatioTable, adults_for_counts
from core.rules.refused import Refused

__all__ = ["MOST_CHILDREN", "duties_needed", "scaled_bands"]

MOST_CHILDREN = 10_000


def scaled_bands(bands: Sequence[tuple[int, int, int]], children: int) -> list[tuple[int, int, int]]:
    """Scale the bands to ``children`` in all, shared in proportion and rounded up, so never too few."""
    total = sum(count for _, _, count in bands) or 1
    return [(youngest, oldest, -(-count * children // total)) for youngest, oldest, count in bands]


def duties_needed(bands: Sequence[tuple[int, int, int]], table: RatioTable, stem: bool) -> list[str]:
    """Duty codes, one per person needed, in the order lead, coach, first_aider, door, stem_lead.

    `bands` are (youngest age, oldest age, children) in completed years. Every child is counted at the
    youngest age of its band, and the whole clinic at the youngest band's ratio, so the answer is never too
    low for a table whose ratios rise with age. Raises Refused "ages backwards", "negative children" or "too many
    children" (more than `MOST_CHILDREN`), and NoRatio for a youngest age that the table does not cover.
    """
    children_by_age: Counter[int] = Counter()
    for youngest, oldest, children in bands:
        if youngest > oldest:
            raise Refused.because("ages backwards", youngest=youngest, oldest=oldest)
        if children < 0:
            raise Refused.because("negative children", youngest=youngest, oldest=oldest, children=children)
        children_by_age[youngest] += children
    if children_by_age.total() > MOST_CHILDREN:
        raise Refused.because("too many children", children=children_by_age.total(), most=MOST_CHILDREN)
    coaches = max(1, adults_for_counts(children_by_age, table) - 1)
    duties = ["lead", *["coach"] * coaches, "first_aider", "door"]
    return [*duties, "stem_lead"] if stem else duties
