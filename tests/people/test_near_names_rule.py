"""Names that may be of one person. The floor page's own comparison is held to the same table (tests/browser)."""

import json
from pathlib import Path

import pytest

from people.rules.near_names import near, similarity

TABLE = json.loads((Path(__file__).parent / "near_names.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize(("one", "other", "codes", "alike"), TABLE)
def test_each_pair_of_the_table_is_as_near_as_it_says(one: str, other: str, codes: list[str], alike: float) -> None:
    assert sorted(near(one, other)) == sorted(near(other, one)) == codes
    assert round(similarity(one, other), 6) == alike


@pytest.mark.parametrize(
    ("one", "other", "code"),
    [
        ("Ash, Bram", "bram  ASH", "same"),
        ("Mary-Ann O’Neil", "Mary Ann ONeil", "same"),
        ("José Núñez", "Jose Nunez", "same"),
        ("Łucja Vale", "Lucja Vale", "same"),
        ("Bram Ash", "Uncle Bram", "shares a part"),
        ("B. Ash", "Bram Ash", "shares a part"),
        ("Robert Moss", "Rupert Vesper", "sounds alike"),
        ("Van der Berg", "Vandenberg", "near by spelling"),
        ("Pfister", "Fister", "near by spelling"),
    ],
)
def test_what_makes_two_names_near(one: str, other: str, code: str) -> None:
    assert code in near(one, other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Petra Quill", "Rafe Vale"),
        # Neither an initial nor a particle makes two names one.
        ("B A", "Bram Ash"),
        ("Ana de Souza", "Rui de Lima"),
        ("Dr. Ash Jr.", "Mr. Roake Jr."),
        ("Bob Quill", "Robert Vesper"),
        ("", "Rafe Vale"),
        ("", ""),
        ("’-.", "Rafe Vale"),
    ],
)
def test_what_makes_them_strangers(one: str, other: str) -> None:
    assert near(one, other) == set()
