"""What follows from a change to a center."""

from collections.abc import Callable
from datetime import datetime
from typing import Any

from django.db import transaction

from clinics.models import Center

__all__ = ["Port", "center_changed"]


class Port:
    """What clinics may not know of: config hands in who confirms clinics whose floor is agreed."""

    sheet_may_be_whole: Callable[[Center, datetime], Any] | None = None


@transaction.atomic
def center_changed(center: Center, now: datetime) -> int:
    """After a center was saved: clinics that waited for its safety sheet are confirmed; returns how many."""
    return int(Port.sheet_may_be_whole(center, now)) if Port.sheet_may_be_whole is not None else 0
