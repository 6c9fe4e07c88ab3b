"""What if: the same facts with some things supposed, nothing of it written anywhere."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import UTC, date, time, timedelta
from typing import Any

from django.utils.translation import gettext, ngettext

from clinics.formatting import clinic_words
from clinics.models import BE_THERE_BEFORE, STAY_AFTER, Clinic
from clinics.rules.cover_needs import scaled_bands
from core.formats import clock_time, short_day
from core.refusal import Refusal
from core.rules.local_time import localize
from people.models import ClearanceKind, Volunteer, duties
from shifts.queries.facts import Facts
from shifts.queries.shift_needs import RATIO_DUTIES, bands_of, needed_for
from shifts.rules.matching import Change, Person, Position, apply

__all__ = ["what_if_sentence", "with_changes"]


def with_changes(facts: Facts, changes: list[dict[str, Any]]) -> Facts:
    """Return the facts as they would be after the changes.

    Raises Refusal for a change that can't be tried.
    """
    for change in changes:
        facts = DOES[change["what"]](facts, change)
    return facts


def what_if_sentence(change: dict[str, Any]) -> str:
    """Say one change that is tried, as it follows "What if"."""
    what = change["what"]
    if what in ("renew", "away"):
        return _of_person(change)
    clinic = Clinic.objects.select_related("center").filter(pk=change["clinic"]).first()
    name = clinic_words(clinic) if clinic else gettext("a clinic")
    if what == "children":
        text = ngettext("%(n)d child comes to %(clinic)s", "%(n)d children come to %(clinic)s", change["children"])
        return text % {"n": change["children"], "clinic": name}
    day, starts = date.fromisoformat(change["day"]), time.fromisoformat(change["starts"])
    facts = {"clinic": name, "day": short_day(day), "time": clock_time(starts)}
    return gettext("%(clinic)s is moved to %(day)s at %(time)s") % facts


def _of_person(change: dict[str, Any]) -> str:
    who = Volunteer.objects.filter(pk=change["volunteer"]).first()
    name = who.name if who else gettext("someone")
    if change["what"] == "renew":
        kind = ClearanceKind.objects.filter(code=change["kind"]).first()
        facts = {"name": name, "clearance": kind or gettext("clearance"), "day": _short(change["day"])}
        return gettext("%(name)s renews their %(clearance)s by %(day)s") % facts
    facts = {"name": name, "first": _short(change["first"]), "last": _short(change["last"])}
    return gettext("%(name)s is away from %(first)s through %(last)s") % facts


def _short(day: str) -> str:
    return short_day(date.fromisoformat(day))


def _not_on_these_days() -> Refusal:
    text = gettext("That clinic isn’t on these days. Choose another one.")
    return Refusal.because("not on these days", text, "clinic")


def _people(facts: Facts, volunteer: int, edit: Any) -> Facts:
    people: list[Person] = [edit(person) if person.id == volunteer else person for person in facts.people]
    return replace(facts, people=people)


def _renew(facts: Facts, change: dict[str, Any]) -> Facts:
    day = date.fromisoformat(change["day"])
    renewal = Change("renew", change["volunteer"], 0, day=day, kind=change["kind"])
    return _people(facts, change["volunteer"], lambda person: apply(person, renewal))


def _away(facts: Facts, change: dict[str, Any]) -> Facts:
    first, last = date.fromisoformat(change["first"]), date.fromisoformat(change["last"])
    if last < first:
        text = gettext("The last day away is before the first. Enter a later date.")
        raise Refusal.because("away backwards", text, "until")
    facts = _people(
        facts,
        change["volunteer"],
        lambda person: replace(person, known=replace(person.known, away=[*person.known.away, (first, last)])),
    )
    # Whoever is away can't keep what they accepted either: that is what is being tried.
    positions = [
        replace(p, accepted=None) if p.accepted == change["volunteer"] and first <= p.day <= last else p
        for p in facts.positions
    ]
    return replace(facts, positions=positions)


def _children(facts: Facts, change: dict[str, Any]) -> Facts:
    """Another number of children, shared over the clinic's age bands as they are: shifts come or go with it."""
    clinic = facts.clinics.get(change["clinic"])
    if clinic is None:
        raise _not_on_these_days()
    needed = needed_for(clinic, scaled_bands(bands_of(clinic), change["children"]))
    here = [p for p in facts.positions if p.clinic == clinic.pk]
    surplus = Counter(p.duty for p in here) - needed
    positions = [p for p in facts.positions if p.clinic != clinic.pk]
    for position in sorted(here, key=lambda p: (p.accepted is not None, p.asked is not None)):
        if surplus[position.duty] > 0 and position.accepted is None:
            surplus[position.duty] -= 1
        else:
            positions.append(position)
    missing = needed - Counter(p.duty for p in here)
    number = min([0, *(p.id for p in facts.positions)])
    for duty in missing.elements():
        number -= 1
        positions.append(
            replace(
                here[0], id=number, duty=duty, rank=duties().rank(duty), in_ratio=duty in RATIO_DUTIES,
                accepted=None, asked=None, cannot=False,
            )
        )  # fmt: skip
    adults = sum(needed[duty] for duty in RATIO_DUTIES)
    options = replace(facts.options, adults_needed={**facts.options.adults_needed, clinic.pk: adults})
    return replace(facts, positions=positions, options=options)


def _move(facts: Facts, change: dict[str, Any]) -> Facts:
    clinic = facts.clinics.get(change["clinic"])
    if clinic is None:
        raise _not_on_these_days()
    tz = clinic.center.tz
    begins = localize(date.fromisoformat(change["day"]), time.fromisoformat(change["starts"]), tz)
    length: timedelta = clinic.ends_at - clinic.starts_at
    ends = (begins.astimezone(UTC) + length).astimezone(tz)

    def moved(position: Position) -> Position:
        if position.clinic != clinic.pk:
            return position
        # At another time everybody is asked again, so nobody has accepted yet; who can still come is kept if it can be.
        kept = position.accepted if position.accepted is not None else position.asked
        there, home = begins - BE_THERE_BEFORE, ends + STAY_AFTER
        return replace(position, accepted=None, asked=kept, cannot=False, starts=there, ends=home)

    return replace(facts, positions=[moved(position) for position in facts.positions])


DOES = {"renew": _renew, "away": _away, "children": _children, "move": _move}
