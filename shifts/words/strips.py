"""The coverage strip in words: a cell's state, and the one thing to say of a whole strip."""

from django.utils.translation import gettext, ngettext

__all__ = ["cell_words", "cover_words"]


def cell_words(state: str) -> str:
    """Say the state of one shift: accepted, asked, open, or held by somebody who is not cleared that day."""
    return {
        "accepted": gettext("accepted"),
        "asked": gettext("asked"),
        "open": gettext("open"),
        "cannot": gettext("not cleared that day"),
    }[state]


def cover_words(state: str, count: int) -> str:
    """Say the worst state of a strip's cells and how many there are of it; "set" and "no shifts" need no count."""
    told = {
        "cannot": ngettext("%(n)d not cleared", "%(n)d not cleared", count),
        "open": ngettext("%(n)d open", "%(n)d open", count),
        "asked": ngettext("%(n)d asked", "%(n)d asked", count),
        "set": gettext("set"),
        "no shifts": gettext("no shifts"),
    }[state]
    return told % {"n": count}
