"""What stands beside a clearance's bar on Horizon."""

from django.utils.translation import gettext

from core.formats import short_date
from shifts.rules.bars import Told

__all__ = ["bar_words"]


def bar_words(told: Told) -> str:
    """Say it in a few words; "" when there is nothing to say."""
    if told.day is not None:
        day = {"day": short_date(told.day)}
        return {
            "until": gettext("valid through %(day)s") % day,
            "expires": gettext("expires %(day)s") % day,
            "expired": gettext("expired %(day)s") % day,
            "withdrawn": gettext("withdrawn %(day)s") % day,
            "asked from": gettext("required from %(day)s") % day,
        }[told.code]
    return {
        "": "",
        "missing": gettext("none on file"),
        "awaiting": gettext("waiting for result"),
        "refused": gettext("not cleared"),
        # Without a day it can’t have been current; the rule says "missing" then.
        "expired": gettext("expired"),
    }[told.code]
