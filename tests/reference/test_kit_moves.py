"""Kit moves against networkx, every plan there is, and published vehicle scheduling optima.

Sources: multi-depot vehicle scheduling instances n50m2s0 and n50m3s1 with their collection's optima 214727 and 152491;
networkx's network simplex and matching; the smallest number of kits equals the depth of the intervals when ways take no
time (interval graphs are perfect: Golumbic, Algorithmic Graph Theory and Perfect Graphs, 1980, from memory).
"""

import random
from datetime import UTC, datetime, timedelta
from itertools import pairwise, product
from pathlib import Path
from typing import Any

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.rules.kit_moves import Demand, Kit, best_chains, interval_depth, plan_moves

HERE = Path(__file__).parent / "vehicles"
START = datetime(2027, 3, 6, 9, 0, tzinfo=UTC)


def line_km(here, there):
    return abs(here - there)


@pytest.mark.parametrize(("name", "optimum"), [("n50m2s0.inp", 214727), ("n50m3s1.inp", 152491)])
def test_the_published_optimum_of_several_depots(name, optimum):
    numbers = iter(map(int, (HERE / name).read_text().split()))
    depots, tasks = next(numbers), next(numbers)
    most = [next(numbers) for _ in range(depots)]
    size = depots + tasks
    table = [[None if (one := next(numbers)) < 0 else one for _ in range(size)] for _ in range(size)]
    starts = [row[depots:] for row in table[:depots]]
    links = [row[depots:] for row in table[depots:]]
    ends = [[table[depots + task][depot] for task in range(tasks)] for depot in range(depots)]

    chains = best_chains(starts, links, ends, most)

    cost = 0
    for depot, own in enumerate(chains):
        assert len(own) <= most[depot]
        for chain in own:
            cost += (starts[depot][chain[0]] or 0) + (ends[depot][chain[-1]] or 0)
            cost += sum(links[a][b] or 0 for a, b in pairwise(chain))
    assert sorted(task for own in chains for chain in own for task in chain) == list(range(tasks))
    assert cost == optimum


def problem(rng, clinics, kits, homes=False):
    demands = [
        Demand(
            n, rng.randrange(40), begins := START + timedelta(hours=rng.randrange(40)),
            begins + timedelta(hours=rng.choice((2, 3))),
        )
        for n in range(clinics)
    ]  # fmt: skip
    own = [
        Kit(100 + n, rng.randrange(40), rng.choice((None, START + timedelta(hours=3))),
            rng.randrange(40) if homes else None)
        for n in range(kits)
    ]  # fmt: skip
    return demands, own


def feasible(chain, kit):
    here, free, km = kit.place, kit.free_from, 0
    for one in sorted(chain, key=lambda d: (d.starts, d.id)):
        way = line_km(here, one.place)
        if free is not None and free + timedelta(hours=way / 45) > one.starts:
            return None
        km, here, free = km + way, one.place, one.ends + timedelta(minutes=30)
    return km + (line_km(here, kit.home) if chain and kit.home is not None else 0)


def best_of_all(demands, kits):
    best = None
    for choice in product([None, *range(len(kits))], repeat=len(demands)):
        lengths = [
            feasible([d for d, one in zip(demands, choice, strict=True) if one == n], k) for n, k in enumerate(kits)
        ]
        if None not in lengths:
            value = (sum(one is None for one in choice), sum(lengths))
            best = value if best is None or value < best else best
    return best


@given(seed=st.integers(0, 10**6), homes=st.booleans())
@settings(max_examples=80, deadline=None)
def test_no_plan_of_all_serves_more_or_drives_less(seed, homes):
    rng = random.Random(seed)
    demands, kits = problem(rng, rng.randrange(0, 6), rng.randrange(0, 4), homes)

    plan = plan_moves(demands, kits, line_km)

    for kit in kits:
        chain = [d for d in demands if plan.served.get(d.id) == kit.id]
        assert feasible(chain, kit) is not None
    assert (len(plan.unserved), plan.total_km) == best_of_all(demands, kits)
    assert sum(trip.km for trip in plan.trips) == plan.total_km


@pytest.mark.parametrize("seed", range(6))
def test_networkx_finds_the_same_cost_on_larger_plans(seed):
    demands, kits = problem(random.Random(seed), 30, 8)
    plan = plan_moves(demands, kits, line_km)

    big = 10**7
    graph: Any = networkx.DiGraph()
    graph.add_node("source", demand=-len(kits))
    graph.add_node("sink", demand=len(kits))
    for kit in kits:
        graph.add_edge("source", ("kit", kit.id), capacity=1, weight=0)
        graph.add_edge(("kit", kit.id), "sink", capacity=1, weight=0)
        for d in demands:
            if feasible([d], kit) is not None:
                graph.add_edge(("kit", kit.id), ("in", d.id), capacity=1, weight=line_km(kit.place, d.place))
    for d in demands:
        graph.add_edge(("in", d.id), ("out", d.id), capacity=1, weight=-big)
        graph.add_edge(("out", d.id), "sink", capacity=1, weight=0)
        for other in demands:
            way = line_km(d.place, other.place)
            if d.ends + timedelta(minutes=30) + timedelta(hours=way / 45) <= other.starts:
                graph.add_edge(("out", d.id), ("in", other.id), capacity=1, weight=way)
    cost, _ = networkx.network_simplex(graph)
    assert cost == plan.total_km - big * len(plan.served)


@given(seed=st.integers(0, 10**6))
@settings(max_examples=60, deadline=None)
def test_without_ways_the_fewest_kits_are_the_depth_of_the_intervals(seed):
    rng = random.Random(seed)
    demands, _ = problem(rng, rng.randrange(0, 14), 0)

    plan = plan_moves(demands, [], lambda here, there: 0, packing_minutes=0)

    assert plan.kits_enough == interval_depth([(d.starts, d.ends) for d in demands])


@pytest.mark.parametrize("seed", range(5))
def test_as_many_kits_as_are_enough_serve_everybody_and_one_fewer_does_not(seed):
    demands, _ = problem(random.Random(seed), 12, 0)
    enough = plan_moves(demands, [], line_km).kits_enough

    def everywhere(here, there):
        return 0 if here is None else line_km(here, there)

    assert plan_moves(demands, [Kit(n, None) for n in range(enough)], everywhere).unserved == []
    if enough > 1:
        assert plan_moves(demands, [Kit(n, None) for n in range(enough - 1)], everywhere).unserved


def test_kinds_never_stand_in_for_each_other():
    demand = Demand(1, 0, START, START + timedelta(hours=2), kind="balls")

    assert plan_moves([demand], [Kit(1, 0, kind="circuits")], line_km).unserved == [1]
    assert plan_moves([demand], [Kit(1, 0, kind="balls")], line_km).served == {1: 1}


@pytest.mark.parametrize(
    ("demands", "kits", "km", "sentence"),
    [
        ([Demand(1, 0, START, START)], [], line_km, "ends before it starts"),
        ([Demand(1, 0, START, START + timedelta(1))] * 2, [], line_km, "is there twice"),
        ([], [Kit(1, 0), Kit(1, 0)], line_km, "is there twice"),
        ([Demand(1, 0, START, START + timedelta(1))], [Kit(1, 5)], lambda here, there: -1, "can't be -1 km"),
    ],
)
def test_what_cannot_be_is_said(demands, kits, km, sentence):
    with pytest.raises(ValueError, match=sentence):
        plan_moves(demands, kits, km)
