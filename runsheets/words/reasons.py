"""Why there is no run sheet, what would help, and what is said of a plan: sentences for the codes of the rules.

Sheets kept from before the rules gave codes hold sentences of their own, which are shown as they are.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from core.formats import counted, listed
from core.rules.refused import Refused
from runsheets.words.activities import ACTIVITY_SENTENCES, skill_words
from runsheets.words.groups import GROUP_SENTENCES
from runsheets.words.say import Sentence, say

__all__ = ["binding_words", "change_words", "kept_words", "problem_words", "trouble_words"]

_KINDS = {"opener": _("opener"), "water": _("water break"), "closer": _("closing circle")}


def _no_plan(facts: Mapping[str, Any]) -> str:
    said = {
        "groups": counted(facts["groups"], "group"),
        "adults": counted(facts["adults"], "adult"),
        "hoops": counted(facts["hoops"], "hoop"),
        "minutes": counted(facts["minutes"], "minute"),
        "limits": listed([_limit(what, there) for what, there in facts["limits"]], "or"),
    }
    if facts["limits"]:
        return gettext("There’s no way to get %(groups)s to every station. The problem is %(limits)s.") % said
    return (
        gettext("There’s no way to get %(groups)s to every station with %(adults)s, %(hoops)s, and %(minutes)s.") % said
    )


def _limit(what: str, there: int | None) -> str:
    if what.startswith("skill:"):
        return gettext("who can be %(skill)s") % {"skill": skill_words(what.removeprefix("skill:"))}
    words = {
        "adults": gettext("the number of adults (%(n)d)"),
        "hoops": gettext("the number of hoops (%(n)d)"),
        "minutes": gettext("the length of the clinic (%(minutes)s)"),
        "smaller groups": gettext("the size of the groups"),
        "balls": gettext("the number of balls (%(n)d)"),
        "tables": gettext("the number of tables (%(n)d)"),
        "sockets": gettext("the number of power outlets (%(n)d)"),
        "capacity": gettext("the size of the space (%(people)s)"),
    }
    number = there or 0
    return words[what] % {"n": number, "minutes": counted(number, "minute"), "people": counted(number, "person")}


def _no_skill(facts: Mapping[str, Any]) -> str:
    words = gettext("%(name)s needs a %(skill)s, but no one coming is one.")
    return words % {"name": facts["name"], "skill": skill_words(facts["skill"])}


def _not_for_groups(facts: Mapping[str, Any]) -> str:
    words = ngettext(
        "%(name)s doesn’t fit group %(groups)s (age or level).",
        "%(name)s doesn’t fit groups %(groups)s (age or level).",
        len(facts["groups"]),
    )
    return words % {"name": facts["name"], "groups": listed(facts["groups"])}


def _only_one(facts: Mapping[str, Any]) -> str:
    words = gettext("Choose only one %(kind)s: %(names)s.")
    return words % {"kind": _KINDS[facts["kind"]], "names": listed(facts["names"], "or")}


_SENTENCES: dict[str, Sentence] = {
    **ACTIVITY_SENTENCES,
    **GROUP_SENTENCES,
    # What is asked for makes no clinic.
    "empty group": say(_("Group %(group)s has no children. Remove the group, or add at least 1 child.")),
    "group ages": say(
        _("Group %(group)s can’t be aged %(youngest)d to %(oldest)d. Ages go from 0 to 18. Check the dates of birth.")
    ),
    "no groups": say(_("There are no children yet. Make groups first.")),
    "only one": _only_one,
    "group twice": say(_("Group %(code)s is listed twice. Remove one.")),
    "activity twice": say(_("The activity %(code)s is listed twice. Remove one.")),
    "no stations": say(_("There are no stations. Choose at least one.")),
    "no stem": say(_("Every group does STEM. Choose at least one STEM station.")),
    "not optional": say(_("%(code)s isn’t a station. Choose “yes” or “don’t use” for it.")),
    "times": say(_("The clinic and the time between water breaks must be at least 1 minute. Switch time can be 0.")),
    "adult twice": say(_("Two adults are named %(name)s. Add an initial so you can tell them apart.")),
    "none left": say(_("No children are left, so there’s nothing to plan.")),
    "no table": say(_("Choose at least one supervision table.")),
    # The search itself.
    "no time": say(_("We ran out of time before finding a plan. Try again, or use fewer stations or groups.")),
    "sheet gone": say(_("The run sheet this one continues is no longer there. Make a new one.")),
    # No plan keeps every limit.
    "too many people": say(
        _("%(children)s and %(adults)s won’t fit. The space holds %(capacity)s."),
        children="child",
        adults="adult",
        capacity="person",
    ),
    "too few adults": say(
        _("You need %(needed)s in all for %(children)s, but you have %(there)d."), needed="adult", children="child"
    ),
    "hall ages": say(
        _("%(name)s is for ages %(least)d to %(most)d, but group %(group)s is aged %(youngest)d to %(oldest)d.")
    ),
    "hall hoops": say(
        _("%(name)s is for up to %(most)s per hoop. For %(children)s you need %(needed)s, but you have %(there)d."),
        most="child",
        children="child",
        needed="hoop",
    ),
    "hall full": say(_("%(name)s is for up to %(most)s, but you have %(children)d."), most="child"),
    "hall balls": say(_("%(name)s needs more balls. You have %(there)d.")),
    "no stem for": say(_("There’s no STEM station for group %(group)s (ages %(youngest)d to %(oldest)d).")),
    "station full": say(
        _("%(name)s is for up to %(most)s at once, but group %(group)s has %(children)d."), most="child"
    ),
    "station adults": say(_("%(name)s needs %(needed)s for group %(group)s, but you have %(there)d."), needed="adult"),
    "station balls": say(_("%(name)s needs %(needed)s for group %(group)s, but you have %(there)d."), needed="ball"),
    "station hoops": say(_("%(name)s needs %(needed)s, but you have %(there)d."), needed="hoop"),
    "station tables": say(_("%(name)s needs %(needed)s, but you have %(there)d."), needed="table"),
    "station sockets": say(_("%(name)s needs %(needed)s, but you have %(there)d."), needed="outlet"),
    "no skill": _no_skill,
    "no common length": say(
        _(
            "%(long)s takes at least %(least)s and %(short)s at most %(most)s. "
            "All groups switch at the same time, so you can’t use both at one clinic."
        ),
        least="minute",
        most="minute",
    ),
    "no slot short enough": say(
        _(
            "With water breaks at least every %(water_every)s, there isn’t a time slot short enough. "
            "Choose shorter activities, or have water breaks less often."
        ),
        water_every="minute",
    ),
    "too little time": say(
        _(
            "Everything on the list takes at least %(needed)s, with switching stations and water breaks. "
            "The clinic lasts %(there)s."
        ),
        needed="minute",
        there="minute",
    ),
    "no plan": _no_plan,
    # What is said of a plan.
    "not for groups": _not_for_groups,
}


def kept_words(kept: Sequence[str | Mapping[str, Any]]) -> list[str]:
    """Say the codes that a sheet keeps, one sentence each."""
    return [one if isinstance(one, str) else _SENTENCES[one["code"]](one["facts"]) for one in kept]


def binding_words(kept: str | Sequence[Mapping[str, Any]]) -> str:
    """Say why a sheet could not be planned."""
    return kept if isinstance(kept, str) else " ".join(kept_words(kept))


def problem_words(problem: ValueError) -> str:
    """Say what a rule refuses; what other rules raise says it itself."""
    if not isinstance(problem, Refused):
        return str(problem)
    return " ".join(_SENTENCES[one.code](one.facts) for one in problem.reasons)


def trouble_words(trouble: str, result: Mapping[str, Any]) -> str:
    """Say why a search failed: its code with the facts kept beside it, or the sentence of an older one."""
    return _SENTENCES[trouble](result.get("trouble", {})) if trouble in _SENTENCES else trouble


def change_words(change: Mapping[str, Any], names: Mapping[str, str]) -> str:
    """Say what would help. ``names``: code to name of the sheet's activities."""
    if "words" in change:
        return str(change["words"])
    return listed(_part(what, amount, names) for what, amount in change["parts"])


def _part(what: str, amount: int | str, names: Mapping[str, str]) -> str:
    if isinstance(amount, str):
        return gettext("skip %(name)s") % {"name": names.get(amount, amount)}
    if what.startswith("skill:"):
        words = ngettext("one more %(skill)s", "%(n)d more people who can be %(skill)s", amount)
        return words % {"n": amount, "skill": skill_words(what.removeprefix("skill:"))}
    said = {
        "adults": ngettext("one more adult", "%(n)d more adults", amount),
        "hoops": ngettext("one more hoop", "%(n)d more hoops", amount),
        "minutes": ngettext("one more minute", "%(n)d more minutes", amount),
        "smaller groups": ngettext("one fewer child per group", "%(n)d fewer children per group", amount),
        "balls": ngettext("one more ball", "%(n)d more balls", amount),
        "tables": ngettext("one more table", "%(n)d more tables", amount),
        "sockets": ngettext("one more power outlet", "%(n)d more power outlets", amount),
        "capacity": ngettext("a space for one more person", "a space for %(n)d more people", amount),
    }
    return said[what] % {"n": amount}
