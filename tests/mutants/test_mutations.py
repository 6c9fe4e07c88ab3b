"""The mutator: which slips it makes, that equal seeds make equal ones, and that its list of harmless ones is true."""

import ast
from pathlib import Path

import pytest

from tests.mutants.equivalent import Equivalent, is_equivalent, read_list
from tests.mutants.mutations import all_mutations, choose
from tests.mutants.plan import SERVICES, is_pure, nearest, targets

ROOT = Path(__file__).resolve().parents[2]
RULES = "people/rules/standing.py"


def changes(source: str) -> set[str]:
    return {mutation.change for mutation in all_mutations(source)}


@pytest.mark.parametrize(
    ("source", "change"),
    [
        ("x = a < b", "a < b -> (a <= b)"),
        ("x = a == b", "a == b -> (a != b)"),
        ("x = a in b", "a in b -> (a not in b)"),
        ("x = a <= b < c", "a <= b < c -> (a <= b <= c)"),
        ("x = a and b", "a and b -> (a or b)"),
        ("x = a and b", "a and b -> (a)"),
        ("x = a or b or c", "a or b or c -> (a or c)"),
        ("x = not a", "not a -> (a)"),
        ("x = a + b", "a + b -> (a - b)"),
        ("x = -a", "-a -> (a)"),
        ("x = 7", "7 -> 8"),
        ("x = 7", "7 -> 6"),
        ("x = 0", "0 -> (-1)"),
        ("x = True", "True -> False"),
        ("x = min(a, b)", "min(a, b) -> max(a, b)"),
        ("x = f(a, b)", "f(a, b) -> f(b, a)"),
        ("x = sorted(a, key=f)", "sorted(a, key=f) -> list(a)"),
        ("x = [a for a in b if a]", "[a for a in b if a] -> [a for a in b]"),
        ("x = a if b else c", "a if b else c -> (c)"),
        ("if a:\n    b()", "a -> True"),
        ("if a:\n    b()", "a -> False"),
        ("if a:\n    b()", "b() -> pass"),
        ("def f():\n    return 'x'", "return 'x' -> return None"),
        ("for a in b:\n    continue", "continue -> pass"),
        ("raise ValueError(a)", "raise ValueError(a) -> pass"),
        ("row.at = now", "row.at = now -> pass"),
        ("n += 1", "n += 1 -> n -= 1"),
        ("@transaction.atomic\ndef f():\n    return g()", "@transaction.atomic -> # no decorator"),
        ("with transaction.atomic():\n    f()", 'transaction.atomic() -> __import__("contextlib").nullcontext()'),
        ("rows = a.filter(b=1, at__gt=now)", "a.filter(b=1, at__gt=now) -> a.filter(b=1, at__gte=now)"),
        ("rows = a.filter(b=1, at__gt=now)", "a.filter(b=1, at__gt=now) -> a.filter(b=1)"),
        ("rows = a.filter(b=1, at__gt=now)", "a.filter(b=1, at__gt=now) -> a.exclude(b=1, at__gt=now)"),
    ],
)
def test_each_slip_that_somebody_could_make_is_made(source: str, change: str) -> None:
    assert change in changes(source)


@pytest.mark.parametrize(
    "source",
    [
        '"""Words at 1 end."""',
        "from a import b",
        '__all__ = ["a", "b"]',
        "x: dict[str, int]",
        "log.warning(a, 1)",
        "@dataclass(frozen=True)\nclass A:\n    pass",
        'x = f"{1 + 2} and {a < b}"',
        "def f(a: Literal[1]) -> None:\n    pass",
    ],
)
def test_words_imports_and_types_are_left_alone(source: str) -> None:
    assert changes(source) == set()


@pytest.mark.parametrize("module", [RULES, "families/services/spot_books.py", "outbox/services/sending.py"])
def test_every_change_is_python_and_another_text_with_its_line_in_place(module: str) -> None:
    source = (ROOT / module).read_text()

    for mutation in all_mutations(source):
        changed = mutation.apply(source)
        ast.parse(changed)
        assert changed != source
        before = source.encode()[: mutation.start].decode()
        assert before.count("\n") + 1 == mutation.line and changed.startswith(before)
        if not mutation.new.startswith("#"):
            assert mutation.source_line == source.splitlines()[mutation.line - 1].strip()


def test_a_decorator_is_known_by_the_name_that_it_stands_over() -> None:
    source = "@transaction.atomic\ndef f():\n    g()\n\n\n@transaction.atomic\ndef h():\n    g()\n"

    found = [one for one in all_mutations(source) if one.new == "# no decorator"]

    assert [(one.line, one.source_line) for one in found] == [(1, "def f():"), (6, "def h():")]
    assert found[1].apply(source) == source[: found[1].start] + "# no decorator" + source[found[1].end :]


def test_a_change_beside_letters_of_more_than_one_byte_hits_its_place() -> None:
    source = 'x = "é—é", 1 < 2\n'

    (mutation,) = [one for one in all_mutations(source) if one.change == "1 < 2 -> (1 <= 2)"]
    assert mutation.apply(source) == 'x = "é—é", (1 <= 2)\n'


def test_equal_seeds_make_equal_changes_and_another_seed_others() -> None:
    source = (ROOT / RULES).read_text()

    assert choose(source, 10, "1:a") == choose(source, 10, "1:a") != choose(source, 10, "2:a")
    assert len(set(choose(source, 10, "1:a"))) == 10
    assert choose(source, 10_000, "1:a") == all_mutations(source)


@pytest.mark.thorough
def test_every_harmless_change_is_still_one_that_is_made() -> None:
    known = read_list()

    assert known
    for entry in known:
        source = (ROOT / entry.module).read_text()
        assert any(is_equivalent(entry.module, mutation, [entry]) for mutation in all_mutations(source)), entry


def test_a_harmless_change_needs_a_reason(tmp_path: Path) -> None:
    path = tmp_path / "list.toml"
    path.write_text('[["a.py"]]\nline = "x = 1"\nchanges = ["1 -> 2"]\nreason = " "\n')

    with pytest.raises(ValueError, match="needs a reason"):
        read_list(path)
    assert read_list(tmp_path / "none.toml") == []


def test_a_change_is_harmless_on_its_own_line_alone() -> None:
    known = [Equivalent("a.py", "x = 1", "1 -> 2", "x is never read")]
    found = {(one.line, one.change): one for one in all_mutations("x = 1\ny = 1\n")}

    assert is_equivalent("a.py", found[1, "1 -> 2"], known)
    assert not is_equivalent("a.py", found[2, "1 -> 2"], known)
    assert not is_equivalent("b.py", found[1, "1 -> 2"], known)


def test_the_plan_has_every_rule_and_names_only_files_that_are_there() -> None:
    plan = targets(ROOT)

    modules = {target.module for target in plan}
    assert {RULES, "families/rules/spots.py", "shifts/rules/reminder_times.py", *SERVICES} <= modules
    for target in plan:
        assert (ROOT / target.module).exists()
        assert all((ROOT / name).exists() for name in (*target.pure, *target.served))
        assert target.goal == (95 if "/rules/" in target.module else 85)


def test_the_plan_narrows_to_a_module_or_a_folder() -> None:
    assert [target.module for target in targets(ROOT, [RULES])] == [RULES]
    assert {target.module.split("/")[0] for target in targets(ROOT, ["people/rules"])} == {"people"}
    assert targets(ROOT, ["nowhere/at_all"]) == []


def test_the_nearest_tests_are_those_of_its_name_and_plain_ones_need_no_server() -> None:
    assert nearest(ROOT, "families/rules/spots.py")[0] == "tests/families/test_spots_rule.py"
    assert is_pure(ROOT, "tests/families/test_spots_rule.py")
    assert not is_pure(ROOT, "tests/families/test_spots_services.py")
