"""The answer about allergies: what is written always counts, and silence is never none."""

import pytest

from families.rules.allergies import answer_in_file, answered, of_both


@pytest.mark.parametrize(
    ("answer", "words", "stands"),
    [("", "", ""), ("none", "", "none"), ("some", "", ""), ("", "bees", "some"), ("none", "bees", "some")],
)
def test_words_say_some_and_no_words_never_do(answer, words, stands):
    assert answered(answer, words) == stands


@pytest.mark.parametrize("cell", ["none", "None known.", " NKA ", "no known allergies", "ninguna"])
def test_a_file_says_none_in_the_words_people_use(cell):
    assert answer_in_file(cell) == ("none", "")


def test_an_empty_cell_is_no_answer_and_any_other_word_is_an_allergy():
    assert answer_in_file("  ") == ("", "  ")
    assert answer_in_file("none but nuts") == ("some", "none but nuts")


def test_of_two_records_the_one_that_can_hurt_stands():
    assert of_both("none", "some") == of_both("some", "") == "some"
    assert of_both("none", "") == "none"
    assert of_both("", "") == ""
