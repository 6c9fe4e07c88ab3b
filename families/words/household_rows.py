"""What is wrong with a row of a file of families, in words: each begins with a small letter, as it follows its line."""

from django.utils.translation import gettext_lazy as _

from people.rules.cells import RowProblem
from people.words.tables import row_problem

__all__ = ["household_problem"]

_EMPTY = {
    "guardian_name": _("the guardian’s name is empty"),
    "child_name": _("the child’s name is empty"),
    "birth_date": _("the date of birth is empty"),
    "emergency_name": _("the emergency contact’s name is empty"),
    "emergency_phone": _("the emergency contact’s phone is empty"),
}
_PROBLEMS = {
    "no way to reach": _("add an email or phone for the guardian"),
    "guardian on file": _(
        "this guardian is already on file, and an import can’t change that: "
        "the guardian can add the child on their family page"
    ),
    "another name": _("line %(line)d has the same email or phone with a different guardian’s name"),
    "no such language": _("enter en or es under language, not “%(typed)s”"),
    "no such experience": _("enter new, some, or team under experience, not “%(typed)s”"),
    "child twice": _("same child as line %(line)d"),
    "pickup name too long": _("a pickup name is over 120 characters: separate names with ;"),
    "no birth date": _("“%(typed)s” is not a date. Enter it like 2017-05-31"),
    "grown up": _("a person born in %(year)d is an adult: check the date of birth"),
}


def household_problem(problem: RowProblem | str) -> str:
    """The words for one problem; what every file has in common is worded in people/words/tables.py."""
    if isinstance(problem, str):
        return problem
    if problem.code == "empty":
        return str(_EMPTY[str(problem.named["column"])])
    if problem.code in _PROBLEMS:
        return str(_PROBLEMS[problem.code]) % problem.named
    return row_problem(problem)
