"""Likeness of names against PostgreSQL's own, and Soundex against the published examples and PostgreSQL's."""

import random
from collections.abc import Iterator

import pytest
from django.db import connection

from people.rules.near_names import similarity, sounds, trigrams

GIVEN = (
    "Wren", "Osric", "Kasia", "Nico", "Zuri", "Tamsin", "Amos", "Paloma", "Cyrus", "Briony", "Bram", "Rafe", "Petra",
    "Jean-Luc", "Mary Ann", "O", "Al", "Stephen", "Wolfgang", "Philippa",
)  # fmt: skip
FAMILY = (
    "Ashlock", "Brindlemoor", "Fennimore", "Montesol", "Pellwater", "Quarrier", "Roake", "Vesper", "Ash", "Vale",
    "O'Dell", "de la Fell", "van der Moor", "Halloway", "Pfenn", "Gutierre", "Schmoor", "Lee", "Tcheck", "Wright 2",
)  # fmt: skip
LETTERS = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 -'.,_"


def real_shaped(rng: random.Random) -> str:
    name = f"{rng.choice(GIVEN)} {rng.choice(FAMILY)}"
    at = rng.randrange(len(name))
    return rng.choice([name, name.upper(), name[:at] + name[at + 1 :], name[:at] + rng.choice(LETTERS) + name[at:]])


def any_letters(rng: random.Random) -> str:
    return "".join(rng.choices(LETTERS, k=rng.randrange(0, 14)))


def pairs(count: int) -> Iterator[tuple[str, str]]:
    rng = random.Random(20261003)
    for number in range(count):
        make = any_letters if number % 4 == 0 else real_shaped
        yield make(rng), make(rng)


@pytest.mark.django_db
def test_similarity_is_that_of_postgresql_for_two_thousand_pairs() -> None:
    asked = list(pairs(2000))
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT one, other, similarity(one, other) FROM unnest(%s::text[], %s::text[]) AS asked (one, other)",
            [[one for one, _ in asked], [other for _, other in asked]],
        )
        said = cursor.fetchall()
    wrong = [(one, other, theirs) for one, other, theirs in said if abs(similarity(one, other) - theirs) > 1e-6]

    assert len(said) == 2000 and wrong == []
    # The pairs say something: many share a part of their letters, some all, some none.
    assert len({round(theirs, 2) for *_, theirs in said}) > 40


@pytest.mark.django_db
@pytest.mark.parametrize("text", ["Bram Ash", "O'Dell-Roake 2", "a", "", "Wren  WREN"])
def test_trigrams_are_those_of_postgresql(text: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute("SELECT show_trgm(%s)", [text])
        assert trigrams(text) == set(cursor.fetchone()[0])


# From memory of the archives' page "Soundex System: The Soundex Indexing System" and of the examples that are commonly
# given for its rules. Prefixes: VanDeusen is coded with and without "Van" there, and here as it is written.
@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("Washington", "W252"), ("Lee", "L000"), ("Gutierrez", "G362"), ("Pfister", "P236"), ("Jackson", "J250"),
        ("Tymczak", "T522"), ("VanDeusen", "V532"), ("Deusen", "D250"), ("Ashcraft", "A261"), ("Ashcroft", "A261"),
        ("Robert", "R163"), ("Rupert", "R163"), ("Rubin", "R150"), ("Honeyman", "H555"), ("Lloyd", "L300"),
        ("O’Dell", "O340"), ("Núñez", "N520"), ("Łucja", "L200"), ("", ""), ("王伟", ""), ("7", ""),
    ],
)  # fmt: skip
def test_soundex_is_as_published(name: str, code: str) -> None:
    assert sounds(name) == code


@pytest.mark.django_db
def test_soundex_is_that_of_postgresql_where_neither_h_nor_w_stands_between() -> None:
    """PostgreSQL lets H and W part two letters of one code, as the archives do not: names with them are left out."""
    rng = random.Random(20261003)
    letters = "ABCDEFGIJKLMNOPQRSTUVXYZ"
    names = ["".join(rng.choices(letters, k=rng.randrange(1, 12))).title() for _ in range(2000)]
    with connection.cursor() as cursor:
        cursor.execute("CREATE EXTENSION IF NOT EXISTS fuzzystrmatch")
        cursor.execute("SELECT name, soundex(name) FROM unnest(%s::text[]) AS asked (name)", [names])
        said = cursor.fetchall()

    assert [(name, theirs) for name, theirs in said if sounds(name) != theirs] == []
