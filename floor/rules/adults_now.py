"""How many adults must be with the children who are inside at this moment."""

from collections.abc import Sequence

from clinics.rules.supervision import RatioTable, adults_needed, nearest_age

__all__ = ["adults_now"]


def adults_now(ages: Sequence[int], tables: Sequence[RatioTable]) -> int:
    """How many adults must be with children of ``ages`` who are inside: what the strictest table asks, at least two.

    The youngest child's row counts for all (see supervision). A child whose age a table does not cover counts with the
    nearest age that it does: on the floor there is no time to choose another table, and fewer adults are never asked.
    Raises ValueError without a table.
    """
    if not tables:
        raise ValueError("Name at least one supervision table.")
    return max(adults_needed([nearest_age(age, table) for age in ages], table) for table in tables)
