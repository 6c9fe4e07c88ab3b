"""What comes before and after a volunteer leaves or gives up a duty."""

from datetime import datetime

from django.db import transaction

from people import hooks
from people.models import Volunteer

__all__ = ["hold_shifts", "settle_change"]


def hold_shifts(*, volunteer: Volunteer, now: datetime) -> None:
    """Call first in a transaction that may cost somebody their shifts: a move of a clinic locks in that order too."""
    hooks.hold_for_change.ask(volunteer, now)


@transaction.atomic
def settle_change(*, volunteer: Volunteer, now: datetime) -> None:
    """Call within the transaction that saved the change, so that a shift is never left with somebody who is gone."""
    hooks.no_longer.ask(volunteer, now)
