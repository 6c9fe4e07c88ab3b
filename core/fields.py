"""Days and times as every form asks for them."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

__all__ = ["DayField", "TimeField"]


class DayField(forms.DateField):
    def __init__(self, **more: Any) -> None:
        more.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        more.setdefault("error_messages", {"invalid": _("Enter the date as year-month-day, such as 2026-12-05.")})
        super().__init__(**more)


class TimeField(forms.TimeField):
    def __init__(self, **more: Any) -> None:
        more.setdefault("widget", forms.TimeInput(attrs={"type": "time"}, format="%H:%M"))
        more.setdefault("error_messages", {"invalid": _("Enter a time such as 9:30 or 16:30.")})
        super().__init__(**more)
