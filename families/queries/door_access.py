"""Whether an account may open a clinic's sign-in sheet now."""

from datetime import datetime

from django.conf import settings

from clinics.models import Clinic
from core.access import NotYours
from families.hooks import leading
from families.models import DoorReading
from families.rules.door import OPEN_FOR, door_bar
from families.words.door import door_words
from people.models import User

__all__ = ["door_is_open", "may_open_door", "refuse_at_door"]

KEEPS_RECORDS = "people.see_children"


def may_open_door(clinic: Clinic, account: User, now: datetime) -> bool:
    """Whether the account may see the names of a clinic's children. No query for the office, a few for a floor lead."""
    return account.has_perm("people.see_door") and _why_not(clinic, account, now) == ""


def refuse_at_door(clinic: Clinic, account: User, now: datetime) -> None:
    """Raise NotYours, with who can help, when the account may not open the sign-in sheet."""
    if words := _why_not(clinic, account, now):
        raise NotYours(words)


def door_is_open(clinic: Clinic, account: User, now: datetime) -> bool:
    """Whether the account has opened this sheet, and was written down, a short time ago."""
    rows = DoorReading.objects.filter(clinic=clinic, by=account)
    return rows.filter(at__gt=now - OPEN_FOR, at__lte=now).exists()


def _why_not(clinic: Clinic, account: User, now: datetime) -> str:
    if account.has_perm(KEEPS_RECORDS):
        return ""
    found = leading.ask_one(clinic, account.email)
    bar = door_bar(keeps_records=False, leading=found, now=now)
    return door_words(bar, found, clinic.center.tz, settings.ORGANISATION_PHONE) if bar else ""
