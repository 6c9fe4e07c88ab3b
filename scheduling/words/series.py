"""How a series is called and what is said of one that can't be."""

from django.utils.translation import gettext, gettext_lazy

from core.formats import counted
from scheduling.rules.series import MOST_DAYS, PATTERNS

__all__ = ["PATTERN_CHOICES", "series_problem"]

_PATTERN_NAMES = {
    "weekly": gettext_lazy("every week"),
    "fortnightly": gettext_lazy("every other week"),
    "monthly": gettext_lazy("monthly on the same weekday, such as the first Saturday"),
}
PATTERN_CHOICES = [(code, _PATTERN_NAMES[code]) for code in PATTERNS]

_PROBLEMS = {
    "no pattern": gettext_lazy("Choose how often: every week, every other week, or monthly."),
    "no end": gettext_lazy("Enter a last date or a number of clinics."),
    "ends before start": gettext_lazy("The last date is before the first. Enter a later date."),
    "too few": gettext_lazy("Enter at least 1 clinic."),
}


def series_problem(code: str) -> str:
    """The sentence for a code of ``scheduling.rules.series.SeriesError``."""
    if code == "too many":
        return gettext("A series can have up to %(clinics)s. End it sooner and book the rest later.") % {
            "clinics": counted(MOST_DAYS, "clinic")
        }
    return str(_PROBLEMS[code])
