"""Sentences of the floor's day: for what the rules found, and for what two phones said."""

from django.utils.functional import Promise
from django.utils.translation import gettext, gettext_lazy

from floor.models import FloorPhone
from floor.rules.entries import LONGEST_TEXT, Trouble

__all__ = ["CHANGES", "CONFLICTS", "entry_trouble", "name_of_phone", "where_entered", "whose_phone"]

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
    facts = {"name": trouble.name, "kind": trouble.kind, "most": f"{LONGEST_TEXT:,}"}
    return {
        "not an entry": gettext("We couldn’t read this entry."),
        "unreadable": gettext("We couldn’t read this entry’s number or time."),
        "empty": gettext("This entry is empty."),
        "unknown kind": gettext("We don’t know entries of the type “%(kind)s”."),
        "missing": gettext("This entry (%(kind)s) needs %(name)s."),
        "too long": gettext("%(name)s is over %(most)s characters. Shorten it."),
        "out of range": gettext("%(name)s isn’t between 0 and 10,000."),
        "no phone number of its own": gettext("This walk-in has no ID from the phone. Add the child again."),
        "unreadable birth date": gettext(
            "We can’t read the date of birth. Enter it as year-month-day, such as 2018-05-31."
        ),
        "too old": gettext("The date of birth is too long ago for a child."),
        "more made than tried": gettext("Shots made can’t be more than shots tried."),
        "not expected": gettext("That person isn’t on this clinic’s list."),
    }[trouble.code] % facts


def name_of_phone(phone: FloorPhone) -> str:
    """Name a phone by its person, and from their second one on by its number."""
    if phone.number == 1:
        return phone.opened_by
    return gettext("%(name)s, phone %(n)s") % {"name": phone.opened_by, "n": phone.number}


def whose_phone(phone: FloorPhone) -> str:
    """Name a phone as somebody's, in the middle of a sentence."""
    facts = {"name": phone.opened_by, "n": phone.number}
    if phone.number == 1:
        return gettext("%(name)s’s phone") % facts
    return gettext("%(name)s’s phone %(n)s") % facts


def where_entered(phone: FloorPhone) -> str:
    """Say on whose phone an entry was made, or that the office made it; comes at the end of a sentence."""
    facts = {"name": phone.called or phone.opened_by, "n": phone.number}
    if phone.volunteer_id is None:
        return gettext("entered by %(name)s") % facts
    if phone.number == 1:
        return gettext("entered on %(name)s’s phone") % facts
    return gettext("entered on %(name)s’s phone %(n)s") % facts
