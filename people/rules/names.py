"""Whether two names that people typed are of one person."""

import unicodedata

__all__ = ["same_name"]


def same_name(one: str, other: str) -> bool:
    """Whether two names are the same but for capitals, accents and spaces.

    The floor page compares who picks up in the same way (``sameName``).
    """
    return _plain(one) == _plain(other)


def _plain(name: str) -> str:
    letters = unicodedata.normalize("NFKD", name)
    return " ".join("".join(one for one in letters if not unicodedata.category(one).startswith("M")).lower().split())
