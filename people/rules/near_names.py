"""Whether two names that people typed may be of one person: alike in spelling, in sound, or sharing a part.

Meant for the door, where a miss lets a child go and a false alarm costs a look at a photo ID: each code errs on the
side of the alarm. A nickname is found only where its spelling or its sound is near. The floor page has the same rule
in ``names.js``; tests hold both to one table.
"""

import re
import unicodedata

__all__ = ["NEAR", "near", "similarity", "sounds", "trigrams"]

# From which similarity on two spellings are near: the default of PostgreSQL's pg_trgm.similarity_threshold.
NEAR = 0.3

# Letters that Unicode doesn't take apart into a plain one and a mark.
_PLAIN = str.maketrans(
    {"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ħ": "h", "ı": "i", "ŋ": "n"}
    | {"ς": "σ"}
)
_APOSTROPHES = re.compile("['’‘ʼʻ`´′＇]")
# No part of a name by which one person is known from another: particles, and what stands before or after a name.
_NO_PART = frozenset((
    "af", "al", "av", "bin", "da", "das", "de", "del", "della", "den", "der", "di", "do", "dos", "du", "el", "ibn",
    "la", "las", "le", "les", "lo", "los", "ten", "ter", "van", "vom", "von", "zu", "zum", "zur",
    "dr", "ii", "iii", "iv", "jr", "miss", "mr", "mrs", "ms", "prof", "sr",
))  # fmt: skip
_GROUPS = ("BFPV", "CGJKQSXZ", "DT", "L", "MN", "R")
_CODES = {letter: str(code) for code, letters in enumerate(_GROUPS, 1) for letter in letters}


def trigrams(text: str) -> set[str]:
    """Every three letters in a row of the words of ``text``, each with two blanks before it and one after."""
    words = "".join(one if one.isalnum() else " " for one in text.lower()).split()
    padded = [f"  {word} " for word in words]
    return {word[at : at + 3] for word in padded for at in range(len(word) - 2)}


def similarity(one: str, other: str) -> float:
    """How many trigrams two texts share, of all that either has: 0 to 1, as pg_trgm's ``similarity()``."""
    ours, theirs = trigrams(one), trigrams(other)
    return len(ours & theirs) / len(ours | theirs) if ours and theirs else 0.0


def sounds(text: str) -> str:
    """American Soundex of one word: a letter and three digits; "" where there is no letter from A to Z.

    As the US National Archives publish it ("Soundex System: The Soundex Indexing System", archives.gov): letters of
    one code side by side count once, also with the first letter, and also with H or W between them; a vowel between
    them has both counted.
    """
    letters = [one for one in _folded(text).upper() if "A" <= one <= "Z"]
    if not letters:
        return ""
    code, last = letters[0], _CODES.get(letters[0])
    for letter in letters[1:]:
        digit = _CODES.get(letter)
        if digit is not None and digit != last:
            code += digit
        if letter not in "HW":
            last = digit
    return code[:4].ljust(4, "0")


def near(one: str, other: str) -> set[str]:
    """How two names are alike: any of "same", "shares a part", "sounds alike" and "near by spelling"; empty if not.

    Accents, capitals, hyphens, apostrophes and the order of words tell nobody apart. Initials and particles such as
    "de" are no part, unless a name has nothing else.
    """
    ours, theirs = _words(one), _words(other)
    codes = set()
    if ours and sorted(ours) == sorted(theirs):
        codes.add("same")
    mine, yours = _parts(ours), _parts(theirs)
    if mine & yours:
        codes.add("shares a part")
    if ({sounds(part) for part in mine} & {sounds(part) for part in yours}) - {""}:
        codes.add("sounds alike")
    if similarity(" ".join(ours), " ".join(theirs)) >= NEAR:
        codes.add("near by spelling")
    return codes


def _folded(text: str) -> str:
    """Small letters without accents and apostrophes."""
    apart = unicodedata.normalize("NFKD", _APOSTROPHES.sub("", text))
    return "".join(one for one in apart if not unicodedata.category(one).startswith("M")).lower().translate(_PLAIN)


def _words(name: str) -> list[str]:
    return "".join(one if one.isalnum() else " " for one in _folded(name)).split()


def _parts(words: list[str]) -> set[str]:
    whole = {word for word in words if len(word) > 1}
    return whole - _NO_PART or whole
