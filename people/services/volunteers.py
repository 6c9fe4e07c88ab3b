"""What to call before and after a volunteer leaves or gives up a duty."""

from datetime import datetime

from django.db import transaction

from people import hooks
from people.models import Volunteer

__all__ = ["hold_shifts", "settle_change"]


def hold_shifts(*, volunteer: Volunteer, now: datetime) -> None:
    """Lock what stands above the volunteer, before a change that may cost them their shifts.

    Call it first in the transaction: a move of a clinic locks in that order too.
    """
    hooks.hold_for_change.ask(volunteer, now)


@transaction.atomic
def settle_change(*, volunteer: Volunteer, now: datetime) -> None:
    """Tell the apps above that the volunteer left or gave up a duty, so that nobody who is gone keeps a shift.

    Call it within the transaction that saved the change.
    """
    hooks.no_longer.ask(volunteer, now)
