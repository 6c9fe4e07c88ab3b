"""Groups of children in words: how they were made, and why they can't be."""

from collections.abc import Sequence

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from core.rules.refused import Reason
from runsheets.words.say import Sentence, say

__all__ = ["GROUP_SENTENCES", "ages_words", "group_notes"]

GROUP_SENTENCES: dict[str, Sentence] = {
    "no children": say(_("There are no children yet. Enter how many you expect, or wait for sign-ups.")),
    "too many groups": say(
        _("%(children)s can’t be split into %(groups)s. Choose 1 to %(most)d."), children="child", groups="group"
    ),
    "too many together": say(
        _(
            "%(children)s are set to stay together, but a group their age can have at most %(most)d. "
            "Put them in two sets."
        ),
        children="child",
    ),
    "twice": say(_("A child is listed twice. Remove one.")),
    "not among them": say(_("Child %(child)s is set to stay with others but isn’t on the list. Undo that.")),
    "other number": say(
        _("%(children)s can’t be split into %(groups)s with these rules. Choose %(fewest)d to %(most)d groups."),
        children="child",
        groups="group",
    ),
    "made": say(_("%(children)s in %(groups)s."), children="child", groups="group"),
    "kept together": lambda facts: (
        ngettext(
            "%(number)d set of children kept together as requested.",
            "%(number)d sets of children kept together as requested.",
            facts["number"],
        )
        % facts
    ),
    "advanced among others": lambda facts: (
        ngettext(
            "%(children)d advanced player stays with someone who isn’t advanced, as requested, "
            "so they’re not in an advanced group.",
            "%(children)d advanced players stay with someone who isn’t advanced, as requested, "
            "so they’re not in an advanced group.",
            facts["children"],
        )
        % facts
    ),
}


def group_notes(notes: Sequence[Reason]) -> tuple[str, ...]:
    return tuple(GROUP_SENTENCES[note.code](note.facts) for note in notes)


def ages_words(youngest: int, oldest: int) -> str:
    """9; 9 to 12."""
    if youngest == oldest:
        return str(youngest)
    return gettext("%(youngest)d to %(oldest)d") % {"youngest": youngest, "oldest": oldest}
