"""Reads one cell of a table that somebody sends: makes its text plain, and says whether it is a mail address."""

from collections.abc import Mapping

__all__ = ["cell_text", "is_address"]


def cell_text(row: Mapping[str, str], name: str, most: int, reasons: list[str]) -> str:
    """The text of a cell with its spaces mended, and without the leading apostrophe that guarded a formula.

    Adds to ``reasons`` what can't be kept: a character that is no text, or more than ``most`` characters.
    """
    text = " ".join(str(row.get(name) or "").split())
    if text[:1] == "'" and text[1:2] in ("=", "+", "-", "@"):
        text = text[1:]
    if "\x00" in text:
        reasons.append(f"{name} holds a character that is no text")
        text = text.replace("\x00", "")
    if len(text) > most:
        reasons.append(f"{name} is longer than {most} characters")
    return text


def is_address(text: str) -> bool:
    local, at, domain = text.rpartition("@")
    return bool(at and local and "." in domain and " " not in text and domain[0] != "." and domain[-1] != ".")
