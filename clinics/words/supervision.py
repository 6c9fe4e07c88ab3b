"""Why a supervision table gives no number of adults for what a clinic expects."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from clinics.rules.supervision import NoRatio
from core.formats import amount
from core.rules.refused import Refused

__all__ = ["ratio_words"]

BANDS = {
    "ages backwards": _("Ages %(youngest)d to %(oldest)d are in the wrong order. Put the younger age first."),
    "negative children": _("Ages %(youngest)d to %(oldest)d can’t have %(children)d children. Enter 0 or more."),
}


def ratio_words(problem: ValueError) -> str:
    """The sentence for what ``duties_needed`` or a table refuses."""
    if isinstance(problem, NoRatio):
        return gettext(
            "The table %(table)s covers ages %(lowest)d to %(highest)d, so it has no ratio for age %(age)d. "
            "Choose another table, or change the ages."
        ) % {"table": problem.table, "lowest": problem.lowest, "highest": problem.highest, "age": problem.age}
    if not isinstance(problem, Refused):
        return str(problem)
    return " ".join(
        _too_many(one.facts["children"], one.facts["most"])
        if one.code == "too many children"
        else str(BANDS[one.code]) % one.facts
        for one in problem.reasons
    )


def _too_many(children: int, most: int) -> str:
    return gettext(
        "%(children)s children are more than one clinic can hold. Enter %(most)s or fewer, or split the clinic."
    ) % {"children": amount(children), "most": amount(most)}
