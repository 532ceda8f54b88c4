"""Mutants: a module's tree with one thing in it turned round."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from copy import copy
from pathlib import Path

from msgspec import Struct

TURNED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
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
EXCHANGED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
}
SWAPPED = {"min": "max", "max": "min", "any": "all", "all": "any"}
UNDECIDED = "CannotTell"
# Calls that give the same whichever way round.
COMMUTING = {
    "minimum", "maximum", "hypot", "isclose", "isdisjoint", "gcd", "dist", "distance", "dwithin",
    "intersection", "intersects", "union", "touches", "array_equal", "is_same", "_is_same", "_meet",
}  # fmt: skip
LEAVES = (ast.Return, ast.Continue, ast.Break)
# Types, wording and decorators are not what is done.
PASSED_OVER = {"annotation", "returns", "decorator_list", "format_spec", "bases", "exc"}
CONTEXT = 30


class Place(Struct, frozen=True, kw_only=True):
    """A node, where it hangs, the function it stands in (dotted) and the text it is part of."""

    parent: ast.AST
    field: str
    index: int | None
    node: ast.AST
    function: str
    around: ast.AST


class Mutant(Struct, frozen=True, kw_only=True):
    """The change number `which` at place number `place` of a module."""

    path: str
    place: int
    which: int
    line: int
    function: str
    kind: str

    def __str__(self) -> str:
        return f"{self.path}:{self.line}: {self.kind}"


class Made(Struct, frozen=True, kw_only=True):
    """A mutant's tree, and what it says before and after the change."""

    tree: ast.Module
    before: str
    after: str


def mutants_of(path: Path, root: Path) -> list[Mutant]:
    """List every mutant of a module, in the order of its text."""
    named = path.relative_to(root).as_posix()
    return [
        Mutant(
            path=named,
            place=number,
            which=which,
            line=getattr(place.node, "lineno", 0),
            function=place.function,
            kind=kind,
        )
        for number, place in enumerate(_places(ast.parse(path.read_text("utf-8"))))
        for which, (kind, _) in enumerate(_changes(place.node))
    ]


def make(mutant: Mutant, root: Path) -> Made:
    """Make the tree of a mutant from its module's text."""
    tree = ast.parse((root / mutant.path).read_text("utf-8"))
    place = list(_places(tree))[mutant.place]
    before = ast.unparse(place.around)
    _, changed = list(_changes(place.node))[mutant.which]
    ast.copy_location(changed, place.node)
    if place.index is None:
        setattr(place.parent, place.field, changed)
    else:
        getattr(place.parent, place.field)[place.index] = changed
    ast.fix_missing_locations(tree)
    around = changed if place.around is place.node else place.around
    was, becomes = _shortened(before, ast.unparse(around))
    return Made(tree=tree, before=was, after=becomes)


def _places(tree: ast.Module) -> Iterator[Place]:
    yield from _below(tree, "", tree)


def _below(parent: ast.AST, function: str, around: ast.AST) -> Iterator[Place]:
    for field, value in ast.iter_fields(parent):
        if field in PASSED_OVER:
            continue
        for index, node in enumerate(value if isinstance(value, list) else [value]):
            if not isinstance(node, ast.AST) or _is_wording(node):
                continue
            # A statement with others below it is told by the expression, anything else whole.
            inner = node if isinstance(node, ast.stmt) or hasattr(parent, "body") else around
            where = index if isinstance(value, list) else None
            yield Place(
                parent=parent, field=field, index=where, node=node, function=function, around=inner
            )
            named = isinstance(node, ast.FunctionDef | ast.ClassDef)
            within = f"{function}.{node.name}".lstrip(".") if named else function
            yield from _below(node, within, inner)


def _is_wording(node: ast.AST) -> bool:
    """Say whether a node holds text for readers, asserts something, or asks for types only."""
    match node:
        case ast.JoinedStr() | ast.Import() | ast.ImportFrom() | ast.Raise() | ast.Assert():
            return True
        case ast.If(test=ast.Name(id="TYPE_CHECKING")):
            return True
        case ast.AnnAssign(value=None):
            return True
        # Two lists must be equally long, a value's fields be named: both forbid, and do nothing.
        case ast.keyword(arg="strict" | "kw_only"):
            return True
    return False


def _changes(node: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    """Yield every change to a node: its kind, and what takes the node's place."""
    match node:
        case ast.Compare(ops=ops):
            for at, op in enumerate(ops):
                for turned in TURNED[type(op)]:
                    yield (
                        "comparison turned",
                        _with(node, ops=[*ops[:at], turned(), *ops[at + 1 :]]),
                    )
        case ast.Constant(value=bool(value)):
            yield "constant", ast.Constant(not value)
        case ast.Constant(value=int(value)):
            yield "constant", ast.Constant(value + 1)
            yield "constant", ast.Constant(value - 1)
        case ast.Constant(value=float(value)):
            yield "constant", ast.Constant(value * 1.1 if value else 1.0)
        case ast.BoolOp(op=op):
            yield "and/or", _with(node, op=ast.Or() if isinstance(op, ast.And) else ast.And())
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            yield "not dropped", operand
        case ast.BinOp(op=op) if type(op) in EXCHANGED:
            yield "arithmetic", _with(node, op=EXCHANGED[type(op)]())
        case ast.Call(func=ast.Name(id=name)) if name == UNDECIDED:
            yield "cannot tell", ast.Constant(None)
        case ast.Call(func=ast.Name(id=name)) if name in SWAPPED:
            yield "choice", _with(node, func=ast.Name(SWAPPED[name], ast.Load()))
        case ast.Call(func=ast.Name(id=name) | ast.Attribute(attr=name)) if name in COMMUTING:
            return
        case ast.Call(args=[ast.expr() as first, ast.expr() as second, *rest]):
            if ast.dump(first) != ast.dump(second) and not isinstance(first, ast.Starred):
                yield "arguments", _with(node, args=[second, first, *rest])
        case ast.If(body=[leaf], orelse=[]) if isinstance(leaf, LEAVES):
            yield "early return", ast.Pass()


def _with(node: ast.AST, **changed: object) -> ast.AST:
    made = copy(node)
    for field, value in changed.items():
        setattr(made, field, value)
    return made


def _count_same(one: str, other: str) -> int:
    unlike = (place for place, (a, b) in enumerate(zip(one, other, strict=False)) if a != b)
    return next(unlike, min(len(one), len(other)))


def _shortened(before: str, after: str) -> tuple[str, str]:
    """Cut from two texts what they share, but for a little around what differs."""
    start = max(_count_same(before, after) - CONTEXT, 0)
    same = _count_same(before[:start:-1], after[:start:-1])
    end = max(same - CONTEXT, 0)
    return tuple(  # type: ignore[return-value]
        " ".join(text[start : len(text) - end].split()) for text in (before, after)
    )
