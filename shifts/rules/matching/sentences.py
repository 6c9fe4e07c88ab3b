"""A plan's worth in plain words, with what is proven of it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from shifts.rules.matching.facts import Objective, Plan, Position

__all__ = ["plan_words"]


def plan_words(plan: Plan, positions: Sequence[Position]) -> list[str]:
    """One sentence for each thing the plan is judged by."""
    total, opened = len(positions), len(plan.unfilled)
    found = {one.name: one for one in plan.objectives}
    words = [_filled(total, opened, found["unfilled"])]
    lame = [one for one in positions if one.cannot]
    if lame:
        many = len(lame) > 1
        words.append(
            f"{len(lame)} of them {'are' if many else 'is'} held by somebody who can't stand on that day and "
            f"{'count' if many else 'counts'} for nothing."
        )
    if "below ratio" in found:
        words.append(_below(found["below ratio"]))
    if found.get("moved") is not None and found["moved"].value:
        count = found["moved"].value
        words.append(f"{count} {'person' if count == 1 else 'people'} asked already would be let go for it.")
    if "travel" in found and plan.placements:
        words.append(_travel(plan, found["travel"]))
    if "fairness" in found and plan.placements:
        most = max(Counter(placement.person for placement in plan.placements.values()).values())
        words.append(
            f"Nobody has more than {most} of these shifts; {_proof(found['fairness'], 'no plan shares evener')}."
        )
    return words


def _filled(total: int, opened: int, one: Objective) -> str:
    if not total:
        return "There are no shifts on these days."
    if not opened:
        return f"All {total} shifts have somebody." if total > 1 else "The one shift has somebody."
    if one.proven:
        return f"{opened} of {total} shifts stay open; no plan fills more."
    return f"{opened} of {total} shifts stay open; a better plan may exist, the search ran out of time."


def _below(one: Objective) -> str:
    if not one.value:
        return "Every clinic has the adults that its ratio asks for."
    many = one.value > 1
    words = f"{one.value} clinic{'s stay' if many else ' stays'} below {'their' if many else 'its'} ratio"
    return f"{words}; {_proof(one, 'no plan has fewer')}."


def _travel(plan: Plan, one: Objective) -> str:
    known = [placement.km for placement in plan.placements.values() if placement.km is not None]
    far = f"nobody drives more than {max(known):.0f} km one way" if known else "no distance is known"
    whole = f"the ways of those to be asked come to {one.value} km"
    return f"{far[0].upper()}{far[1:]}; {whole}; {_proof(one, 'no plan as full has shorter ones')}."


def _proof(one: Objective, best: str) -> str:
    return f"{best}: proven" if one.proven else f"within {one.gap:.1%} of the best there can be"
