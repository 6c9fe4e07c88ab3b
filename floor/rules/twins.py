"""Two lines of the door that may be one child: typed on two phones, or typed although the child is on the list.

The phone finds them in the same way (``twins.js``); one test holds both against the same list of names.
"""

import unicodedata
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from typing import NamedTuple

__all__ = ["DIFFER", "Person", "ages_counted", "pairs_among", "perhaps_one", "word_on"]

# What was said of a pair: "same", "apart", nothing yet (""), or by one this and by another that.
DIFFER = "differ"


class Person(NamedTuple):
    """``born``: year-month-day. ``walked``: typed at the door. Two who are both on the list are the office's matter."""

    who: str
    name: str
    born: str
    walked: bool


def perhaps_one(one: Person, other: Person) -> str | None:
    """Say why two lines may be one child; None where they are not.

    Codes: "same" for name and birth date, "name" for one slip in the name, "date" for one in the birth date. Capitals,
    accents, spaces, hyphens and the order of words are no difference.
    """
    if not (one.walked or other.walked) or not all((_words(one.name), _words(other.name), one.born, other.born)):
        return None
    if _same_name(one.name, other.name):
        return "same" if one.born == other.born else "date" if _date_slip(one.born, other.born) else None
    return "name" if one.born == other.born and _name_slip(one.name, other.name) else None


def pairs_among(people: Sequence[Person]) -> list[tuple[Person, Person, str]]:
    """List all pairs that may be one child, with the reason, in the order of ``people``.

    Only those are compared who have a birth date or a name in common, so that a long list costs little.
    """
    near: dict[tuple[str, str], list[int]] = defaultdict(list)
    for place, one in enumerate(people):
        for key in _keys(one):
            near[key].append(place)
    close = {
        (first, second)
        for places in near.values()
        for at, first in enumerate(places)
        for second in places[at + 1 :]
        if people[first].walked or people[second].walked
    }
    found = [(people[first], people[second]) for first, second in sorted(close)]
    return [(one, other, why) for one, other in found if (why := perhaps_one(one, other)) is not None]


def word_on(words: Iterable[str]) -> str:
    """What was said of a pair in the end: nothing counts while one phone says this and another that."""
    said = set(words)
    return DIFFER if len(said) > 1 else next(iter(said), "")


def ages_counted(ages: dict[str, int], pairs: Iterable[tuple[str, str]]) -> dict[str, int]:
    """The ages to reckon the adults from: two who may be one child both count with the younger of their ages."""
    counted = dict(ages)
    for one, other in pairs:
        younger = min(ages.get(one, 0), ages.get(other, 0))
        for who in (one, other):
            counted[who] = min(counted.get(who, younger), younger)
    return counted


def _keys(one: Person) -> set[tuple[str, str]]:
    words = _words(one.name)
    return {("born", one.born), ("words", " ".join(sorted(words))), ("letters", "".join(words))}


def _words(name: str) -> list[str]:
    """The name's words in plain small letters: an apostrophe is nothing, any other mark stands between two words."""
    letters = []
    for letter in unicodedata.normalize("NFKD", name.lower()):
        kind = unicodedata.category(letter)[0]
        if kind in "LN":
            letters.append(letter)
        elif kind != "M" and letter not in "'’‘`":
            letters.append(" ")
    return "".join(letters).split()


def _same_name(one: str, other: str) -> bool:
    ours, theirs = _words(one), _words(other)
    return sorted(ours) == sorted(theirs) or "".join(ours) == "".join(theirs)


def _name_slip(one: str, other: str) -> bool:
    ours, theirs = _words(one), _words(other)
    if _one_slip("".join(ours), "".join(theirs)):
        return True
    mine, yours = Counter(ours) - Counter(theirs), Counter(theirs) - Counter(ours)
    if sum(mine.values()) > 1 or sum(yours.values()) > 1:
        return False
    return _one_slip("".join(mine), "".join(yours))


def _one_slip(one: str, other: str) -> bool:
    """Whether one letter is wrong, missing, or swapped with its neighbor."""
    short, long = sorted((one, other), key=len)
    at = next((place for place, letter in enumerate(short) if letter != long[place]), len(short))
    if len(long) - len(short) == 1:
        return short[at:] == long[at + 1 :]
    if len(long) != len(short) or at == len(short):
        return False
    swapped = short[at : at + 2] == long[at : at + 2][::-1] and short[at + 2 :] == long[at + 2 :]
    return swapped or short[at + 1 :] == long[at + 1 :]


def _date_slip(one: str, other: str) -> bool:
    """Whether day and month are swapped, or one digit is wrong."""
    if len(one) != len(other):
        return False
    swapped = (one[:4], one[5:7], one[8:]) == (other[:4], other[8:], other[5:7])
    return swapped or sum(ours != theirs for ours, theirs in zip(one, other, strict=True)) == 1
