"""Matching against trying every plan there is, and against HiGHS on problems too large for that.

The rules and aims are written a second time in matching_facts.py; HiGHS (highspy) is a general solver that shares no
code with the one in use.
"""

import random
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shifts.rules.matching import blocks, greedy_plan, match
from shifts.rules.matching.pairs import can
from tests.reference.highs import lexicographic
from tests.reference.matching_facts import aims, every_rule_holds, problem


def chosen_in(plan):
    return {pk: placement.person for pk, placement in plan.placements.items()}


def best_of_all(positions, people, options):
    best = None
    ids = [None, *(person.id for person in people)]
    for choice in product(ids, repeat=len(positions)):
        chosen = {p.id: one for p, one in zip(positions, choice, strict=True) if one is not None}
        if every_rule_holds(chosen, positions, people):
            value = aims(chosen, positions, people, options)
            best = value if best is None or value < best else best
    return best


@given(seed=st.integers(0, 10**6), prune=st.sampled_from([0, 3000]))
@settings(max_examples=60, deadline=None)
def test_no_plan_of_all_is_better_and_every_rule_holds(seed, prune):
    rng = random.Random(seed)
    positions, people, options = problem(rng, clinics=rng.randrange(1, 4), people=rng.randrange(1, 5), most=2)
    positions = positions[:5]

    plan = match(positions, people, replace(options, prune_from=prune))

    chosen = chosen_in(plan)
    assert every_rule_holds(chosen, positions, people)
    assert [one.value for one in plan.objectives] == aims(chosen, positions, people, options)
    assert plan.status == "proven best"
    assert [one.value for one in plan.objectives] == best_of_all(positions, people, options)


@pytest.mark.parametrize("seed", range(8))
def test_highs_finds_the_same_optimum_of_full_problems(seed):
    positions, people, options = problem(random.Random(seed), clinics=7, people=16)

    plan = match(positions, people, replace(options, prune_from=0 if seed % 2 else 3000))

    assert plan.status == "proven best" and every_rule_holds(chosen_in(plan), positions, people)
    assert [one.value for one in plan.objectives[:4]] == lexicographic(positions, people, options)


@given(seed=st.integers(0, 10**6))
@settings(max_examples=40, deadline=None)
def test_it_is_never_worse_than_the_nearest_first_plan_and_the_same_each_time(seed):
    positions, people, options = problem(random.Random(seed), clinics=4, people=8)

    plan, again, simple = (
        match(positions, people, options), match(positions, people, options), greedy_plan(positions, people, options)
    )  # fmt: skip

    assert [one.value for one in plan.objectives] <= [one.value for one in simple.objectives]
    assert plan.placements == again.placements
    assert every_rule_holds(chosen_in(simple), positions, people)


@given(seed=st.integers(0, 10**6))
@settings(max_examples=40, deadline=None)
def test_the_quick_answer_and_the_reasons_agree(seed):
    positions, people, options = problem(random.Random(seed), clinics=3, people=6)

    for person in people:
        for position in positions:
            assert can(person, position, options) == (not blocks(person, position, options))
