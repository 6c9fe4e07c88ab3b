"""A lower app's question, answered by higher ones."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from core.hooks import Hook, within


def test_every_answer_is_heard_in_the_order_added() -> None:
    double: Hook[[int], int] = Hook("double")
    double.add(lambda n: n * 2, lambda n: n + n + 1)
    assert double.ask(3) == [6, 7]


def test_an_answer_added_twice_is_heard_once() -> None:
    said: Hook[[str], str] = Hook("said")
    said.add(str.upper)
    said.add(str.upper)
    assert said.ask("a") == ["A"]


def test_nobody_has_to_answer() -> None:
    nobody: Hook[[], None] = Hook("nobody")
    assert nobody.ask() == []


@pytest.mark.parametrize("answers", [[], [str.upper, str.lower]])
def test_a_question_for_one_answer_refuses_none_and_two(answers: list) -> None:
    one: Hook[[str], str] = Hook("people.one")
    one.add(*answers)
    with pytest.raises(LookupError, match=rf"people.one needs one answer and has {len(answers)}\."):
        one.ask_one("a")


def test_the_one_answer_is_returned() -> None:
    one: Hook[[str], str] = Hook("one")
    one.add(str.upper)
    assert one.ask_one("a") == "A"


def test_what_answers_enter_is_left_the_other_way_round_and_not_finished_when_something_fails() -> None:
    heard: list[str] = []

    @contextmanager
    def part(name: str) -> Iterator[None]:
        heard.append(f"lock {name}")
        yield
        heard.append(f"write {name}")

    with within([part("first"), part("second")]):
        heard.append("change")
    assert heard == ["lock first", "lock second", "change", "write second", "write first"]

    heard.clear()
    with pytest.raises(ValueError, match="no"), within([part("first")]):
        raise ValueError("no")
    assert heard == ["lock first"]
