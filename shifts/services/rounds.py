"""Asking in rounds: who stays silent too long is let go kindly and the next best is asked."""

from datetime import datetime, timedelta

from django.db import transaction
from django.utils.translation import gettext

from clinics.models import Clinic
from shifts.models import AskingRules, Assignment, Reply, Shift
from shifts.services.cover import offer_next
from shifts.services.cover_checks import holder_of
from shifts.services.moving import release

__all__ = ["next_rounds"]


def next_rounds(*, now: datetime) -> int:
    """Look once at every clinic that asks by itself: 1 pass on questions met with silence, 2 ask for open shifts.

    One transaction per clinic; running it twice is harmless. Returns how many people were asked.
    """
    ahead = Clinic.objects.live().filter(offer_next=True, starts_at__gt=now).order_by("pk").values_list("pk", flat=True)
    return sum(_one_clinic(pk, now) for pk in ahead)


@transaction.atomic
def _one_clinic(pk: int, now: datetime) -> int:
    clinic = Clinic.objects.locked(pk)
    patience = timedelta(hours=AskingRules.current().silence_hours)
    asked = 0
    silent = (
        Assignment.objects.live()
        .filter(shift__clinic=clinic, reply=Reply.NEEDS_ACTION, asked_at__lt=now - patience)
        .select_for_update(no_key=True, of=("self",))
        .select_related("volunteer", "shift")
    )
    for row in silent:
        asked += _pass_on(row, clinic, now)
    # Open shifts that somebody was asked for before: a round is under way there and found nobody then.
    for shift in Shift.objects.filter(clinic=clinic, assignments__isnull=False).distinct():
        if holder_of(shift) is None and offer_next(shift=shift, clinic=clinic, now=now) is not None:
            asked += 1
    return asked


def _pass_on(row: Assignment, clinic: Clinic, now: datetime) -> int:
    """Let a silent one go only when somebody else can be asked: else the question stays open."""
    with transaction.atomic():
        save = transaction.savepoint()
        release(row, clinic, gettext("we didn’t hear back in time and asked someone else"), now)
        if offer_next(shift=row.shift, clinic=clinic, now=now) is None:
            transaction.savepoint_rollback(save)
            return 0
        transaction.savepoint_commit(save)
    return 1
