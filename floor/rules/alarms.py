"""What is wrong with who is looking after the children at this moment. The phone has the same in alarms.js."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from clinics.rules.supervision import LEAST_ADULTS, RatioTable
from floor.rules.adults_now import adults_now

__all__ = ["NEEDED_DUTIES", "AdultHere", "Alarm", "alarms"]

# The duties of which one must be filled while children are in, by what their lack is called. As in cover_needs each
# is a person of its own: a lead who could also treat an injury would leave the children without a lead.
NEEDED_DUTIES = {"lead": "no lead", "first_aider": "no first aider", "door": "no door"}


@dataclass(frozen=True)
class AdultHere:
    """Somebody who is in. ``counts``: cleared, 18 or over, in a duty of the ratio; so a helper under 18 never does.

    ``cleared``: the codes of those duties of theirs today for which they are cleared, as an adult.
    """

    counts: bool
    cleared: Collection[str] = ()


@dataclass(frozen=True)
class Alarm:
    """``code``: "no adult", "one adult", "few adults", or a value of NEEDED_DUTIES."""

    code: str
    facts: Mapping[str, Any] = field(default_factory=dict)


def alarms(
    ages: Sequence[int],
    adults: Sequence[AdultHere],
    tables: Sequence[tuple[RatioTable, str]],
    needs: Collection[str],
) -> list[Alarm]:
    """Every reason for alarm, the most dangerous first; none while no child is in.

    ``ages`` are those of the children inside, ``tables`` each with whose it is, and ``needs`` the codes of the duties
    that the clinic has to have. The order after one adult alone is that in which duties are filled: no lead or no first
    aider is worse than one adult fewer, and that is worse than no one at the door (common practice, no source).
    Raises ValueError without a table while children are in.
    """
    if not ages:
        return []
    needed = adults_now(ages, [table for table, _ in tables])
    count = sum(adult.counts for adult in adults)
    filled = {duty for adult in adults for duty in adult.cleared}
    found = []
    if count == 0:
        found.append(Alarm("no adult", {"needed": needed}))
    elif count < LEAST_ADULTS:
        found.append(Alarm("one adult", {"needed": needed}))
    missing = [Alarm(code) for duty, code in NEEDED_DUTIES.items() if duty in needs and duty not in filled]
    found += [one for one in missing if one.code != "no door"]
    # Up to the least that any clinic needs, the two above say it.
    if needed > max(count, LEAST_ADULTS):
        asked = [(table, whose) for table, whose in tables if adults_now(ages, [table]) == needed]
        facts = {
            "missing": needed - count,
            "needed": needed,
            "adults": count,
            "youngest": min(ages),
            "tables": [{"name": table.name, "whose": whose} for table, whose in asked],
        }
        found.append(Alarm("few adults", facts))
    return found + [one for one in missing if one.code == "no door"]
