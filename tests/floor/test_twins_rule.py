"""Which two lines of the door may be one child."""

import random

import pytest

from floor.rules.twins import DIFFER, Person, ages_counted, pairs_among, perhaps_one, word_on
from tests.twin_names import TWIN_NAMES


def person(who, name, born, walked=True):
    return Person(who, name, born, walked)


@pytest.mark.parametrize(("name", "born", "other", "other_born", "code"), TWIN_NAMES)
def test_small_slips_are_one_child_and_two_slips_are_not(name, born, other, other_born, code):
    one, two = person("w-1", name, born), person("w-2", other, other_born)

    assert perhaps_one(one, two) == perhaps_one(two, one) == code


def test_two_who_are_both_on_the_list_are_not_asked_about():
    one, two = person("c1", "Juno Reed", "2018-03-05", walked=False), person("c2", "Juno Reed", "2018-03-05", False)

    assert perhaps_one(one, two) is None and pairs_among([one, two]) == []
    assert perhaps_one(one, two._replace(walked=True)) == "same"


def test_a_long_list_finds_the_same_pairs_as_comparing_each_with_each():
    chance = random.Random(5)
    people = []
    for number in range(400):
        name, born, other, other_born, _ = chance.choice(TWIN_NAMES)
        name, born = chance.choice([(name, born), (other, other_born)])
        born = chance.choice([born, f"20{chance.randint(15, 19)}-0{chance.randint(1, 9)}-{chance.randint(10, 28)}"])
        people.append(person(f"w-{number}", name + chance.choice(["", "x", " Bo"]), born, chance.random() < 0.5))
    wanted = [
        (one.who, two.who, why)
        for at, one in enumerate(people)
        for two in people[at + 1 :]
        if (why := perhaps_one(one, two))
    ]

    assert [(one.who, two.who, why) for one, two, why in pairs_among(people)] == wanted
    assert {why for _, _, why in wanted} == {"same", "name", "date"}


def test_nothing_counts_while_two_say_different_things():
    assert word_on([]) == "" and word_on(["same", "same"]) == "same" and word_on(["apart"]) == "apart"
    assert word_on(["same", "apart", "same"]) == DIFFER


def test_two_who_may_be_one_both_count_with_the_younger_age():
    ages = {"w-1": 9, "w-2": 7, "c3": 8, "c4": 12}

    assert ages_counted(ages, [("w-1", "w-2"), ("w-1", "c3")]) == {"w-1": 7, "w-2": 7, "c3": 8, "c4": 12}
    assert ages["w-1"] == 9
