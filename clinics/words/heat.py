"""The classes of the heat index, in the words of the US National Weather Service."""

from django.utils.translation import gettext_lazy as _

__all__ = ["heat_words"]

CLASSES = {
    "no caution": _("no caution"),
    "caution": _("caution"),
    "extreme caution": _("extreme caution"),
    "danger": _("danger"),
    "extreme danger": _("extreme danger"),
}


def heat_words(code: str) -> str:
    return str(CLASSES[code])
