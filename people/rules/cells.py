"""Reads one cell of a file that someone uploads: makes its text plain, and says whether it is an email address."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

__all__ = ["RowProblem", "cell_text", "is_address", "row_problem"]


class RowProblem(NamedTuple):
    """Why a row can't be imported: a code, and the facts of its sentence by name."""

    code: str
    facts: tuple[tuple[str, str | int], ...] = ()

    @property
    def named(self) -> dict[str, str | int]:
        return dict(self.facts)


def row_problem(code: str, **facts: str | int) -> RowProblem:
    return RowProblem(code, tuple(facts.items()))


def cell_text(row: Mapping[str, str], name: str, most: int, problems: list[Any]) -> str:
    """The text of a cell with its spaces mended, and without the leading apostrophe that guarded a formula.

    Adds to ``problems``, beside what the caller collects there, a RowProblem for what can't be kept: "bad character" or
    "too long", for more than ``most`` characters.
    """
    text = " ".join(str(row.get(name) or "").split())
    if text[:1] == "'" and text[1:2] in ("=", "+", "-", "@"):
        text = text[1:]
    if "\x00" in text:
        problems.append(row_problem("bad character", column=name))
        text = text.replace("\x00", "")
    if len(text) > most:
        problems.append(row_problem("too long", column=name, most=most))
    return text


def is_address(text: str) -> bool:
    local, at, domain = text.rpartition("@")
    return bool(at and local and "." in domain and " " not in text and domain[0] != "." and domain[-1] != ".")
