"""Small changes to a module's source, each of which a test of it should notice.

A change is an edit of one stretch of the source, so that line numbers stay and the change can be shown as it reads.
"""

import ast
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tests.mutants.operators import changes_of

__all__ = ["Mutation", "all_mutations", "choose"]

# Their words are for people, and tests look at codes: what is said is left as it is.
SPEAKING = {"log", "logger", "warnings"}
# Without these a module does not import, which says nothing of its tests.
OF_THE_LANGUAGE = {
    "dataclass",
    "property",
    "staticmethod",
    "classmethod",
    "abstractmethod",
    "overload",
    "contextmanager",
}


@dataclass(frozen=True, order=True)
class Mutation:
    """Replace the bytes from ``start`` to ``end`` by ``new``; ``line`` counts from 1.

    ``source_line`` is the text by which the place is known when lines have moved.
    """

    start: int
    end: int
    new: str
    line: int
    old: str
    source_line: str

    @property
    def change(self) -> str:
        return f"{_one_line(self.old)} -> {_one_line(self.new)}"

    def apply(self, source: str) -> str:
        raw = source.encode()
        return (raw[: self.start] + self.new.encode() + raw[self.end :]).decode()


def choose(source: str, count: int, seed: str) -> list[Mutation]:
    """Up to ``count`` of the module's mutations, in order; equal seeds choose equally."""
    found = all_mutations(source)
    if len(found) > count:
        found = random.Random(seed).sample(found, count)
    return sorted(found)


def all_mutations(source: str) -> list[Mutation]:
    """Every change that we know how to make, each once, of those that are still Python."""
    tree = ast.parse(source)
    found = dict.fromkeys(mutation for mutation in _Walk(source).of(tree) if mutation.new != mutation.old)
    return sorted(mutation for mutation in found if _is_python(mutation.apply(source)))


class _Walk:
    def __init__(self, source: str) -> None:
        self.raw = source.encode()
        self.lines = source.splitlines()
        self.starts = [0]
        for line in self.raw.splitlines(keepends=True):
            self.starts.append(self.starts[-1] + len(line))

    def of(self, node: ast.AST) -> Iterator[Mutation]:
        if _speaks(node):
            return
        for part, new in changes_of(node):
            yield self._edit(part, new)
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield from self._without_decorators(node)
        for child in _children(node):
            yield from self.of(child)

    def _edit(self, node: ast.AST, new: str) -> Mutation:
        assert isinstance(node, ast.expr | ast.stmt)
        assert node.end_lineno is not None and node.end_col_offset is not None
        start = self.starts[node.lineno - 1] + node.col_offset
        return self._mutation(start, self.starts[node.end_lineno - 1] + node.end_col_offset, new, node.lineno)

    def _without_decorators(self, node: ast.FunctionDef | ast.ClassDef) -> Iterator[Mutation]:
        for decorator in node.decorator_list:
            named = decorator.func if isinstance(decorator, ast.Call) else decorator
            if isinstance(named, ast.Name | ast.Attribute) and ast.unparse(named).split(".")[-1] in OF_THE_LANGUAGE:
                continue
            edit = self._edit(decorator, "")
            start = self.raw.rindex(b"@", 0, edit.start)
            # What stands there instead is a comment, so that no line moves.
            # Many functions have the same decorator: which one it is of is said by the line of its name.
            yield self._mutation(start, edit.end, "# no decorator", decorator.lineno, told_by=node.lineno)

    def _mutation(self, start: int, end: int, new: str, line: int, told_by: int = 0) -> Mutation:
        text = self.lines[(told_by or line) - 1].strip()
        return Mutation(start, end, new, line, self.raw[start:end].decode(), text)


def _children(node: ast.AST) -> Sequence[ast.AST]:
    """The parts in which a change would mean something: no annotations, no words, nothing of an import."""
    if isinstance(node, ast.Import | ast.ImportFrom | ast.JoinedStr | ast.Raise | ast.Assert):
        return []
    if isinstance(node, ast.Assign) and any(isinstance(one, ast.Name) and one.id == "__all__" for one in node.targets):
        return []
    if isinstance(node, ast.FunctionDef):
        defaults = [one for one in (*node.args.defaults, *node.args.kw_defaults) if one is not None]
        return [*defaults, *node.body]
    if isinstance(node, ast.ClassDef):
        return node.body
    if isinstance(node, ast.AnnAssign):
        return [node.value] if node.value is not None else []
    return list(ast.iter_child_nodes(node))


def _speaks(node: ast.AST) -> bool:
    """Whether this only writes something down for people, such as ``log.warning(...)``."""
    called = node.value if isinstance(node, ast.Expr) else node
    if not (isinstance(called, ast.Call) and isinstance(called.func, ast.Attribute)):
        return False
    whose = called.func.value
    return isinstance(whose, ast.Name) and whose.id in SPEAKING


def _is_python(source: str) -> bool:
    try:
        ast.parse(source)
    except (SyntaxError, ValueError):
        return False
    return True


def _one_line(text: str) -> str:
    return " ".join(text.split())
