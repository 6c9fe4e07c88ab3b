"""A kit in words: where it is, what is wrong with it, what is due, and what is wrong with a code that was typed."""

from collections.abc import Callable
from datetime import date

from django.utils.translation import gettext, gettext_lazy, ngettext

from core.formats import listed, short_day
from core.rules.refused import Refused
from kits.models import Condition, Kit, KitCheck
from kits.rules.kit_state import Trouble

__all__ = ["EXAMPLE_CODE", "code_words", "due_words", "every_words", "expired_words", "trouble_words", "where_words"]

EXAMPLE_CODE = "K7-4FN"

_CODES = {
    "empty": gettext_lazy("Enter the code under the square on the bag, such as %(example)s."),
    "strange sign": gettext_lazy(
        "Codes don’t use “%(sign)s”. Check the label and try again. A code looks like %(example)s."
    ),
    "no code": gettext_lazy("A code looks like %(example)s. Check the label and try again."),
    "typo": gettext_lazy("This code has a typo. Check the label and type it again."),
}

_EVERY: dict[str, Callable[[int], str]] = {
    KitCheck.What.PUMP: lambda n: ngettext("Pump every %(n)d day.", "Pump every %(n)d days.", n),
    KitCheck.What.CHARGE: lambda n: ngettext("Charge every %(n)d day.", "Charge every %(n)d days.", n),
    KitCheck.What.COUNT: lambda n: ngettext("Count every %(n)d day.", "Count every %(n)d days.", n),
}


def where_words(kit: Kit) -> str:
    """Say where a kit is: at Quarry Lane Library; with Imara Venn; location not recorded."""
    if kit.now_at is not None:
        return gettext("at %(center)s") % {"center": kit.now_at}
    if kit.with_whom:
        return gettext("with %(name)s") % {"name": kit.with_whom}
    return gettext("location not recorded")


def trouble_words(trouble: Trouble) -> str:
    """What is wrong, as part of a sentence: it has no first-aid pouch."""
    words = {
        "absent": gettext("it has no %(item)s"),
        "unusable": gettext("its %(item)s is damaged, missing, or expired"),
        "no day": gettext("its %(item)s has no expiration date on file"),
        "kit gone": gettext("the kit is missing")
        if trouble.condition == Condition.MISSING
        else gettext("the kit needs repair"),
    }
    return words[trouble.code] % {"item": trouble.item}


def expired_words(items: list[str]) -> str:
    return gettext("its %(items)s will be expired") % {"items": listed(items)}


def every_words(what: str, days: int) -> str:
    """Pump every 14 days."""
    return _EVERY[what](days) % {"n": days}


def due_words(due: date, never: bool, today: date) -> str:
    if never:
        return gettext("not recorded yet")
    if due < today:
        return gettext("overdue since %(day)s") % {"day": short_day(due)}
    return gettext("due today") if due == today else gettext("due %(day)s") % {"day": short_day(due)}


def code_words(problem: Refused) -> str:
    """Say what is wrong with a code that somebody typed."""
    facts = {"example": EXAMPLE_CODE}
    return " ".join(str(_CODES[one.code]) % (facts | dict(one.facts)) for one in problem.reasons)
