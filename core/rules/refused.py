"""A rule's "no" to what a person asked or typed: codes and facts, which an app's words turn into sentences."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

__all__ = ["Reason", "Refused"]


@dataclass(frozen=True, slots=True)
class Reason:
    """``facts``: names and numbers of the sentence, plain enough to be kept as JSON."""

    code: str
    facts: Mapping[str, Any] = field(default_factory=dict)


class Refused(ValueError):
    """Raised with every reason against and not only the first. Its own text is for programmers."""

    def __init__(self, *reasons: Reason) -> None:
        super().__init__("; ".join(f"{one.code} {dict(one.facts)}" if one.facts else one.code for one in reasons))
        self.reasons = reasons

    @classmethod
    def because(cls, code: str, /, **facts: Any) -> Refused:
        return cls(Reason(code, facts))

    @property
    def codes(self) -> set[str]:
        return {reason.code for reason in self.reasons}
