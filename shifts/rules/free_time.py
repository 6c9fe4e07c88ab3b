"""What is still free on a floor."""

from collections.abc import Iterable
from datetime import datetime, timedelta

__all__ = ["free_gaps"]


def free_gaps(
    busy: Iterable[tuple[datetime, datetime]], opens: datetime, closes: datetime, need: timedelta
) -> list[tuple[datetime, datetime]]:
    """Gaps of at least ``need`` between ``opens`` and ``closes`` that no half-open [start, end) of ``busy`` touches.

    ``busy`` may overlap, be out of order and reach outside the day. Raises ValueError when the day ends before
    it begins.
    """
    if closes < opens:
        raise ValueError("The day closes before it opens: give the earlier time first.")
    gaps = []
    free_from = opens
    # The end of the day ends the last gap as a next stay would.
    for start, end in [*sorted(busy), (closes, closes)]:
        gaps.append((free_from, min(start, closes)))
        free_from = max(free_from, end)
    return [(start, end) for start, end in gaps if end - start >= need and start < end]
