"""What if: the same facts with some things supposed, nothing of it written anywhere."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import UTC, date, time, timedelta
from typing import Any

from clinics.formatting import clinic_words
from clinics.models import BE_THERE_BEFORE, STAY_AFTER, Clinic
from clinics.rules.cover_needs import scaled_bands
from core.formats import short_day
from core.rules.local_time import localize
from people.models import ClearanceKind, Volunteer, duties
from shifts.queries.facts import Facts
from shifts.queries.shift_needs import RATIO_DUTIES, bands_of, needed_for
from shifts.rules.matching import Change, Person, Position, apply

__all__ = ["what_if_sentence", "with_changes"]


def with_changes(facts: Facts, changes: list[dict[str, Any]]) -> Facts:
    """Return the facts as they would be after the changes.

    Raises ValueError or Refusal for a change that can't be supposed.
    """
    for change in changes:
        facts = DOES[change["what"]](facts, change)
    return facts


def what_if_sentence(change: dict[str, Any]) -> str:
    """Say one supposed change in a sentence for people."""
    what = change["what"]
    if what in ("renew", "away"):
        who = Volunteer.objects.filter(pk=change["volunteer"]).first() or "somebody"
        if what == "renew":
            kind = ClearanceKind.objects.filter(code=change["kind"]).first() or "clearance"
            return f"{who} renews the {kind} by {short_day(date.fromisoformat(change['day']))}"
        first, last = (short_day(date.fromisoformat(change[name])) for name in ("first", "last"))
        return f"{who} is away from {first} to {last}"
    clinic = Clinic.objects.select_related("center").filter(pk=change["clinic"]).first()
    name = clinic_words(clinic) if clinic else "a clinic"
    if what == "children":
        return f"{change['children']} children come to {name}"
    return f"{name} is on {short_day(date.fromisoformat(change['day']))} at {change['starts']}"


def _people(facts: Facts, volunteer: int, edit: Any) -> Facts:
    people: list[Person] = [edit(person) if person.id == volunteer else person for person in facts.people]
    return replace(facts, people=people)


def _renew(facts: Facts, change: dict[str, Any]) -> Facts:
    day = date.fromisoformat(change["day"])
    renewal = Change("renew", change["volunteer"], "", 0, day=day, kind=change["kind"])
    return _people(facts, change["volunteer"], lambda person: apply(person, renewal))


def _away(facts: Facts, change: dict[str, Any]) -> Facts:
    first, last = date.fromisoformat(change["first"]), date.fromisoformat(change["last"])
    if last < first:
        raise ValueError("The last day away is before the first. Give a later last day.")
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
        raise ValueError("That clinic is not on these days. Choose one that is.")
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
        raise ValueError("That clinic is not on these days. Choose one that is.")
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
