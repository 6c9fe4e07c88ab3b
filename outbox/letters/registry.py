"""Which letter each kind of note is: every app adds its own when it is ready."""

from outbox.letters.letter import LetterKind

__all__ = ["kind_of", "kinds", "label_of", "register"]

_kinds: dict[str, LetterKind] = {}


def register(*more: LetterKind) -> None:
    """Add kinds of letters; one that is there already is not added twice. Raises ValueError for a code taken twice."""
    for kind in more:
        if _kinds.setdefault(kind.code, kind) != kind:
            raise ValueError(f"Two kinds of letters are called {kind.code}.")


def kind_of(code: str) -> LetterKind:
    """The kind of letter with this code. Raises LookupError when no app has registered it."""
    if code not in _kinds:
        raise LookupError(f"No app has a letter called {code}.")
    return _kinds[code]


def label_of(code: str) -> str:
    """What pages call this kind of letter; the code itself when no app has such a letter any more."""
    return str(_kinds[code].label) if code in _kinds else code


def kinds() -> list[LetterKind]:
    """Every kind, sorted by label."""
    return sorted(_kinds.values(), key=lambda kind: str(kind.label))
