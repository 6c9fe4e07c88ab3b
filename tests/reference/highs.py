"""The matching problem as a mixed-integer program for HiGHS, aim after aim; rules from matching_facts.py."""

from math import ceil

import highspy

from shifts.rules.matching import Options, Person, Position
from tests.reference.matching_facts import allowed, km, minutes, together

__all__ = ["lexicographic"]


def lexicographic(
    positions: list[Position], people: list[Person], options: Options, seconds: float = 60.0
) -> list[int]:
    """Unfilled, below ratio, moved and travel, each at its least with the ones before kept."""
    model = highspy.Highs()
    model.setOptionValue("output_flag", False)
    model.setOptionValue("time_limit", seconds)
    model.setOptionValue("mip_rel_gap", 0.0)
    pairs = {(p.id, v.id): model.addBinary() for p in positions for v in people if allowed(v, p)}
    by_id, persons = {p.id: p for p in positions}, {v.id: v for v in people}
    opened = {p.id: model.addBinary() for p in positions}
    for p in positions:
        model.addConstr(opened[p.id] + sum(x for (pk, _), x in pairs.items() if pk == p.id) == 1)
    for v in people:
        mine = [(by_id[pk], x) for (pk, one), x in pairs.items() if one == v.id]
        for number, (a, x) in enumerate(mine):
            for b, y in mine[number + 1 :]:
                if not together(a, b):
                    model.addConstr(x + y <= 1)
        shifts, hours = v.used[2027, 5]
        if mine and v.known.shifts_a_month is not None:
            model.addConstr(sum(x for _, x in mine) <= v.known.shifts_a_month - shifts)
        if mine and v.known.hours_a_month is not None:
            left = v.known.hours_a_month * 60 - hours * 60
            model.addConstr(sum(minutes(v, p) * x for p, x in mine) <= left + 1e-6)
        asked = {(p.clinic, p.duty) for p in positions if p.asked == v.id}
        fresh = [x for p, x in mine if (p.clinic, p.duty) not in asked]
        if fresh and v.may_ask is not None:
            model.addConstr(sum(fresh) <= v.may_ask)
        for other in v.apart & set(persons):
            for p, x in mine:
                for (pk, one), y in pairs.items():
                    if one == other and by_id[pk].clinic == p.clinic:
                        model.addConstr(x + y <= 1)
    below = []
    for clinic, needed in options.adults_needed.items():
        if needed > 0:
            short = model.addBinary()
            adults = [x for (pk, _), x in pairs.items() if by_id[pk].clinic == clinic and by_id[pk].in_ratio]
            model.addConstr(sum(adults) + needed * short >= needed)
            below.append(short)
    moved = []
    for clinic, duty, one in sorted({(p.clinic, p.duty, p.asked) for p in positions if p.asked is not None}):
        there = [x for (pk, v), x in pairs.items() if v == one and (by_id[pk].clinic, by_id[pk].duty) == (clinic, duty)]
        if there:
            gone = model.addBinary()
            model.addConstr(gone + sum(there) == 1)
            moved.append(gone)
    others = sum(p.rank > 20 for p in positions)
    weights = [(others + 1 if p.rank <= 20 else 1) * opened[p.id] for p in positions]
    travel = [ceil(km(persons[v].home, by_id[pk].point) - 1e-9) * x for (pk, v), x in pairs.items()]
    found = []
    for terms in (weights, below, moved, travel):
        if not terms:
            found.append(0)
            continue
        aim = sum(terms)
        model.minimize(aim)
        assert model.getModelStatus() == highspy.HighsModelStatus.kOptimal
        found.append(round(model.getObjectiveValue()))
        model.addConstr(aim <= found[-1] + 0.5)
    return found
