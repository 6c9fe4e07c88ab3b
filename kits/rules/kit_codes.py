"""The short code under a bag's picture code, for a phone without a scanner: K7-4FN.

K, the bag's number, two letters or digits of its own, and one that checks the rest. The alphabet leaves out what is
misread (I, L, O, U, Z) and has 31 signs, a prime. Each place counts with a weight of its own, from the right 1, 2, 3
and on, and the sum is divisible by 31: then one wrong sign changes the sum by weight times difference, and two swapped
neighbours by the difference of the signs, and neither is divisible by a prime larger than both. (Arithmetic; the same
argument as for ISBN-10 with 11.)
"""

from __future__ import annotations

from core.rules.refused import Refused

__all__ = ["ALPHABET", "LONGEST", "kit_code", "read_kit_code"]

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXY"
LONGEST = 30  # places: each needs a weight of its own below 31
_AS_MEANT = str.maketrans({"O": "0", "I": "1", "L": "1"})


def kit_code(number: int, own: str) -> str:
    """Write the printed code of bag ``number``, whose own two signs are ``own``."""
    if number < 0 or len(own) != 2 or any(sign not in ALPHABET for sign in own):
        raise ValueError(f"{number} and {own!r} make no code.")
    body = f"K{number}{own}"
    weighed = sum(weight * ALPHABET.index(sign) for weight, sign in enumerate(reversed(body), start=2))
    return f"K{number}-{own}{ALPHABET[-weighed % 31]}"


def read_kit_code(typed: str) -> tuple[int, str]:
    """Read the bag's number and its own two signs from what somebody typed.

    Spaces, dashes and small letters don't matter. Raises Refused: empty, strange sign, no code or typo.
    """
    signs = "".join(sign for sign in typed.upper() if sign not in " -–—.\u00a0\t").translate(_AS_MEANT)
    if not signs:
        raise Refused.because("empty")
    strange = next((sign for sign in signs if sign not in ALPHABET), None)
    if strange is not None:
        raise Refused.because("strange sign", sign=strange)
    if not (signs[0] == "K" and 5 <= len(signs) <= LONGEST and signs[1:-3].isdecimal()):
        raise Refused.because("no code")
    if sum(weight * ALPHABET.index(sign) for weight, sign in enumerate(reversed(signs), start=1)) % 31:
        raise Refused.because("typo")
    return int(signs[1:-3]), signs[-3:-1]
