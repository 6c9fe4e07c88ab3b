"""What is still free on a floor."""

from collections.abc import Iterable
from datetime import datetime, timedelta

__all__ = ["free_gaps"]


def free_gaps(
    busy: Iterable[tuple[datetime, datetime]], opens: datetime, closes: datetime, need: timedelta
) -> list[tuple[datetime, datetime]]:
    """List the gaps of at least ``need`` between ``opens`` and ``closes`` in which nothing of ``busy`` happens.

    Each busy time includes its start and not its end. They may overlap, come in any order and reach outside the day.
    Raises ValueError when the day ends before it begins.
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
