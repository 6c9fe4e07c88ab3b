"""Examples of letters, by the code of their kind."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from types import SimpleNamespace

__all__ = ["EXAMPLES", "Example", "World", "example"]

# Makers of rows (``make_center`` ...), the people who act, ``now``, and the ``language`` of guardians.
World = SimpleNamespace


@dataclass(frozen=True)
class Example:
    """``untrue`` makes the note of this kind stale; the note is true ``at`` that moment, when it is due if left out."""

    untrue: Callable[[], object]
    at: datetime | None = None


Maker = Callable[[World], Example]
EXAMPLES: dict[str, Maker] = {}


def example(code: str) -> Callable[[Maker], Maker]:
    def keep(make: Maker) -> Maker:
        EXAMPLES[code] = make
        return make

    return keep
