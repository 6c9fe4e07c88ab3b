"""What people ask of the apps above them, which they know nothing of."""

from collections.abc import Collection, Mapping, Sequence
from contextlib import AbstractContextManager
from datetime import datetime

from core.hooks import Hook
from core.merge import Key
from people.models import Volunteer
from people.table_kinds import TableKind

__all__ = [
    "hold_for_change",
    "hold_for_merge",
    "no_longer",
    "settle_two",
    "standing_fell",
    "table_kinds",
    "volunteer_keys",
]

# Before somebody's own row is locked for a change that may cost them their shifts: lock what stands above it.
hold_for_change: Hook[[Volunteer, datetime], None] = Hook("people.hold_for_change")
# Somebody left or holds fewer duties; asked within the transaction that wrote it.
no_longer: Hook[[Volunteer, datetime], object] = Hook("people.no_longer")
# Somebody's standing may have fallen; asked within the transaction that wrote the clearance.
standing_fell: Hook[[Volunteer, datetime], object] = Hook("people.standing_fell")

# Around the joining of the records with these numbers. Entering locks what stands above people, in the order of locks;
# leaving, when the two are one, writes anew what was worked out from either.
hold_for_merge: Hook[[Collection[int], datetime], AbstractContextManager[None]] = Hook("people.hold_for_merge")
# The first of the two is about to go, the second stays: move or take away what both can't have.
settle_two: Hook[[Volunteer, Volunteer, datetime], None] = Hook("people.settle_two")
# What becomes of each foreign key to a volunteer.
volunteer_keys: Hook[[], Sequence[Key]] = Hook("people.volunteer_keys")

# Tables that can be read from a file, beside those of volunteers and clearances: by the value of Import.what.
table_kinds: Hook[[], Mapping[str, TableKind]] = Hook("people.table_kinds")
