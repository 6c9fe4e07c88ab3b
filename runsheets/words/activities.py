"""Activities in words: what each needs, and what is wrong with one that was typed or read from a file."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from core.formats import counted
from kits.words.items import amount_words
from people.models import duties
from runsheets.models import Activity
from runsheets.words.say import Sentence, say

__all__ = ["ACTIVITY_SENTENCES", "needs_words", "packed_words", "row_words", "skill_words"]

ACTIVITY_SENTENCES: dict[str, Sentence] = {
    "kind": say(_("%(name)s: “%(kind)s” isn’t an activity type. Choose %(kinds)s.")),
    "level": say(_("%(name)s: “%(level)s” isn’t a level. Choose %(levels)s.")),
    "minutes": say(
        _("%(name)s can’t last %(least)d to %(most)s. Enter the shortest time first, at least 1 minute."),
        most="minute",
    ),
    "below 1": say(_("%(name)s needs at least 1 child, 1 second per turn, and 1 turn at a time.")),
    "below 0": say(_("%(name)s has a negative number. Enter 0 or more.")),
    "long turn": say(_("One turn of %(name)s is longer than its %(minutes)s. Enter a shorter turn."), minutes="minute"),
    "ages": say(_("%(name)s can’t be for ages %(youngest)d to %(oldest)d. Enter the youngest age first.")),
    "no amount": say(_("“%(line)s” has no amount. Write it like “strip of foil: 2 per head”.")),
    "long name": say(_("“%(name)s…” is longer than %(most)d characters. Use a shorter name.")),
    "no ending": say(_("“%(line)s” is missing “per head”, “per group”, or “once” at the end. Add one.")),
    "no number": say(_("%(name)s: enter a whole number from 1 to %(most)d, not “%(number)s”.")),
    "listed twice": say(_("%(name)s is listed twice. Keep one line.")),
    "unknown code": say(_("No activity has the code “%(code)s”. Leave the code empty to add a new one.")),
    "no name": say(_("The name is empty. Enter a name.")),
    "name there": say(_("There’s already an activity called %(name)s. Enter its code to update it.")),
    "same line": say(_("This is the same as line %(line)d. Keep one of the two.")),
    "no choice": say(_("%(column)s can’t be “%(typed)s”. Enter %(choices)s.")),
    "not whole": say(_("%(column)s: “%(typed)s” is not a whole number. Enter one.")),
    "out of range": say(_("%(column)s is %(number)d. Enter %(least)d to %(most)d.")),
    "opener minutes": say(_("An opener must last 5 to 10 minutes. Change the minutes.")),
    "bad character": say(_("%(column)s has a character we can’t read. Remove it.")),
    "too long": say(_("%(column)s is longer than %(most)d characters. Shorten it.")),
}


def row_words(reasons: Sequence[str | Mapping[str, Any]]) -> list[str]:
    """Say why a row can't be imported; rows read earlier hold the words themselves."""
    return [
        f"{capfirst(one)}." if isinstance(one, str) else ACTIVITY_SENTENCES[one["code"]](one["facts"])
        for one in reasons
    ]


def skill_words(skill: str) -> str:
    """The skill as the duty is called, however it was typed."""
    names = {duties().name(code).casefold(): duties().name(code) for code in duties().codes}
    return names.get(skill.strip().casefold(), skill)


def needs_words(row: Activity) -> str:
    """1 hoop, 2 balls per turn, STEM lead, cones."""
    parts = [counted(row.hoops, "hoop") if row.hoops else ""]
    if row.balls:
        parts.append(gettext("%(balls)s per turn") % {"balls": counted(row.balls, "ball")})
    if row.balls_each:
        parts.append(gettext("%(balls)s per child") % {"balls": counted(row.balls_each, "ball")})
    parts += [counted(row.tables, "table") if row.tables else "", skill_words(row.skill)]
    parts += [amount_words(thing.amount, thing.name).partition(" ")[2] for thing in row.as_rule().packed]
    return ", ".join(part for part in parts if part)


def packed_words(row: Activity) -> list[str]:
    """6 cones; 2 strips of foil per child."""
    said = {
        "once": "%(items)s",
        "group": gettext("%(items)s per group"),
        "head": gettext("%(items)s per child"),
    }
    return [said[one.per] % {"items": amount_words(one.amount, one.name)} for one in row.as_rule().packed]
