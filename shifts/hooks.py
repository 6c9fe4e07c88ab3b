"""What shifts ask of the apps above them, which they know nothing of."""

from collections.abc import Collection
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from core.hooks import Hook
from shifts.models import Assignment

__all__ = ["FloorPage", "change_for_what_if", "floor_page", "floor_page_of", "hold_for_merge"]


@dataclass(frozen=True)
class FloorPage:
    """The link that opens the page on which a lead keeps the floor, and from when until when it does.

    ``not_to_play``: how many children with a spot may watch and not play.
    """

    address: str
    opens_at: datetime
    closes_at: datetime
    not_to_play: int = 0


# The page of whoever holds this shift; None for a shift that has none.
floor_page: Hook[[Assignment], FloorPage | None] = Hook("shifts.floor_page")
# Do to a clinic what a proposal of cover supposed of it, a row of Proposal.what_if, within the caller's transaction;
# the last two are who presses and when. One app answers. Raises Refusal.
change_for_what_if: Hook[[dict[str, Any], datetime], None] = Hook("shifts.change_for_what_if")
# Around the joining of the volunteers with these numbers, before their clinics are locked: lock what is locked before
# clinics; on leaving write anew what was worked out from either.
hold_for_merge: Hook[[Collection[int], datetime], AbstractContextManager[None]] = Hook("shifts.hold_for_merge")


def floor_page_of(row: Assignment) -> FloorPage | None:
    return next((page for page in floor_page.ask(row) if page is not None), None)
