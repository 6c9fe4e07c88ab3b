"""How a child's spot at a clinic ended, in words."""

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from families.models import Spot, SpotState

__all__ = ["ended_words", "past_words"]

# What the database keeps of why a spot ended.
_ENDED = {
    "given up by the guardian": _("the guardian gave it up"),
    "given up by the office": _("the office ended it"),
    "the guardian said no": _("the guardian said no"),
    "not answered in time": _("no answer in time"),
    "no longer the right age": _("outside the age range"),
    "the clinic was cancelled": _("the clinic was cancelled"),
    "the household was forgotten": _("the family’s data was deleted"),
    "the child had a place already": _("the child already had a spot"),
}


def ended_words(because: str) -> str:
    """Why a spot ended; what someone typed stays as it is."""
    return str(_ENDED.get(because, because))


def past_words(spot: Spot) -> str:
    """What became of a spot that is over, or was given up before."""
    if spot.state == SpotState.HELD:
        return gettext("had a spot")
    if spot.state == SpotState.WAITING:
        return gettext("was on the waiting list")
    if not spot.because:
        return gettext("the spot ended")
    return gettext("the spot ended: %(reason)s") % {"reason": ended_words(spot.because)}
