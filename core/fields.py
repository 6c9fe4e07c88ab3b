"""Days and times as every form asks for them."""

from typing import Any

from django import forms

__all__ = ["DayField", "TimeField"]


class DayField(forms.DateField):
    def __init__(self, **more: Any) -> None:
        more.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        more.setdefault("error_messages", {"invalid": "Write the day as year-month-day, such as 2026-12-05."})
        super().__init__(**more)


class TimeField(forms.TimeField):
    def __init__(self, **more: Any) -> None:
        more.setdefault("widget", forms.TimeInput(attrs={"type": "time"}, format="%H:%M"))
        more.setdefault("error_messages", {"invalid": "Write the time as hours and minutes, such as 09:30."})
        super().__init__(**more)
