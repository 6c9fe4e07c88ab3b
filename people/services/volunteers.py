"""What follows when a volunteer leaves or gives up a duty."""

from collections.abc import Callable
from datetime import datetime

from django.db import transaction

from people.models import Volunteer

__all__ = ["Port", "settle_change"]


class Port:
    """What a higher room does when somebody left or holds fewer duties; config hands it in."""

    no_longer: Callable[[Volunteer, datetime], object] | None = None


@transaction.atomic
def settle_change(*, volunteer: Volunteer, now: datetime) -> None:
    """Call within the transaction that saved the change, so that a shift is never left with somebody who is gone."""
    if Port.no_longer is not None:
        Port.no_longer(volunteer, now)
