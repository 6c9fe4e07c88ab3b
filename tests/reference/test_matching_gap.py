"""The core of matching against published optima and against SciPy's assignment.

Source: J. E. Beasley, OR-Library, generalised assignment problem, gap1 and gap2 (maximise), with the optima of the
library's own table; a05100 of Chu and Beasley, Computers & Operations Research 24 (1997), minimise, best known 1698.
"""

import random
from pathlib import Path

import numpy
import pytest
from scipy.optimize import linear_sum_assignment

from shifts.rules.matching import assign

HERE = Path(__file__).parent / "gap"
PUBLISHED = {"gap1.txt": (336, 327, 339, 341, 326), "gap2.txt": (434, 436, 420, 419, 428)}


def instance(numbers):
    agents, jobs = next(numbers), next(numbers)
    values = [[next(numbers) for _ in range(jobs)] for _ in range(agents)]
    loads = [[next(numbers) for _ in range(jobs)] for _ in range(agents)]
    limits = [next(numbers) for _ in range(agents)]
    by_job = [list(row) for row in zip(*values, strict=True)]
    return by_job, [list(row) for row in zip(*loads, strict=True)], limits


def check(answer, cost, load, limit):
    assert answer.status == "optimal" and answer.bound == answer.cost
    assert sum(cost[job][agent] for job, agent in enumerate(answer.choice)) == answer.cost
    for agent, most in enumerate(limit):
        assert sum(load[job][agent] for job, one in enumerate(answer.choice) if one == agent) <= most


@pytest.mark.parametrize("name", PUBLISHED)
def test_the_published_optimum_is_reached_and_proven(name):
    numbers = map(int, (HERE / name).read_text().split())
    assert next(numbers) == 5
    for best in PUBLISHED[name]:
        profit, load, limit = instance(numbers)
        cost = [[100 - one for one in row] for row in profit]

        answer = assign(cost, load, limit)

        check(answer, cost, load, limit)
        assert 100 * len(cost) - answer.cost == best


def test_a_hundred_jobs_for_five_agents_reach_the_best_known_cost():
    cost, load, limit = instance(map(int, (HERE / "a05100").read_text().split()))

    answer = assign(cost, load, limit)

    check(answer, cost, load, limit)
    assert answer.cost == 1698


@pytest.mark.parametrize("seed", range(5))
def test_one_each_equals_scipys_assignment(seed):
    rng = random.Random(seed)
    size = rng.randrange(5, 40)
    cost = [[rng.randrange(1, 1000) for _ in range(size)] for _ in range(size)]
    rows, columns = linear_sum_assignment(numpy.array(cost))

    answer = assign(cost, [[1] * size] * size, [1] * size)

    check(answer, cost, [[1] * size] * size, [1] * size)
    assert answer.cost == sum(cost[row][column] for row, column in zip(rows, columns, strict=True))


def test_what_has_no_answer_says_so():
    assert assign([[None, None]], [[1, 1]], [1, 1]).status == "infeasible"
    assert assign([[3], [4]], [[1], [1]], [1]).status == "infeasible"
    assert assign([], [], []).status == "optimal"


@pytest.mark.parametrize(
    ("cost", "load", "limit", "more", "sentence"),
    [
        ([[1, 2]], [[1]], [1, 1], {}, "rows of 2 columns"),
        ([[1]], [[-1]], [1], {}, "below 0"),
        ([[1]], [[1]], [-1], {}, "below 0"),
        ([[1]], [[1]], [1], {"seconds": 0}, "more than 0 seconds"),
        ([[1]], [[1]], [1], {"workers": 0}, "at least one worker"),
    ],
)
def test_tables_that_cannot_be_are_refused_in_words(cost, load, limit, more, sentence):
    with pytest.raises(ValueError, match=sentence):
        assign(cost, load, limit, **more)
