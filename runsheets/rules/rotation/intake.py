"""What a clinic is asked for, checked and in order."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from clinics.rules.supervision import RATIO_TABLES, RatioTable
from core.rules.refused import Refused
from runsheets.rules.activities import ACTIVITIES, Activity
from runsheets.rules.rotation.facts import Adult, Floor, Group, Request, per_adult_of

__all__ = ["CHANGEOVER", "RATIO", "WATER_EVERY", "adults_of", "request_for"]

CHANGEOVER = 1  # minutes between two slots; common practice, no source
WATER_EVERY = 25  # minutes, at most; common practice (20 to 30), no source
RATIO = RATIO_TABLES["aca_day_camp"]


def request_for(
    groups: Sequence[Group],
    activities: Sequence[Activity],
    minutes: int,
    floor: Floor,
    adults: int | Sequence[Adult | str],
    *,
    ratio: RatioTable | Callable[[int], int] = RATIO,
    changeover: int = CHANGEOVER,
    water_every: int = WATER_EVERY,
    optional: Collection[str] = (),
    advanced_apart: bool = False,
    stem: bool = True,
) -> Request:
    """Check the facts of a clinic and put them in order. Raises Refused where they make no clinic."""
    if not groups:
        raise Refused.because("no groups")
    chosen = list(activities)
    for kind in ("opener", "water", "closer"):
        mine = [one for one in chosen if one.kind == kind]
        if len(mine) > 1:
            raise Refused.because("only one", kind=kind, names=[one.name for one in mine])
        if not mine:
            chosen.append(next(one for one in ACTIVITIES.values() if one.kind == kind))
    for what, codes in (("group", [one.code for one in groups]), ("activity", [one.code for one in chosen])):
        twice = sorted({code for code in codes if codes.count(code) > 1})
        if twice:
            raise Refused.because(f"{what} twice", code=twice[0])
    if not any(one.kind in ("station", "stem") for one in chosen):
        raise Refused.because("no stations")
    if stem and not any(one.kind == "stem" and one.code not in optional for one in chosen):
        raise Refused.because("no stem")
    strange = sorted(set(optional) - {one.code for one in chosen if not one.whole_space})
    if strange:
        raise Refused.because("not optional", code=strange[0])
    if minutes < 1 or water_every < 1 or changeover < 0:
        raise Refused.because("times")
    return Request(
        groups=tuple(groups),
        activities=tuple(chosen),
        minutes=minutes,
        floor=floor,
        adults=adults_of(adults),
        per_adult=per_adult_of(ratio),
        changeover=changeover,
        water_every=water_every,
        optional=frozenset(optional),
        advanced_apart=advanced_apart,
        stem=stem,
    )


def adults_of(adults: int | Sequence[Adult | str]) -> tuple[Adult, ...]:
    """Give every adult a name. Raises ValueError for fewer than none, Refused for a name given twice.

    An adult given as part of a number, or by name alone, can lead anything: nothing is said of skills.
    """
    if isinstance(adults, int):
        if adults < 0:
            raise ValueError("There are 0 or more adults.")
        return tuple(Adult(f"Adult {number + 1}") for number in range(adults))
    found = tuple(Adult(one) if isinstance(one, str) else one for one in adults)
    names = [one.name for one in found]
    for name in names:
        if names.count(name) > 1:
            raise Refused.because("adult twice", name=name)
    return found
