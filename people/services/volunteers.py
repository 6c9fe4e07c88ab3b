"""What comes before and after a volunteer leaves or gives up a duty."""

from collections.abc import Callable
from datetime import datetime

from django.db import transaction

from people.models import Volunteer

__all__ = ["Port", "hold_shifts", "settle_change"]


class Port:
    """What a higher room does when somebody left or holds fewer duties; config hands it in.

    ``hold`` locks what stands above a person, so that their own row is locked after it and not before.
    """

    hold: Callable[[Volunteer, datetime], object] | None = None
    no_longer: Callable[[Volunteer, datetime], object] | None = None


def hold_shifts(*, volunteer: Volunteer, now: datetime) -> None:
    """Call first in a transaction that may cost somebody their shifts: a move of a clinic locks in that order too."""
    if Port.hold is not None:
        Port.hold(volunteer, now)


@transaction.atomic
def settle_change(*, volunteer: Volunteer, now: datetime) -> None:
    """Call within the transaction that saved the change, so that a shift is never left with somebody who is gone."""
    if Port.no_longer is not None:
        Port.no_longer(volunteer, now)
