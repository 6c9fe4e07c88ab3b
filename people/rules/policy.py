"""Which policy rows hold on a day, at a place."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from people.rules.evidence import PolicyRow

__all__ = ["DatedRow", "in_force"]


@dataclass(frozen=True, slots=True)
class DatedRow:
    """A policy row from its day on: everywhere when ``place`` is empty. ``required`` False ends a requirement."""

    row: PolicyRow
    place: str
    from_day: date
    required: bool = True


def in_force(rows: Iterable[DatedRow], on: date, place: str = "") -> dict[str, list[PolicyRow]]:
    """The policy rows that hold on the day ``on`` at ``place``, by duty.

    For each duty, kind and place the latest row that has begun by then holds. A place's own row replaces the general
    one for the same duty and kind, and adds to it for any other. A place's row can't lift what holds everywhere: when
    it says "not required", the general row stays.
    """
    latest: dict[tuple[str, str, str], DatedRow] = {}
    for dated in rows:
        if dated.from_day > on or dated.place not in ("", place):
            continue
        key = (dated.row.duty, dated.row.kind, dated.place)
        if key not in latest or latest[key].from_day <= dated.from_day:
            latest[key] = dated
    chosen: dict[tuple[str, str], DatedRow] = {}
    # The general row first, so that the place's own displaces it.
    for (duty, kind, _), dated in sorted(latest.items(), key=lambda item: item[0][2]):
        if dated.required:
            chosen[duty, kind] = dated
    by_duty: dict[str, list[PolicyRow]] = {}
    for (duty, _), dated in chosen.items():
        by_duty.setdefault(duty, []).append(dated.row)
    return by_duty
