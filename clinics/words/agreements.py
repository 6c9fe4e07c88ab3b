"""The state of a center's agreement or insurance certificate on a day, in one word or two."""

from django.utils.translation import gettext_lazy as _

from clinics.rules.agreements import State

__all__ = ["agreement_words"]

STATES = {
    State.IN_DATE: _("current"),
    State.LAPSING: _("expires soon"),
    State.LAPSED: _("expired"),
    State.MISSING: _("missing"),
}


def agreement_words(state: State) -> str:
    return str(STATES[state])
