"""The one place that asks what time it is, so that services can be handed another answer."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils import timezone


def now() -> datetime:
    return timezone.now()


def today(tz: ZoneInfo | None = None) -> date:
    """The day it is in ``tz``, or in the organisation's own zone."""
    return now().astimezone(tz or home_zone()).date()


def home_zone() -> ZoneInfo:
    return ZoneInfo(settings.HOME_TIME_ZONE)
