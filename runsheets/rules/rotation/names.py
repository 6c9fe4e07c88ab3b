"""Which adult stands where: the same station as long as it can be, skills first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from runsheets.rules.rotation.facts import Adult

__all__ = ["name_adults"]


def name_adults(
    adults: Sequence[Adult], needs: Mapping[str, tuple[int, str]], before: Mapping[str, Sequence[str]]
) -> tuple[dict[str, tuple[str, ...]], tuple[str, ...]]:
    """Name the adults at each station of one slot, and those who are spare.

    ``needs`` maps each station to (how many, skill or ""). An adult who was at a station ``before`` stays there where
    every station still has the skill it asks for. Raises ValueError when there are too few adults or skills, which a
    checked plan never asks for.
    """
    skilled = [(code, skill) for code, (_, skill) in needs.items() if skill]
    was = {name: code for code, names in before.items() for name in names}
    lead: dict[str, str] = {}  # adult to the station they lead

    def place(code: str, skill: str, tried: set[str]) -> bool:
        able = [adult.name for adult in adults if adult.can(skill)]
        for name in sorted(able, key=lambda one: (was.get(one) != code, one in lead, able.index(one))):
            if name in tried:
                continue
            tried.add(name)
            held = lead.get(name)
            if held is None or place(held, needs[held][1], tried):
                lead[name] = code
                return True
        return False

    for code, skill in skilled:
        if not place(code, skill, set()):
            raise ValueError(f"{code} needs a {skill}, but none is available.")
    chosen: dict[str, list[str]] = {code: [name for name, at in lead.items() if at == code] for code in needs}
    free = [adult.name for adult in adults if adult.name not in lead]
    for code, (many, _) in needs.items():
        for name in [one for one in free if was.get(one) == code][: max(0, many - len(chosen[code]))]:
            chosen[code].append(name)
            free.remove(name)
    # Those who were at no station go first, so that nobody is moved from a place that still needs them.
    for code, (many, _) in needs.items():
        while len(chosen[code]) < many:
            if not free:
                raise ValueError(f"{code} needs more adults.")
            chosen[code].append(free.pop(min(range(len(free)), key=lambda n: (was.get(free[n]) in needs, n))))
    return {code: tuple(names) for code, names in chosen.items()}, tuple(free)
