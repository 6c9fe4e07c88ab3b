"""Groups against every way of cutting the row, and against what was asked."""

from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clinics.rules.supervision import RATIO_TABLES
from core.rules.refused import Reason
from runsheets.rules.grouping import Child, make_groups

row_of_ages = st.lists(st.integers(6, 14), min_size=1, max_size=9)


def by_age(ages, **more):
    return [Child(number, age, **more) for number, age in enumerate(ages)]


@settings(deadline=None)
@given(row_of_ages, st.integers(1, 5), st.integers(3, 10))
def test_no_cut_of_the_row_is_better(ages, groups, most):
    ages = sorted(ages)
    costs = [
        sum((end - begin) ** 2 + (ages[end - 1] - ages[begin]) ** 2 for begin, end in pairwise((0, *inner, len(ages))))
        for inner in combinations(range(1, len(ages)), groups - 1)
        if all(end - begin <= most for begin, end in pairwise((0, *inner, len(ages))))
    ]
    if not costs:
        with pytest.raises(ValueError):
            make_groups(by_age(ages), groups, most=most)
        return

    assert make_groups(by_age(ages), groups, most=most).cost == min(costs)


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.integers(6, 12), st.booleans()), min_size=1, max_size=30),
    st.data(),
    st.sampled_from(["aca_day_camp", "caring_for_our_children_homes", "caring_for_our_children"]),
)
def test_everybody_is_in_one_group_no_group_is_over_its_cap_and_friends_stay(facts, data, code):
    children = [Child(number, age, advanced) for number, (age, advanced) in enumerate(facts)]
    pairs = data.draw(st.lists(st.tuples(*[st.integers(0, len(facts) - 1)] * 2), max_size=2))
    table = RATIO_TABLES[code]

    made = make_groups(children, together=pairs, ratio=table)

    everybody = [one for group in made.groups for one in group.children]
    assert len(everybody) == len(facts)
    assert set(everybody) == set(range(len(facts)))
    where = {one: group.code for group in made.groups for one in group.children}
    assert all(where[one] == where[other] for one, other in pairs)
    for group in made.groups:
        ages = [facts[one][0] for one in group.children]
        assert (group.youngest, group.oldest) == (min(ages), max(ages))
        caps = [table.row_for(age).group_cap or 10 for age in ages]
        assert len(ages) <= min(10, *caps)
        assert group.advanced == all(facts[one][1] for one in group.children)
    lone = set(range(len(facts))) - {one for pair in pairs for one in pair}
    mixed = [group for group in made.groups if not group.advanced]
    assert not any(facts[one][1] for group in mixed for one in group.children if one in lone)


@given(st.permutations(by_age([6, 6, 7, 8, 8, 9, 10, 11, 11, 12, 12, 13])))
def test_the_order_of_the_list_changes_nothing(children):
    assert make_groups(children, 3, together=[(0, 3)]) == make_groups(
        sorted(children, key=lambda c: (c.age, str(c.id))), 3, together=[(3, 0)]
    )


def test_as_few_groups_as_hold_everybody_and_alike_in_number():
    made = make_groups(by_age([9] * 25))

    assert sorted(len(group.children) for group in made.groups) == [8, 8, 9]


def test_the_cap_of_the_table_is_kept():
    # Caring for Our Children 1.1.1.2, large family homes: at most 12 in a group from age 5 on, 12 at 3 as well.
    made = make_groups(by_age([7] * 13), most=99, ratio=RATIO_TABLES["caring_for_our_children_homes"])

    assert len(made.groups) == 2


def test_an_advanced_brother_stays_with_his_sister_and_the_notes_say_so():
    children = [Child("sister", 9), Child("brother", 12, advanced=True), Child("other", 12, advanced=True)]

    made = make_groups(children, together=[("sister", "brother")])

    assert [group.children for group in made.groups] == [("sister", "brother"), ("other",)]
    assert Reason("advanced among others", {"children": 1}) in made.notes
    assert Reason("kept together", {"number": 1}) in made.notes


@pytest.mark.parametrize(
    ("children", "groups", "more", "says"),
    [
        ([], None, {}, "no children"),
        (by_age([9, 9]), 3, {}, "too many groups"),
        (by_age([9] * 30), 2, {}, "other number .*'fewest': 3, 'most': 30"),
        ([*by_age([9]), *by_age([9])], None, {}, "^twice"),
        (by_age([9]), None, {"together": [(0, 7)]}, "not among them"),
        (by_age([9] * 12), None, {"together": [range(12)]}, "too many together .*'most': 10"),
        (by_age([3]), None, {}, "no ratio for age 3"),
        (by_age([9]), None, {"most": 0}, "at least 1 child"),
    ],
)
def test_groups_that_cannot_be_are_refused_with_a_code(children, groups, more, says):
    with pytest.raises(ValueError, match=says):
        make_groups(children, groups, **more)
