"""What a volunteer chooses about mail."""

from django.db import transaction

from outbox.services.writing import drop_waiting
from people.models import Volunteer
from shifts.letters.shifts import REMINDER

__all__ = ["stop_reminders"]


@transaction.atomic
def stop_reminders(*, volunteer: Volunteer) -> bool:
    """Send this person no more reminders; False when it was so already."""
    changed = Volunteer.objects.filter(pk=volunteer.pk, reminders=True).update(reminders=False)
    drop_waiting(why="The person asked for no reminders.", about=volunteer, kinds=[REMINDER])
    return bool(changed)
