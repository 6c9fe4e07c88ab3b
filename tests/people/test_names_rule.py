"""Names that people typed: one person or two. The floor page's own comparison is held to the same pairs in words."""

import pytest

from people.rules.names import same_name


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("Tobias Ash", "tobias  ash", True),
        ("José Ángel Peña", "jose angel pena", True),
        (" Tobias Ash ", "Tobias Ash", True),
        ("Ｔｏｂｉａｓ Ash", "Tobias Ash", True),
        ("Tobias Ash", "Tobias A.", False),
        ("Tobias Ash", "", False),
        ("Łucja Vale", "Lucja Vale", False),
    ],
)
def test_capitals_accents_and_spaces_make_no_other_person(one, other, same):
    assert same_name(one, other) is same
