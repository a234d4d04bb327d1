"""Small mistakes put into a module one at a time: another operator, another number, a
condition the other way round.

Annotations are left alone, since they are documents; so are texts, since messages are
read by people, and what a class or a call to zip declares of itself (frozen, kw_only,
strict), which changes no answer.
"""

import ast
import copy
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

Change = Callable[[Any], Any]

_COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}
_RECKONED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Mult,
    ast.Mod: ast.Mult,
    ast.Pow: ast.Mult,
}
_CALLED = {
    "min": "max",
    "max": "min",
    "any": "all",
    "all": "any",
    "sin": "cos",
    "cos": "sin",
    "floor": "ceil",
}


class Mutation(NamedTuple):
    """One mistake: which node of the tree it is put into, which of the node's mistakes,
    where, and in words.
    """

    node: int
    choice: int
    line: int
    words: str


def mutations(source: str) -> list[Mutation]:
    """Return every mistake that can be put into ``source``, in order."""
    return [
        Mutation(
            node=number, choice=choice, line=getattr(node, "lineno", 0), words=words
        )
        for number, node in enumerate(_nodes(ast.parse(source)))
        for choice, (words, _) in enumerate(_changes(node))
    ]


def mutated(source: str, mutation: Mutation) -> ast.Module:
    """Return the tree of ``source`` with that one mistake in it."""
    tree = ast.parse(source)
    node = list(_nodes(tree))[mutation.node]
    _, change = list(_changes(node))[mutation.choice]
    _replace(tree, node, change(copy.deepcopy(node)))
    return ast.fix_missing_locations(tree)


def _nodes(tree: ast.AST) -> Iterator[ast.AST]:
    """Yield the nodes in order, those of annotations and of texts left out."""
    yield tree
    for field, value in ast.iter_fields(tree):
        if field in {"annotation", "returns", "type_comment"} or isinstance(
            tree, ast.JoinedStr
        ):
            continue
        for child in value if isinstance(value, list) else [value]:
            if (
                isinstance(child, ast.AST)
                and not _names_types(child)
                and not _declares(child)
            ):
                yield from _nodes(child)


def _declares(node: ast.AST) -> bool:
    return isinstance(node, ast.keyword) and node.arg in {
        "frozen",
        "kw_only",
        "omit_defaults",
        "eq",
        "strict",
        "slots",
    }


def _names_types(node: ast.AST) -> bool:
    """Tell whether a statement gives a name to a type: an alias of Annotated or
    Literal.
    """
    value = node.value if isinstance(node, ast.Assign) else None
    return (
        isinstance(value, ast.Subscript)
        and isinstance(value.value, ast.Name)
        and value.value.id in {"Annotated", "Literal"}
    )


def _changes(node: ast.AST) -> Iterator[tuple[str, Change]]:
    """Yield the mistakes that one node can hold, each in words and as what makes it."""
    if isinstance(node, ast.Compare) and type(node.ops[0]) in _COMPARED:
        other = _COMPARED[type(node.ops[0])]
        yield (
            f"{type(node.ops[0]).__name__} → {other.__name__}",
            lambda one: _with(one, ops=[other(), *one.ops[1:]]),
        )
    elif (
        isinstance(node, ast.BinOp)
        and type(node.op) in _RECKONED
        and not _is_text(node.left)
    ):
        operator = _RECKONED[type(node.op)]
        yield (
            f"{type(node.op).__name__} → {operator.__name__}",
            lambda one: _with(one, op=operator()),
        )
    elif isinstance(node, ast.BoolOp):
        joined: ast.boolop = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        yield (
            f"{type(node.op).__name__} → {type(joined).__name__}",
            lambda one: _with(one, op=joined),
        )
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
        yield f"{type(node.op).__name__} left out", lambda one: one.operand
    elif isinstance(node, ast.If | ast.IfExp | ast.While) and isinstance(
        node.test, ast.Name | ast.Call | ast.Attribute
    ):
        yield (
            "condition the other way round",
            lambda one: _with(one, test=ast.UnaryOp(ast.Not(), one.test)),
        )
    elif (
        isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in _CALLED
    ):
        name = _CALLED[node.func.id]
        yield (
            f"{node.func.id} → {name}",
            lambda one: _with(one, func=ast.Name(name, ast.Load())),
        )
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        yield (
            f"{node.value} → {not node.value}",
            lambda one: _with(one, value=not one.value),
        )
    elif isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        yield (
            f"{node.value} → {_more(node.value)}",
            lambda one: _with(one, value=_more(one.value)),
        )


def _more(value: float) -> float:
    return (
        value + 1
        if isinstance(value, int)
        else value * 1.25 + (0.5 if value == 0 else 0.0)
    )


def _with(node: Any, **fields: Any) -> Any:
    for name, value in fields.items():
        setattr(node, name, value)
    return node


def _is_text(node: ast.AST) -> bool:
    return isinstance(node, ast.JoinedStr) or (
        isinstance(node, ast.Constant) and isinstance(node.value, str)
    )


def _replace(tree: ast.AST, old: ast.AST, new: ast.AST) -> None:
    for parent in ast.walk(tree):
        for field, value in ast.iter_fields(parent):
            if value is old:
                setattr(parent, field, new)
            elif isinstance(value, list):
                setattr(parent, field, [new if one is old else one for one in value])
