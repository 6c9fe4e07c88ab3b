"""What the admin lets a lead do at the door."""

from datetime import datetime

from django.db import transaction

from floor.models import DoorPolicy
from people.models import User

__all__ = ["set_door_policy"]


@transaction.atomic
def set_door_policy(*, sign_on_phone: bool, sign_on_paper: bool, by: User, now: datetime) -> DoorPolicy:
    """Save the one row of rules. Phones hear of it with their next day's data, within two minutes of signal."""
    row = DoorPolicy.now()
    row.sign_on_phone, row.sign_on_paper, row.changed_by, row.changed_at = sign_on_phone, sign_on_paper, by, now
    row.save()
    return row
