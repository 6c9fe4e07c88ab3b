"""What the floor answers when two records become one, or one is forgotten: the hooks of people, shifts and families."""

from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime

from django.db.models import Q

from core.merge import Forgotten, Key, Merged, history_of
from families.models import Child
from floor.models import AdultHours, FloorAction, FloorPhone, FloorStandIn, Incident, PaperWaiver, Score, SignIn
from floor.services.merge import lock_floors, merge_numbers, settle_twice_in, write_floors_anew
from floor.services.retention import forget_on_floor, purge_logs
from floor.services.stand_ins import settle_stand_ins
from people.models import Volunteer

__all__ = [
    "any_on_floor",
    "child_keys",
    "forget_child_on_floor",
    "hold_children",
    "hold_volunteers",
    "lock_children",
    "purge_old_logs",
    "settle_children",
    "settle_volunteers",
    "volunteer_keys",
]

CAME = "that they came stays, for counting"
RAN = "who could see the children of a day may be asked for; the record that it points at names nobody"
ENTRIES = "entries are deleted with their phone, a month after the clinic"


@contextmanager
def hold_volunteers(pks: Collection[int], now: datetime) -> Iterator[None]:
    """Answers ``shifts.hooks.hold_for_merge``."""
    floors = lock_floors(volunteers=pks)
    yield
    write_floors_anew(floors, now)


@contextmanager
def hold_children(pks: Collection[int], now: datetime) -> Iterator[None]:
    """Answers ``families.hooks.hold_for_merge``."""
    floors = lock_floors(children=pks)
    yield
    write_floors_anew(floors, now)


def lock_children(pks: Collection[int]) -> None:
    """Answers ``families.hooks.lock_before_children``."""
    lock_floors(children=pks)


def settle_volunteers(gone: Volunteer, kept: Volunteer, now: datetime) -> None:
    """Answers ``people.hooks.settle_two``."""
    settle_twice_in(field="volunteer", gone=gone.pk, kept=kept.pk)
    settle_stand_ins(gone, kept, now)
    merge_numbers(was=f"v{gone.pk}", is_now=f"v{kept.pk}", now=now)


def settle_children(gone: Child, kept: Child, now: datetime) -> None:
    """Answers ``families.hooks.settle_two``."""
    settle_twice_in(field="child", gone=gone.pk, kept=kept.pk)
    merge_numbers(was=f"c{gone.pk}", is_now=f"c{kept.pk}", now=now)


def forget_child_on_floor(child: Child, everything: bool) -> None:
    """Answers ``families.hooks.child_forgotten``."""
    forget_on_floor(child=child, everything=everything)


def purge_old_logs(now: datetime) -> int:
    """Answers ``families.hooks.purge_leftovers``."""
    return purge_logs(now=now)


def any_on_floor(pks: Collection[int], now: datetime) -> bool:
    """Whether one of these children is signed in now. Answers ``families.hooks.on_the_floor``."""
    here = Q(out_at=None, in_at__lte=now, clinic__ends_at__gt=now)
    return SignIn.objects.filter(here, child__in=pks).exists()


def volunteer_keys() -> Sequence[Key]:
    """Answers ``people.hooks.volunteer_keys``."""
    return (
        Key(AdultHours, "volunteer", Merged.FREED, Forgotten.STAYS, CAME),
        Key(FloorPhone, "volunteer", Merged.MOVES, Forgotten.STAYS, "phones are deleted a month after the clinic"),
        Key(FloorStandIn, "volunteer", Merged.FREED, Forgotten.STAYS, RAN),
        Key(history_of(FloorStandIn), "volunteer", Merged.MOVES, Forgotten.STAYS, RAN),
        Key(Incident, "volunteer", Merged.MOVES, Forgotten.STAYS, "an injury may be asked after for years"),
        Key(history_of(Incident), "volunteer", Merged.MOVES, Forgotten.STAYS, "an injury may be asked after for years"),
        Key(SignIn, "volunteer", Merged.FREED, Forgotten.STAYS, CAME),
        Key(history_of(SignIn), "volunteer", Merged.MOVES, Forgotten.STAYS, CAME),
    )


def child_keys() -> Sequence[Key]:
    """Answers ``families.hooks.child_keys``."""
    return (
        Key(FloorAction, "child", Merged.MOVES, Forgotten.EMPTIED, ENTRIES),
        Key(Incident, "child", Merged.MOVES, Forgotten.EMPTIED, "that somebody was hurt stays, for counting"),
        Key(history_of(Incident), "child", Merged.MOVES, Forgotten.STAYS, "its words are not in its history"),
        Key(PaperWaiver, "child", Merged.MOVES, Forgotten.GOES, "the sheet is in the folder"),
        Key(
            Score,
            "child",
            Merged.MOVES,
            Forgotten.STAYS,
            "shots made, which a group's growth is counted from",
        ),
        Key(SignIn, "child", Merged.FREED, Forgotten.EMPTIED, CAME),
        Key(history_of(SignIn), "child", Merged.MOVES, Forgotten.GOES),
    )
