from outbox.letters.builder import build
from outbox.letters.letter import Letter, LetterKind, Stale, Stop, row_of
from outbox.letters.registry import kind_of, kinds, label_of, register

__all__ = [
    "Letter",
    "LetterKind",
    "Stale",
    "Stop",
    "build",
    "kind_of",
    "kinds",
    "label_of",
    "register",
    "row_of",
]
