"""Forgetting volunteers who left long ago, their mail included."""

from datetime import date, datetime

from django.db import transaction

from people.services.retention import purge_leavers
from scheduling.models import Away, Limits, Note, WeeklyWindow

__all__ = ["forget_leavers"]


@transaction.atomic
def forget_leavers(*, today: date, months: int, now: datetime) -> int:
    """Forget who left ``months`` calendar months ago or longer, with every note to or about them; returns how many."""
    count = purge_leavers(today=today, months=months, now=now)
    for model in (Note, Away, Limits, WeeklyWindow):
        model.objects.filter(volunteer__forgotten=True).delete()
    return count
