"""What a lower app asks of higher ones: the lower declares a Hook, the higher fills it in ``AppConfig.ready``.

The one way in which a call runs up the street. A hook says in its annotation what it is called with and what each
answer returns; its module says when it is called and within which transaction.
"""

from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager, ExitStack, contextmanager
from typing import Generic, ParamSpec, TypeVar

__all__ = ["Hook", "within"]

P = ParamSpec("P")
R = TypeVar("R")


class Hook(Generic[P, R]):
    """A question or an event with a name. Apps add their answers in the order in which they are installed."""

    def __init__(self, name: str) -> None:
        self.name = name
        self._answers: list[Callable[P, R]] = []

    def __iter__(self) -> Iterator[Callable[P, R]]:
        return iter(self._answers)

    def add(self, *answers: Callable[P, R]) -> None:
        """Add answers; one that is there already is not added twice."""
        self._answers.extend(one for one in answers if one not in self._answers)

    def ask(self, *args: P.args, **kwargs: P.kwargs) -> list[R]:
        """What each app answers; an empty list when none does."""
        return [answer(*args, **kwargs) for answer in self._answers]

    def ask_one(self, *args: P.args, **kwargs: P.kwargs) -> R:
        """The one answer. Raises LookupError when no app, or more than one, has added an answer."""
        if len(self._answers) != 1:
            raise LookupError(f"{self.name} needs one answer and has {len(self._answers)}.")
        return self._answers[0](*args, **kwargs)


@contextmanager
def within(parts: Iterable[AbstractContextManager[object]]) -> Iterator[None]:
    """Enter what the answers of a hook return, one after the other, and leave them in reverse order."""
    with ExitStack() as stack:
        for part in parts:
            stack.enter_context(part)
        yield
