"""What a volunteer chooses about mail."""

from django.db import transaction
from django.utils.translation import gettext

from outbox.services.writing import drop_waiting
from people.models import Volunteer
from shifts.letters.shifts import REMINDER

__all__ = ["stop_reminders"]


@transaction.atomic
def stop_reminders(*, volunteer: Volunteer) -> bool:
    """Send this person no more reminders; False when it was so already."""
    changed = Volunteer.objects.filter(pk=volunteer.pk, reminders=True).update(reminders=False)
    drop_waiting(why=gettext("This person turned off reminders."), about=volunteer, kinds=[REMINDER])
    return bool(changed)
