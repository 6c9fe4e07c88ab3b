"""A cover plan in words: what it is worth, what is proven of it, and what would help where a shift stays open."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date

from django.utils.translation import gettext, ngettext

from core.formats import amount, counted, long_day, month_and_year, span
from shifts.rules.eligibility import Reason
from shifts.rules.matching.facts import Note, Objective, Plan, Position
from shifts.rules.matching.near import Instead
from shifts.rules.matching.pairs import Change
from shifts.words.eligibility import words

__all__ = ["change_words", "note_words", "plan_words", "why_words"]


def plan_words(plan: Plan, positions: Sequence[Position]) -> list[str]:
    """Say, thing by thing, what the plan is judged by, each with what is proven of it."""
    total, opened = len(positions), len(plan.unfilled)
    found = {one.name: one for one in plan.objectives}
    told = [_filled(total, opened, found["unfilled"])]
    lame = sum(one.cannot for one in positions)
    if lame:
        told.append(
            ngettext(
                "%(n)d of them is held by someone who isn’t cleared that day, so it doesn’t count.",
                "%(n)d of them are held by people who aren’t cleared that day, so they don’t count.",
                lame,
            )
            % {"n": lame}
        )
    if "below ratio" in found:
        told.append(_below(found["below ratio"]))
    if found.get("moved") is not None and found["moved"].value:
        count = found["moved"].value
        told.append(
            ngettext(
                "%(n)d person who was already asked would be taken off.",
                "%(n)d people who were already asked would be taken off.",
                count,
            )
            % {"n": count}
        )
    if "travel" in found and plan.placements:
        told.append(_travel(plan, found["travel"]))
    if "fairness" in found and plan.placements:
        told.append(_fairness(plan, found["fairness"]))
    return told


def _filled(total: int, opened: int, one: Objective) -> str:
    if not total:
        return gettext("There are no shifts on these days.")
    if not opened:
        return ngettext("The only shift is filled.", "All %(n)d shifts are filled.", total) % {"n": total}
    still = ngettext(
        "%(opened)d of %(total)d shifts is still open.", "%(opened)d of %(total)d shifts are still open.", opened
    ) % {"opened": opened, "total": total}
    if one.proven:
        return f"{still} {gettext('No other plan fills more.')}"
    return f"{still} {gettext('There may be a better plan, but we ran out of time.')}"


def _below(one: Objective) -> str:
    if not one.value:
        return gettext("Every clinic has enough adults.")
    still = ngettext(
        "%(n)d clinic still doesn’t have enough adults.", "%(n)d clinics still don’t have enough adults.", one.value
    ) % {"n": one.value}
    return f"{still} {_proof(one, gettext('No other plan has fewer.'))}"


def _travel(plan: Plan, one: Objective) -> str:
    known = [placement.km for placement in plan.placements.values() if placement.km is not None]
    if known:
        far = gettext("No one drives more than %(km)s km one way.") % {"km": f"{max(known):.0f}"}
    else:
        far = gettext("We don’t know any of the distances.")
    whole = gettext("Total travel for people we’d ask: %(km)s km.") % {"km": amount(one.value)}
    return f"{far} {whole} {_proof(one, gettext('No equally full plan has less driving.'))}"


def _fairness(plan: Plan, one: Objective) -> str:
    most = max(Counter(placement.person for placement in plan.placements.values()).values())
    share = ngettext(
        "No one has more than %(n)d of these shifts.", "No one has more than %(n)d of these shifts.", most
    ) % {"n": most}
    return f"{share} {_proof(one, gettext('No other plan is more even.'))}"


def _proof(one: Objective, best: str) -> str:
    if one.proven:
        return best
    return gettext("This is within %(share)s of the best possible.") % {"share": f"{one.gap:.1%}"}


def note_words(note: Note) -> str:
    """Say what to know of a plan, and what to do about it."""
    facts = {"n": note.count, "km": amount(note.km)}
    if note.code == "no volunteers":
        return gettext("There are no volunteers to choose from. Add volunteers, or choose more days.")
    if note.code == "centers off the map":
        text = ngettext(
            "%(n)d center isn’t on the map, so we assume %(km)s km each way. Add its latitude and longitude.",
            "%(n)d centers aren’t on the map, so we assume %(km)s km each way. Add their latitude and longitude.",
            note.count,
        )
    else:
        text = ngettext(
            "%(n)d volunteer has no home area on the map, so we assume %(km)s km each way.",
            "%(n)d volunteers have no home area on the map, so we assume %(km)s km each way.",
            note.count,
        )
    return text % facts


def why_words(why: Sequence[Reason] | Instead, today: date | None = None) -> list[str]:
    """Say why the plan gives somebody no shift: the reasons against them, or what it does with the shift instead."""
    if not isinstance(why, Instead):
        return [words(reason, today) for reason in why]
    facts = {"name": why.name or gettext("someone else")}
    return [
        {
            "nobody": gettext("available, but no one is assigned there"),
            "accepted": gettext("available, but %(name)s already said yes"),
            "asked": gettext("available, but %(name)s was already asked or fits the overall plan better"),
            "better": gettext("available, but the overall plan is better with %(name)s"),
        }[why.code]
        % facts
    ]


def change_words(change: Change, name: str) -> str:
    """Say what to do so that the person called ``name`` could take the shift, as it follows "You could"."""
    facts = {"name": name}
    match change.code:
        case "duty":
            return gettext("ask %(name)s if they’d take this duty") % facts
        case "ask":
            return gettext("send %(name)s one more request") % facts
        case "again":
            return gettext("ask %(name)s again") % facts
        case "farther":
            return gettext("ask %(name)s to travel %(km)s km farther") % {"name": name, "km": f"{change.more:.0f}"}
        case "away":
            return gettext("ask %(name)s to come even though they’re away") % facts
        case "renew":
            return _renew(change, name)
        case _:
            return _time(change, name)


def _renew(change: Change, name: str) -> str:
    facts = {"name": name, "clearance": change.kind_name, "day": long_day(change.by) if change.by else ""}
    if change.held:
        return gettext("ask %(name)s to renew their %(clearance)s by %(day)s") % facts
    return gettext("record %(clearance)s for %(name)s by %(day)s") % facts


def _time(change: Change, name: str) -> str:
    if change.starts is None:
        raise ValueError(f"{change.code} is no change of a person's time.")
    # On the center's clock already, so no zone is needed to read it.
    starts = change.starts.replace(tzinfo=None)
    facts = {"name": name, "month": month_and_year(starts), "hours": counted(change.more, "hour")}
    if change.code == "shifts":
        return gettext("ask %(name)s to take one more shift in %(month)s") % facts
    if change.code == "hours" or change.ends is None:
        return gettext("ask %(name)s to give %(hours)s more in %(month)s") % facts
    facts |= {"day": long_day(starts), "hours": span(starts, change.ends.replace(tzinfo=None))}
    return gettext("ask %(name)s if %(day)s, %(hours)s, would work just this once") % facts
