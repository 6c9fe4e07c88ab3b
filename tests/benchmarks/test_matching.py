"""Matching a made-up season: seconds and proven gap, against nearest-first and a HiGHS program given the same time."""

import resource
import time
from dataclasses import replace

import highspy
import numpy
import pytest

from shifts.rules.matching import greedy_plan, keep_everybody, match
from shifts.rules.matching.network import build_network
from shifts.rules.matching.stages import stages
from tests.benchmarks.conftest import report
from tests.benchmarks.season import season

SECONDS = 20.0


def highs(net, seconds):
    """Unfilled first, then travel, in one weighted program: (weighted value, bound, seconds)."""
    unfilled, _, _, travel = stages(net)[:4]
    big = 1 + sum(travel.arcs.values())
    model = highspy.HighsLp()
    arcs, groups = len(net.arcs), len(net.groups)
    model.num_col_, model.num_row_ = arcs + groups, groups + len(net.limits)
    cost = [travel.arcs.get(n, 0) for n in range(arcs)] + [big * unfilled.opened[g] for g in range(groups)]
    model.col_cost_ = numpy.array(cost, dtype=float)
    model.col_lower_ = numpy.zeros(arcs + groups)
    model.col_upper_ = numpy.array([1.0] * arcs + [float(g.demand) for g in net.groups])
    model.integrality_ = [highspy.HighsVarType.kInteger] * (arcs + groups)
    rows: list[list[tuple[int, int]]] = [[] for _ in range(arcs + groups)]
    for number, arc in enumerate(net.arcs):
        rows[number].append((arc.group, 1))
    for number in range(groups):
        rows[arcs + number].append((number, 1))
    for place, limit in enumerate(net.limits):
        for arc, weight in zip(limit.arcs, limit.weights, strict=True):
            rows[arc].append((groups + place, weight))
    demand = [float(g.demand) for g in net.groups]
    model.row_lower_ = numpy.array(demand + [-highspy.kHighsInf] * len(net.limits))
    model.row_upper_ = numpy.array(demand + [float(limit.most) for limit in net.limits])
    model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    model.a_matrix_.start_ = numpy.cumsum([0, *map(len, rows)])
    model.a_matrix_.index_ = numpy.array([row for column in rows for row, _ in column])
    model.a_matrix_.value_ = numpy.array([float(weight) for column in rows for _, weight in column])
    solver = highspy.Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("time_limit", seconds)
    solver.setOptionValue("threads", 2)
    solver.passModel(model)
    began = time.perf_counter()
    solver.run()
    return solver.getInfo().objective_function_value, big, time.perf_counter() - began


@pytest.mark.parametrize(("clinics", "volunteers"), [(20, 60), (60, 400), (200, 1500)])
def test_a_season(clinics, volunteers):
    positions, people, options = season(clinics, volunteers)
    options = replace(options, seconds=SECONDS)
    net = build_network(positions, people, options)
    pairs = sum(net.groups[arc.group].demand for arc in net.arcs)
    began = time.perf_counter()
    plan = match(positions, people, options)
    took = time.perf_counter() - began
    simple = greedy_plan(positions, people, options)
    other, big, other_took = highs(net, SECONDS)

    size = f"matching_{clinics}x{volunteers}"
    travel, unfilled = plan.objective("travel"), plan.objective("unfilled")
    ours = big * unfilled.value + travel.value
    nearest = big * simple.objective("unfilled").value + simple.objective("travel").value
    report(f"{size}_seconds", took, "s", took / other_took, f"HiGHS, {SECONDS:.0f} s at most; {pairs} pairs")
    report(f"{size}_gap", 100 * travel.gap, "%", ours / other, "what HiGHS found of unfilled and travel")
    report(f"{size}_value", float(travel.value), "km", ours / nearest, "nearest first, unfilled and travel")
    print(f"{plan.status}: {[(one.name, one.value, one.bound) for one in plan.objectives]}")
    print(f"memory so far {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MiB")

    # One decline: everybody else stays, the open position is filled.
    gone = next(pk for pk in plan.placements)
    who = plan.placements[gone].person
    asked = [replace(p, asked=plan.placements[p.id].person if p.id in plan.placements else None) for p in positions]
    after = [replace(p, asked=None) if p.id == gone else p for p in asked]
    clinic = next(p.clinic for p in positions if p.id == gone)
    again = [replace(p, declined=p.declined | {clinic}) if p.id == who else p for p in people]
    began = time.perf_counter()
    refilled = match(keep_everybody(after), again, options)
    refill = time.perf_counter() - began
    assert len(refilled.unfilled) <= len(plan.unfilled) + 1
    report(f"{size}_after_one_decline", refill, "s", refill / took, "the whole search")
