"""Sentences of the floor's day: for what the rules found, and for what two phones said."""

from django.utils.functional import Promise
from django.utils.translation import gettext, gettext_lazy, ngettext

from floor.models import FloorPhone, Incident
from floor.rules.alarms import NEEDED_DUTIES, Alarm
from floor.rules.entries import Trouble
from people.models import duties

__all__ = [
    "CHANGES",
    "CONFLICTS",
    "alarm_head",
    "entry_trouble",
    "happened_words",
    "left_words",
    "name_of_phone",
    "where_entered",
    "whose_phone",
]

# By the code of a conflict; comes after a name.
CONFLICTS: dict[str, Promise] = {
    "out without in": gettext_lazy("%(name)s was signed out but never signed in."),
    "two pickup people": gettext_lazy("%(name)s was signed out to two different people."),
    "out and still here": gettext_lazy(
        "%(name)s was signed out on one phone and signed in on another within two minutes."
    ),
    "one child or two": gettext_lazy("%(name)s: one phone says that two lines are one child, another says two."),
    "merged and apart": gettext_lazy("%(name)s: two records are merged, but another phone says they’re two children."),
}

# By what a comparison of two rates says.
CHANGES: dict[str, Promise] = {
    "more": gettext_lazy("Up from earlier clinics."),
    "fewer": gettext_lazy("Down from earlier clinics."),
    "no clear change": gettext_lazy("No clear change from earlier clinics."),
    "too few to say": gettext_lazy("Too few shots to compare with earlier clinics."),
}


def happened_words(row: Incident) -> str:
    """Say that something of a sort happened, to whom and where, and nothing of the report."""
    who = row.child or row.volunteer
    facts = {"who": who or gettext("Someone not on the list"), "center": row.clinic.center.name}
    return {
        "head": gettext("%(who)s was hit on the head at %(center)s"),
        "breathing": gettext("%(who)s had trouble breathing at %(center)s"),
        "seizure": gettext("%(who)s had a seizure at %(center)s"),
        "allergy": gettext("%(who)s had an allergic reaction at %(center)s"),
        "bleeding": gettext("%(who)s had heavy bleeding at %(center)s"),
    }[row.sort] % facts


def left_words(code: str, row: Incident) -> str:
    """Say what is left to do after an incident, in a sentence."""
    if code == "clearance":
        return gettext("Get a health care provider’s note before they play again.")
    if row.child is None:
        return gettext("Record who told their guardian or emergency contact and when.")
    return gettext("Record who told the guardian and when.")


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


def alarm_head(alarm: Alarm) -> str:
    """Say one reason for alarm as the phone's alarm heads it."""
    if alarm.code == "no adult":
        return gettext("No adult is signed in")
    if alarm.code == "one adult":
        return gettext("Only 1 adult is with the children")
    if alarm.code == "few adults":
        missing = alarm.facts["missing"]
        text = ngettext("%(n)s more adult needed now", "%(n)s more adults needed now", missing)
        return text % {"n": missing}
    if alarm.code == NEEDED_DUTIES["door"]:
        return gettext("No one is at the door")
    duty = next(duty for duty, code in NEEDED_DUTIES.items() if code == alarm.code)
    return gettext("No %(duty)s is signed in") % {"duty": duties().noun(duty)}


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
