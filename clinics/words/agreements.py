"""The state of a center's agreement or insurance certificate on a day, in one word or two."""

from django.utils.translation import gettext_lazy as _

from clinics.rules.agreements import State

__all__ = ["agreement_words"]

STATES = {
    State.CURRENT: _("current"),
    State.EXPIRES_SOON: _("expires soon"),
    State.EXPIRED: _("expired"),
    State.MISSING: _("missing"),
}


def agreement_words(state: State) -> str:
    return str(STATES[state])
