"""When the reminders before a clinic go out: the ladder of volunteers. Its arithmetic serves other letters too."""

from __future__ import annotations

from datetime import time

from outbox.rules.due_times import Rung, reminder_times

__all__ = ["LADDER", "Rung", "reminder_times"]

LADDER = (Rung("7 days", days_before=7), Rung("48 hours", hours_before=48), Rung("morning", at=time(7, 0)))
