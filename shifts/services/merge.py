"""What shifts do when two records of a volunteer become one, and what stays when one is forgotten."""

from collections.abc import Collection, Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime

from clinics.models import Clinic
from core.hooks import within
from core.merge import Forgotten, Key, Merged, history_of
from people.models import Volunteer
from shifts.hooks import hold_for_merge
from shifts.models import (
    Assignment,
    Away,
    Backup,
    BackupCall,
    KeptApart,
    Limits,
    ProposalLine,
    Swap,
    WeeklyWindow,
)
from shifts.services.holding import hold

__all__ = ["hold_clinics_of", "settle_two", "volunteer_keys"]

OVER = "what a proposal did, which was decided long ago"
NAMELESS = "hours given, and who stood where, still count; the record that it points at names nobody"


@contextmanager
def hold_clinics_of(pks: Collection[int], now: datetime) -> Iterator[None]:
    """Lock the coming clinics of these volunteers and then their rows, and before both what is locked before clinics.

    Answers ``people.hooks.hold_for_merge``.
    """
    with within(hold_for_merge.ask(pks, now)):
        theirs = Assignment.objects.filter(volunteer__in=pks).order_by()
        backups = Backup.objects.filter(volunteer__in=pks).order_by()
        coming = Clinic.objects.filter(ends_at__gt=now)
        hold(pks, coming.filter(pk__in=theirs.values("shift__clinic")) | coming.filter(pk__in=backups.values("clinic")))
        yield


def settle_two(gone: Volunteer, kept: Volunteer, _now: datetime) -> None:
    """Answers ``people.hooks.settle_two``."""
    _told(gone, kept)
    _kept_apart(gone, kept)


def volunteer_keys() -> Sequence[Key]:
    """Answers ``people.hooks.volunteer_keys``."""
    return (
        Key(Assignment, "volunteer", Merged.REFUSED, Forgotten.STAYS, NAMELESS),
        Key(history_of(Assignment), "volunteer", Merged.MOVES, Forgotten.STAYS, NAMELESS),
        Key(Away, "volunteer", Merged.SETTLED, Forgotten.GOES),
        Key(KeptApart, "one", Merged.SETTLED, Forgotten.STAYS, "two numbers and no word of why"),
        Key(KeptApart, "other", Merged.SETTLED, Forgotten.STAYS, "two numbers and no word of why"),
        Key(Limits, "volunteer", Merged.SETTLED, Forgotten.GOES),
        Key(ProposalLine, "volunteer", Merged.MOVES, Forgotten.STAYS, OVER),
        Key(ProposalLine, "was", Merged.MOVES, Forgotten.STAYS, OVER),
        Key(Backup, "volunteer", Merged.SETTLED, Forgotten.STAYS, NAMELESS),
        Key(BackupCall, "volunteer", Merged.MOVES, Forgotten.STAYS, NAMELESS),
        Key(Swap, "to", Merged.MOVES, Forgotten.STAYS, NAMELESS),
        Key(WeeklyWindow, "volunteer", Merged.SETTLED, Forgotten.GOES),
    )


def _told(gone: Volunteer, kept: Volunteer) -> None:
    """What people say of themselves: the kept record's word stands, and the other's where it says nothing."""
    known = Away.objects.filter(volunteer=kept).values("first_day")
    Away.objects.filter(volunteer=gone).exclude(first_day__in=known).update(volunteer=kept)
    for model in (WeeklyWindow, Limits):
        if not model.objects.filter(volunteer=kept).exists():
            model.objects.filter(volunteer=gone).update(volunteer=kept)
    for row in Backup.objects.filter(volunteer=gone):
        if not Backup.objects.filter(volunteer=kept, clinic=row.clinic_id, duty__code=row.duty_id).exists():
            row.volunteer = kept
            row.save()


def _kept_apart(gone: Volunteer, kept: Volunteer) -> None:
    """Whoever was kept apart from one of the two is kept apart from the one."""
    for row in KeptApart.objects.filter(one=gone) | KeptApart.objects.filter(other=gone):
        whom = row.other_id if row.one_id == gone.pk else row.one_id
        row.delete()
        if whom != kept.pk:
            first, second = sorted((whom, kept.pk))
            KeptApart.objects.get_or_create(one_id=first, other_id=second)
