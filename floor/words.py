"""Sentences of the floor's day: for what the rules found, and for what two phones said."""

from django.utils.functional import Promise
from django.utils.translation import gettext, gettext_lazy

from floor.rules.entries import Trouble

__all__ = ["CHANGES", "CONFLICTS", "entry_trouble"]

# By the code of a conflict; comes after a name.
CONFLICTS: dict[str, Promise] = {
    "out without in": gettext_lazy("%(name)s was signed out but never signed in."),
    "two pickup people": gettext_lazy("%(name)s was signed out to two different people."),
    "out and still here": gettext_lazy(
        "%(name)s was signed out on one phone and signed in on another within two minutes."
    ),
}

# By what a comparison of two rates says.
CHANGES: dict[str, Promise] = {
    "more": gettext_lazy("Up from earlier clinics."),
    "fewer": gettext_lazy("Down from earlier clinics."),
    "no clear change": gettext_lazy("No clear change from earlier clinics."),
    "too few to say": gettext_lazy("Too few shots to compare with earlier clinics."),
}


def entry_trouble(trouble: Trouble) -> str:
    """Say why an entry of a phone can't be accepted, for the lead who sees it under "Close the day"."""
    facts = {"name": trouble.name, "kind": trouble.kind, "most": f"{trouble.most:,}"}
    return {
        "not an entry": gettext("We couldn’t read this entry."),
        "too big": gettext("This entry is over %(most)s characters. Enter it again in shorter parts."),
        "too deep": gettext("This entry is nested too deeply to read. Enter it again."),
        "unreadable": gettext("We couldn’t read this entry’s number or time."),
        "empty": gettext("This entry is empty."),
        "unknown kind": gettext("We don’t know entries of the type “%(kind)s”."),
        "missing": gettext("This entry (%(kind)s) needs %(name)s."),
        "unexpected": gettext("This entry (%(kind)s) has a detail we don’t know: %(name)s."),
        "too long": gettext("%(name)s is over %(most)s characters. Shorten it."),
        "out of range": gettext("%(name)s is too low or too high."),
        "no phone number of its own": gettext("This walk-in has no ID from the phone. Add the child again."),
        "unreadable birth date": gettext(
            "We can’t read the date of birth. Enter it as year-month-day, such as 2018-05-31."
        ),
        "too old": gettext("The date of birth is too long ago for a child."),
        "more made than tried": gettext("Shots made can’t be more than shots tried."),
        "another entry with this number": gettext("This phone already sent another entry with this number."),
        "not expected": gettext("That person isn’t on this clinic’s list."),
    }[trouble.code] % facts
