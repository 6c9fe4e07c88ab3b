"""Headlines on Ahead about shifts that need somebody and people who have not answered."""

from collections.abc import Sequence

from django.utils.translation import gettext, ngettext

__all__ = ["people_needed", "people_silent"]


def people_needed(center: str, duties: Sequence[str]) -> str:
    """Say whom a clinic still needs. ``duties`` has the noun of each open shift: the same one twice is 2 of them."""
    counts = {duty: duties.count(duty) for duty in dict.fromkeys(duties)}
    listed = ", ".join(duty if n == 1 else f"{duty} ({n})" for duty, n in counts.items())
    return ngettext(
        "%(center)s still needs %(n)d person: %(duties)s",
        "%(center)s still needs %(n)d people: %(duties)s",
        len(duties),
    ) % {"center": center, "n": len(duties), "duties": listed}


def people_silent(names: Sequence[str]) -> str:
    """Say who has not answered: one or two by name, the rest by number."""
    if len(names) == 1:
        return gettext("%(name)s hasn’t answered") % {"name": names[0]}
    first, second, *rest = names
    if not rest:
        return gettext("%(first)s and %(second)s haven’t answered") % {"first": first, "second": second}
    return ngettext(
        "%(first)s, %(second)s, and %(n)d other person haven’t answered",
        "%(first)s, %(second)s, and %(n)d other people haven’t answered",
        len(rest),
    ) % {"first": first, "second": second, "n": len(rest)}
