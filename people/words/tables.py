"""What is wrong with a row of a file, in words: each follows the row's line and begins with a small letter."""

from django.utils.translation import gettext_lazy as _

from people.rules.cells import RowProblem

__all__ = ["row_problem"]

PROBLEMS = {
    "bad character": _("%(column)s has a character we can’t read"),
    "too long": _("%(column)s is longer than %(most)d characters"),
    "no name": _("the name is empty"),
    "no email": _("“%(email)s” is not an email address"),
    "on file": _("%(email)s is already on file"),
    "email twice": _("%(email)s is also on line %(line)d"),
    "unknown duties": _("“%(duties)s” is not a duty. Use %(known)s"),
    "no duties": _("duties are empty. Use %(known)s"),
    "yes or no": _("enter yes or no under adult, not “%(typed)s”"),
    "under 18": _("volunteers under 18 can only be helpers"),
    "no point": _("latitude and longitude: enter both as numbers, or leave both empty"),
    "point out of range": _("latitude or longitude is out of range"),
    "no volunteer": _("no volunteer has the email “%(email)s”"),
    "no clearance": _("“%(kind)s” is not a clearance in your policy"),
    "by hand": _("“%(state)s” can’t be imported. Use clear or awaiting. Record other results by hand"),
    "not issued": _("the issue date is empty"),
    "in the future": _("%(day)s is in the future"),
    "expiry before issue": _("the last valid day is before the issue date"),
    "row twice": _("same as line %(line)d"),
    "no date": _("“%(typed)s” is not a date. Enter it like 2026-12-05"),
    "odd year": _("%(typed)s: check the year"),
}


def row_problem(problem: RowProblem | str) -> str:
    """The words for one problem; what an app has put into words already stays as it is."""
    return problem if isinstance(problem, str) else str(PROBLEMS[problem.code]) % problem.named
