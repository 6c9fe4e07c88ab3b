"""What a node of the source may be turned into: each change is one slip that somebody could make."""

import ast
from collections.abc import Iterator
from copy import deepcopy

__all__ = ["changes_of"]

COMPARISONS: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Add,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Add,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
}
CALLED_INSTEAD = {
    "min": "max",
    "max": "min",
    "any": "all",
    "all": "any",
    "sorted": "list",
    "filter": "exclude",
    "exclude": "filter",
    "first": "last",
}
# What Django's queries compare by.
LOOKUPS = {"gt": "gte", "gte": "gt", "lt": "lte", "lte": "lt"}
QUERIES = ("filter", "exclude", "get", "update", "Q")
# Stands instead of a transaction, where nothing may be imported.
NO_TRANSACTION = '__import__("contextlib").nullcontext()'


def changes_of(node: ast.AST) -> Iterator[tuple[ast.AST, str]]:
    """Parts of ``node``, or itself, each with the source that may stand instead."""
    match node:
        case ast.Compare():
            yield from _compare(node)
        case ast.BoolOp():
            yield from _bool_op(node)
        case ast.UnaryOp(op=ast.Not() | ast.USub() | ast.Invert()):
            yield node, f"({ast.unparse(node.operand)})"
        case ast.BinOp():
            yield from _bin_op(node)
        case ast.Constant():
            yield from _constant(node)
        case ast.Call():
            yield from _call(node)
        case ast.IfExp():
            yield node, f"({ast.unparse(node.body)})"
            yield node, f"({ast.unparse(node.orelse)})"
        case ast.If():
            yield node.test, "True"
            yield node.test, "False"
        case ast.While():
            yield node.test, "False"
        case ast.ListComp() | ast.SetComp() | ast.DictComp() | ast.GeneratorExp():
            yield from _comprehension(node)
        case ast.With():
            for item in node.items:
                if ast.unparse(item.context_expr) == "transaction.atomic()":
                    yield item.context_expr, NO_TRANSACTION
        case ast.stmt():
            yield from _statement(node)


def _compare(node: ast.Compare) -> Iterator[tuple[ast.AST, str]]:
    for place, operator in enumerate(node.ops):
        for other in COMPARISONS[type(operator)]:
            new = deepcopy(node)
            new.ops[place] = other()
            yield node, f"({ast.unparse(new)})"


def _bool_op(node: ast.BoolOp) -> Iterator[tuple[ast.AST, str]]:
    new = deepcopy(node)
    new.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
    yield node, f"({ast.unparse(new)})"
    for place in range(len(node.values)):
        rest = [value for number, value in enumerate(node.values) if number != place]
        yield node, f"({ast.unparse(ast.BoolOp(node.op, rest) if len(rest) > 1 else rest[0])})"


def _bin_op(node: ast.BinOp) -> Iterator[tuple[ast.AST, str]]:
    other = ARITHMETIC.get(type(node.op))
    # Words that are put together or filled in are words.
    if other is not None and not any(_is_text(one) for one in (node.left, node.right)):
        yield node, f"({ast.unparse(ast.BinOp(node.left, other(), node.right))})"


def _constant(node: ast.Constant) -> Iterator[tuple[ast.AST, str]]:
    if isinstance(node.value, bool):
        yield node, str(not node.value)
    elif isinstance(node.value, int):
        yield node, str(node.value + 1)
        # In brackets, since a sign may stand before it.
        yield node, str(node.value - 1) if node.value else "(-1)"
    elif isinstance(node.value, float):
        yield node, str(node.value + 1)


def _call(node: ast.Call) -> Iterator[tuple[ast.AST, str]]:
    name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
    if name in CALLED_INSTEAD:
        new = deepcopy(node)
        if name == "sorted":
            new.keywords = []
        if isinstance(new.func, ast.Attribute):
            new.func.attr = CALLED_INSTEAD[name]
        else:
            new.func = ast.Name(CALLED_INSTEAD[name])
        yield node, ast.unparse(new)
    # The larger of two is the larger of them either way round.
    if len(node.args) >= 2 and name not in ("min", "max") and not _any_starred(node.args[:2]):
        new = deepcopy(node)
        new.args[:2] = [node.args[1], node.args[0]]
        yield node, ast.unparse(new)
    if name in QUERIES:
        yield from _query(node)


def _query(node: ast.Call) -> Iterator[tuple[ast.AST, str]]:
    for place, keyword in enumerate(node.keywords):
        if keyword.arg is not None and len(node.keywords) + len(node.args) > 1:
            new = deepcopy(node)
            del new.keywords[place]
            yield node, ast.unparse(new)
        stem, _, lookup = (keyword.arg or "").rpartition("__")
        if stem and lookup in LOOKUPS:
            new = deepcopy(node)
            new.keywords[place].arg = f"{stem}__{LOOKUPS[lookup]}"
            yield node, ast.unparse(new)


def _comprehension(
    node: ast.ListComp | ast.SetComp | ast.DictComp | ast.GeneratorExp,
) -> Iterator[tuple[ast.AST, str]]:
    for place, generator in enumerate(node.generators):
        for which in range(len(generator.ifs)):
            new = deepcopy(node)
            del new.generators[place].ifs[which]
            yield node, ast.unparse(new)


def _statement(node: ast.stmt) -> Iterator[tuple[ast.AST, str]]:
    match node:
        case ast.Expr(value=ast.Constant() | ast.Yield()):
            return
        case ast.Expr() | ast.Raise() | ast.Continue() | ast.Break() | ast.Return(value=None):
            yield node, "pass"
        case ast.Return(value=value) if not (isinstance(value, ast.Constant) and value.value is None):
            yield node, "return None"
        case ast.Assign(targets=targets):
            # A plain name that is not written fails by itself; a fact that is not written can go unseen.
            if any(isinstance(one, ast.Attribute | ast.Subscript | ast.Tuple) for one in targets):
                yield node, "pass"
        case ast.AugAssign(op=op):
            yield node, "pass"
            other = ARITHMETIC.get(type(op))
            if other is not None:
                yield node, ast.unparse(ast.AugAssign(node.target, other(), node.value))


def _any_starred(args: list[ast.expr]) -> bool:
    return any(isinstance(one, ast.Starred) for one in args)


def _is_text(node: ast.expr) -> bool:
    return isinstance(node, ast.JoinedStr) or (isinstance(node, ast.Constant) and isinstance(node.value, str))
