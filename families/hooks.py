"""What families ask of the apps above them, which they know nothing of."""

from collections.abc import Collection, Mapping, Sequence
from contextlib import AbstractContextManager
from datetime import date, datetime

from clinics.models import Clinic
from core.hooks import Hook
from core.merge import Key
from families.models import Child
from families.rules.door import Leading

__all__ = [
    "child_forgotten",
    "child_keys",
    "guardian_keys",
    "hold_for_merge",
    "kept_from_play",
    "leading",
    "lock_before_children",
    "not_to_play",
    "on_the_floor",
    "perhaps_one",
    "purge_leftovers",
    "settle_two",
]

# Before clinics and the rows of the children with these numbers are locked: lock what comes before both.
lock_before_children: Hook[[Collection[int]], None] = Hook("families.lock_before_children")
# The same around a joining; on leaving, when two are one, write anew what was worked out from either.
hold_for_merge: Hook[[Collection[int], datetime], AbstractContextManager[None]] = Hook("families.hold_for_merge")
# The first of the two children is about to go, the second stays: move or take away what both can't have.
settle_two: Hook[[Child, Child, datetime], None] = Hook("families.settle_two")
# What becomes of each foreign key to a child, and to a guardian.
child_keys: Hook[[], Sequence[Key]] = Hook("families.child_keys")
guardian_keys: Hook[[], Sequence[Key]] = Hook("families.guardian_keys")

# Whether the account with this email address leads the clinic, or stands in for its lead, and in which hours that
# counts. One app answers.
leading: Hook[[Clinic, str], Leading] = Hook("families.leading")
# Whether one of these children is in the hall at this moment.
on_the_floor: Hook[[Collection[int], datetime], bool] = Hook("families.on_the_floor")
# Pairs of children on a clinic's sign-in sheet who may be one child, and of whom nobody has said it yet.
perhaps_one: Hook[[Clinic], Sequence[tuple[int, int]]] = Hook("families.perhaps_one")
# By the number of a child who may come and watch and may not play, since which day; one query. It doesn't say why.
not_to_play: Hook[[Collection[Child]], Mapping[int, date]] = Hook("families.not_to_play")
# A child is forgotten within this transaction: all that names them where the second says everything, else what is
# written of care and of who fetched them.
child_forgotten: Hook[[Child, bool], None] = Hook("families.child_forgotten")
# Delete what no one needs after it has done its work; each answers how many rows went. Twice is harmless.
purge_leftovers: Hook[[datetime], int] = Hook("families.purge_leftovers")


def kept_from_play(children: Collection[Child]) -> dict[int, date]:
    """Ask ``not_to_play``: by the number of a child, the earliest day that any app answers."""
    found: dict[int, date] = {}
    for answer in not_to_play.ask(children):
        for number, day in answer.items():
            found[number] = min(day, found.get(number, day))
    return found
