"""Changes that change nothing: each is known by its module, the text of its line and the change, with the reason."""

import tomllib
from dataclasses import dataclass
from pathlib import Path

from tests.mutants.mutations import Mutation

__all__ = ["LIST", "Equivalent", "is_equivalent", "read_list"]

LIST = Path(__file__).with_name("equivalent.toml")


@dataclass(frozen=True)
class Equivalent:
    module: str
    line: str
    change: str
    reason: str


def read_list(path: Path = LIST) -> list[Equivalent]:
    """Raises ValueError for an entry without a reason."""
    if not path.exists():
        return []
    found = [
        Equivalent(module, entry["line"], change, entry.get("reason", "").strip())
        for module, entries in tomllib.loads(path.read_text()).items()
        for entry in entries
        for change in entry["changes"]
    ]
    for entry in found:
        if not entry.reason:
            raise ValueError(f"{entry.module}: {entry.change!r} needs a reason.")
    return found


def is_equivalent(module: str, mutation: Mutation, known: list[Equivalent]) -> bool:
    return any((one.module, one.line, one.change) == (module, mutation.source_line, mutation.change) for one in known)
