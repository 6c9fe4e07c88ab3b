"""A standing in words, as a coordinator would say it."""

from collections.abc import Mapping
from datetime import date, timedelta

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from core.formats import short_day
from people.rules.standing import Standing, State

__all__ = ["kind_words", "state_words", "why_not", "worth_knowing"]

# A clearance's state on a day; of somebody's duty, the worst of its clearances.
STATES = {
    "current": _("current"),
    "expires soon": _("expires soon"),
    "expired": _("expired"),
    "missing": _("missing"),
    "awaiting": _("waiting for result"),
    "refused": _("not cleared"),
}


def state_words(state: State) -> str:
    return str(STATES[state])


def why_not(standing: Standing, names: Mapping[str, str], on: date, today: date, event: str = "clinic") -> list[str]:
    """Every reason why the person isn't cleared on the day ``on``, worst first; empty when they are.

    ``event`` says what is on that day: "clinic", or the "change" of a policy.

    >>> why_not(s, {"conduct": "abuse prevention training"}, date(2026, 12, 5), today)   # doctest: +SKIP
    ['abuse prevention training expires 4 days before this clinic']
    """
    found = (
        kind_words(names.get(kind, kind), state, standing.last_days.get(kind), on, today, event)
        for kind, state, _changes_on in standing.reasons
    )
    return [words for words in found if words]


def kind_words(name: str, state: State, last: date | None, on: date, today: date | None, event: str = "clinic") -> str:
    """Say why one clearance is not current on the day ``on``; "" when it is.

    ``last`` is the day it last was current. Without ``today`` nothing is known to be over yet.
    """
    if state == "expired":
        return _expired(name, last, on, today, event)
    if state == "missing":
        if last is None:
            return gettext("no %(name)s on file for that day") % {"name": name}
        # Only a withdrawn record was current once and counts as missing after: from the day it was withdrawn on.
        withdrawn = short_day(last + timedelta(days=1))
        return gettext("%(name)s was withdrawn on %(day)s") % {"name": name, "day": withdrawn}
    if state == "awaiting":
        return gettext("%(name)s: still waiting for the result") % {"name": name}
    return gettext("%(name)s was not cleared") % {"name": name} if state == "refused" else ""


def _expired(name: str, last: date | None, on: date, today: date | None, event: str) -> str:
    if last is None:
        return gettext("%(name)s is not current on that day") % {"name": name}
    if today is not None and last < today:
        return gettext("%(name)s expired on %(day)s") % {"name": name, "day": short_day(last)}
    days = (on - last).days
    if event == "change":
        words = ngettext(
            "%(name)s expires the day before the change", "%(name)s expires %(days)d days before the change", days
        )
    else:
        words = ngettext(
            "%(name)s expires the day before this clinic", "%(name)s expires %(days)d days before this clinic", days
        )
    return words % {"name": name, "days": days}


def worth_knowing(standing: Standing, names: Mapping[str, str], on: date) -> list[str]:
    """Say which clearances are current on the day but expire soon after it."""
    words = []
    for kind, state, _changes_on in standing.reasons:
        last = standing.last_days.get(kind)
        if state != "expires soon" or last is None:
            continue
        facts = {"name": names.get(kind, kind), "days": (last - on).days}
        if not facts["days"]:
            words.append(gettext("%(name)s expires the same day") % facts)
        else:
            later = ngettext(
                "%(name)s expires %(days)d day later", "%(name)s expires %(days)d days later", (last - on).days
            )
            words.append(later % facts)
    return words
