"""Whether two names that people typed are of one person."""

import unicodedata

__all__ = ["same_name"]


def same_name(one: str, other: str) -> bool:
    """Whatever their capitals, accents and spaces; as the floor page compares who collects (``sameName``)."""
    return _plain(one) == _plain(other)


def _plain(name: str) -> str:
    letters = unicodedata.normalize("NFKD", name)
    return " ".join("".join(one for one in letters if not unicodedata.category(one).startswith("M")).lower().split())
