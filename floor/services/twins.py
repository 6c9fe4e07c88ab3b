"""Two lines of the door that phones or office said are one child: their records become one, with everything of both."""

from datetime import datetime

from django.db import transaction

from clinics.models import Clinic
from families.models import Child
from families.services.merge import merge_children
from floor.models import FloorAction
from floor.queries.log import floor_state
from floor.queries.twins import TwinPair, twin_pairs
from floor.rules.floor_log import FloorState
from floor.services.merge import lock_floors

__all__ = ["join_twins"]


def join_twins(*, clinic: Clinic, state: FloorState, now: datetime) -> bool:
    """Merge the records of all pairs that are said to be one child; returns whether any were.

    Each in a transaction of its own, after the one that kept the entries: floors are locked before anything else, all
    at once and in one order, and the floor of this clinic is only one of them.
    """
    merged = False
    pairs = _due(clinic, state)
    while pairs:
        if not _merge(clinic, pairs[0], now):
            break
        merged = True
        # With two merged, a third line may have the number of either.
        pairs = _due(clinic, floor_state(clinic))
    return merged


def _due(clinic: Clinic, state: FloorState) -> list[TwinPair]:
    if not any(row.kind == "same" for row in state.pairs):
        return []
    return [pair for pair in twin_pairs(clinic, state) if pair.said == "same"]


@transaction.atomic
def _merge(clinic: Clinic, pair: TwinPair, now: datetime) -> bool:
    """1 lock the floors of both, 2 look again whether it still holds, 3 merge."""
    lock_floors(children=pair.numbers)
    still = next((one for one in _due(clinic, floor_state(clinic)) if set(one.numbers) == set(pair.numbers)), None)
    if still is None:
        return False
    gone, kept = sorted(Child.objects.filter(pk__in=still.numbers), key=_first_here, reverse=True)
    merge_children(gone=gone, kept=kept, now=now)
    return True


def _first_here(child: Child) -> tuple[bool, datetime, int]:
    """The sort key by which the record stays that was there before: one that was registered, then the earlier walk-in.

    Of walk-ins the time at which they were typed counts, not that at which a phone found signal.
    """
    rows = list(FloorAction.objects.filter(child=child, kind="walk-in").order_by("at").values_list("at", "received_at"))
    # A record that a walk-in made is as old as the sending that brought it.
    made_here = any(received_at == child.registered_at for _, received_at in rows)
    return made_here, rows[0][0] if made_here else child.registered_at, child.pk
