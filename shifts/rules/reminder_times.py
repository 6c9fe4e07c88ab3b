"""When the reminders before a clinic go out: the schedule of volunteers. Its arithmetic serves other letters too."""

from __future__ import annotations

from datetime import time

from outbox.rules.due_times import ReminderStep, reminder_times

__all__ = ["SCHEDULE", "ReminderStep", "Rung", "reminder_times"]

# The name by which checks from outside make a step.
Rung = ReminderStep

SCHEDULE = (
    ReminderStep("7 days", days_before=7),
    ReminderStep("48 hours", hours_before=48),
    ReminderStep("morning", at=time(7, 0)),
)
