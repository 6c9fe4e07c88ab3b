"""How a code's sentence is filled in: facts by name, numbers with their nouns, lists as lists."""

from collections.abc import Callable, Mapping
from typing import Any

from core.formats import counted, listed

__all__ = ["Sentence", "say"]

Sentence = Callable[[Mapping[str, Any]], str]


def say(template: Any, **nouns: str) -> Sentence:
    """A sentence whose facts in ``nouns`` are written as a number with that noun of ``core.formats``.

    A list is written as choices: A, B, or C.
    """

    def words(facts: Mapping[str, Any]) -> str:
        lists = {name: listed(fact, "or") for name, fact in facts.items() if isinstance(fact, list | tuple)}
        numbers = {name: counted(facts[name], noun) for name, noun in nouns.items()}
        return str(template) % {**facts, **lists, **numbers}

    return words
