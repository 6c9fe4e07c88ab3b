"""What follows from a change to a center."""

from datetime import datetime

from django.db import transaction

from clinics.hooks import sheet_may_be_whole
from clinics.models import Center

__all__ = ["center_changed"]


@transaction.atomic
def center_changed(center: Center, now: datetime) -> int:
    """Confirm the clinics that waited for a center's safety sheet, after the center was saved; returns how many."""
    return sum(sheet_may_be_whole.ask(center, now))
