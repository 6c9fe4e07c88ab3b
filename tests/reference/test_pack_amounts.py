"""How many of each go into a bag, by examples worked by hand; and the check sign of a bag's code, by brute force.

Ball sizes: NBA and USA Basketball Youth Guidelines (20 March 2018), row by row in test_equipment_heat_pack.py. Numbers
a head and spares are the house's own; the sums beside each case were done by hand. The two promises of the check sign
(one wrong sign, two swapped neighbours) are tried out in full.
"""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.rules.refused import Refused
from kits.rules.kit_codes import ALPHABET, kit_code, read_kit_code
from kits.rules.pack_list import (
    AskLine,
    PackLine,
    asked,
    compare,
    pack_list,
    spread_ages,
)
from kits.words.items import amount_words


@pytest.mark.parametrize(
    ("line", "ages", "needed"),
    [
        (AskLine("pinnie", per_children=1), [8] * 17, 17),
        (AskLine("laptop", per_children=2), [9] * 15, 8),  # 7.5
        (AskLine("circuit set", per_children=4), [9] * 30, 8),  # 7.5
        (AskLine("cone", per_children=2, number=10), [7] * 6, 10),  # 3, but at least 10
        (AskLine("cone", per_children=2, number=10), [7] * 25, 13),  # 12.5
        (AskLine("pinnie", per_children=1, spare_percent=10), [8] * 20, 22),  # 22 and not 23
        (AskLine("pinnie", per_children=1, spare_percent=10), [8] * 24, 27),  # 26.4
        (AskLine("pinnie", per_children=1, spare_percent=10, spare_count=2), [8] * 20, 24),
        (AskLine("laptop", per_children=2, spare_percent=50), [8] * 3, 3),  # 1.5 and half as much: 2.25
        (AskLine("pouch", number=1), [8], 1),
        (AskLine("pouch", number=3, spare_percent=10, spare_count=1), [8], 5),  # 3.3 is 4, and one
        (AskLine("chair", per_children=1, from_age=6, to_age=7), [5, 6, 7, 7, 8], 3),
        (AskLine("whistle", number=2, from_age=12), [11, 11], 0),
        (AskLine("whistle", number=2, from_age=12), [11, 12], 2),
        (AskLine("pinnie", per_children=1, spare_count=3), [], 0),
    ],
)
def test_amounts_a_head_as_worked_by_hand(line, ages, needed):
    assert asked([line], ages, stem=True).get(line.item, 0) == needed


@pytest.mark.parametrize(
    ("ages", "balls"),
    [
        ([7, 8, 8], {5: 3}),
        ([9, 10, 11], {6: 3}),
        ([12, 13, 14, 15], {6: 2, 7: 2}),  # half at each: girls 6, boys 7, and neither is noted
        ([12, 12, 12], {6: 2, 7: 1}),
        ([11, 12, 12], {6: 2, 7: 1}),
        ([5, 6, 7], {3: 2, 5: 1}),  # under 7: from memory, common practice
    ],
)
def test_one_ball_a_child_at_the_size_of_its_age(ages, balls):
    found = asked([AskLine("ball", per_children=1, sized=True)], ages, stem=False)

    assert found == {f"ball, size {size}": count for size, count in balls.items()}


def test_spares_are_rounded_up_for_each_size_and_what_is_for_stem_stays_away_without_it():
    lines = [AskLine("ball", per_children=1, sized=True, spare_percent=10), AskLine("laptop", 2, stem_only=True)]

    assert asked(lines, [8] * 12 + [9] * 12, stem=False) == {"ball, size 5": 14, "ball, size 6": 14}
    assert asked(lines, [8] * 12, stem=True) == {"ball, size 5": 14, "laptop": 6}


@pytest.mark.parametrize(
    ("bands", "ages"),
    [
        ([(7, 10, 8)], [7, 7, 8, 8, 9, 9, 10, 10]),
        ([(7, 9, 4)], [7, 7, 8, 9]),
        ([(6, 6, 2), (12, 13, 1)], [6, 6, 12]),
        ([], []),
    ],
)
def test_children_are_spread_evenly_over_their_band(bands, ages):
    assert spread_ages(bands) == ages


@given(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9), st.integers(0, 90)), max_size=3))
def test_nobody_is_lost_in_the_spreading_and_ages_differ_by_one_child_at_most(rows):
    bands = [(low, low + more, count) for low, more, count in rows]
    ages = spread_ages(bands)

    assert len(ages) == sum(count for *_, count in bands)
    if len(bands) == 1:
        low, high, _ = bands[0]
        counts = [ages.count(age) for age in range(low, high + 1)]
        assert max(counts) - min(counts) <= 1


def test_names_are_compared_as_people_write_them():
    assert compare({"cone": 4}, {" Cone": 3, "string": 2}) == [PackLine("cone", 4, 3), PackLine("string", 0, 2)]


def test_a_band_that_cannot_be_is_refused():
    for bands in ([(9, 8, 1)], [(7, 8, -1)]):
        with pytest.raises(ValueError, match="check the ages"):
            pack_list(bands, False, {})


@pytest.mark.parametrize(
    ("count", "item", "words"),
    [
        (3, "ball, size 5", "3 balls size 5"),
        (1, "ball, size 5", "1 ball size 5"),
        (2, "first-aid pouch", "2 first-aid pouches"),
        (2, "pair of scissors", "2 pairs of scissors"),
        (2, "battery", "2 batteries"),
        (2, "key", "2 keys"),
        (8, "circuit parts for a group", "8 circuit parts for a group"),
    ],
)
def test_a_number_with_its_noun(count, item, words):
    assert amount_words(count, item) == words


CODES = [kit_code(number, own) for number, own in ((7, "4F"), (1, "00"), (12, "AK"), (305, "YY"), (88, "8B"))]


def caught(typed: str, number: int, own: str) -> bool:
    """Refused; a sign that is read as the one that was meant would be as good."""
    try:
        return read_kit_code(typed) == (number, own)
    except ValueError:
        return True


@pytest.mark.parametrize("code", CODES)
def test_every_single_wrong_sign_is_caught(code):
    number, own = read_kit_code(code)
    for place, sign in product(range(len(code)), ALPHABET + "ILOUZ*"):
        if code[place] not in ("-", sign):
            assert caught(code[:place] + sign + code[place + 1 :], number, own), (code, place, sign)


@pytest.mark.parametrize("code", CODES)
def test_every_swap_of_neighbours_is_caught(code):
    number, own = read_kit_code(code)
    signs = code.replace("-", "")
    for place in range(len(signs) - 1):
        swapped = signs[:place] + signs[place + 1] + signs[place] + signs[place + 2 :]
        assert caught(swapped, number, own), (code, place)


def test_the_check_sign_depends_on_every_place():
    # All 961 pairs of own signs for one bag: were a weight 0 or two weights alike, swaps would go through.
    for own in map("".join, product(ALPHABET, repeat=2)):
        code = kit_code(7, own)
        assert read_kit_code(code) == (7, own)
        if own[0] != own[1]:
            with pytest.raises(ValueError, match="typo"):
                read_kit_code(f"K7-{own[1]}{own[0]}{code[-1]}")


@pytest.mark.parametrize("typed", ["k7-4fn", " K7 4FN ", "K74FN", "k7–4fn"])
def test_small_letters_spaces_and_dashes_do_not_matter(typed):
    assert read_kit_code(typed) == (7, "4F")


def test_a_letter_o_is_the_nought_that_was_meant():
    code = kit_code(10, "0A")

    assert read_kit_code(code.replace("0", "O").replace("1", "l")) == (10, "0A")


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("", "empty"),
        ("  - ", "empty"),
        ("K7-4F*", "strange sign"),
        ("7-4FN", "no code"),
        ("K-4FN", "no code"),
        ("K" + "7" * 400, "no code"),
        ("K٧-4FN", "strange sign"),
        ("K7-4FM", "typo"),
    ],
)
def test_what_is_no_code_is_refused_and_why(typed, code):
    with pytest.raises(Refused) as problem:
        read_kit_code(typed)
    assert problem.value.codes == {code}
