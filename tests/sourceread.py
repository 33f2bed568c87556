"""The source of the rooms, read: functions with their names and returns, calls, and what is imported from where."""

from __future__ import annotations

import ast
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

SOURCE = Path(__file__).parents[1] / "src" / "bagside"
ROOMS = (
    "mould", "drape", "cutting", "planning", "geometry", "camera", "cure", "bagging", "laminate", "joining",
    "finishing", "ledger", "records",
)  # fmt: skip
SINKS = {
    "Finding": ("place", "what", "why", "do"),
    "Gate": ("what", "why", "do"),
}
"""Arguments of these are sentences that pages show."""
FIELDS = frozenset(["words", "effect", "why", "do", "what", "note", "says", "tells", "next_time", "reason"])
"""Fields whose texts are said within a finding."""
TYPED = {"ledger": frozenset(["what", "why"])}
"""Of these, by room, what a person types into an event, or what no page shows."""


@dataclass
class Module:
    """One file, read."""

    path: Path
    tree: ast.Module
    functions: dict[str, list[Function]] = field(default_factory=dict)
    names: dict[str, list[ast.expr]] = field(default_factory=dict)
    imports: dict[str, tuple[str, str]] = field(default_factory=dict)
    calls: dict[str, list[tuple[ast.Call, Function | None]]] = field(default_factory=dict)
    room: str = ""
    """The folder under the package."""


@dataclass
class Function:
    """One function, read; its names are those of the function around it too."""

    node: ast.FunctionDef | ast.AsyncFunctionDef
    module: Module
    outer: Function | None
    method: bool
    names: dict[str, list[ast.expr]] = field(default_factory=dict)
    added: dict[str, list[ast.expr]] = field(default_factory=dict)
    returns: list[ast.expr] = field(default_factory=list)

    @property
    def parameters(self) -> list[str]:
        a = self.node.args
        return [p.arg for p in (*a.posonlyargs, *a.args)][self.method :]

    @property
    def keywords(self) -> list[str]:
        return [p.arg for p in self.node.args.kwonlyargs]

    def default(self, name: str) -> ast.expr | None:
        a = self.node.args
        positional = [p.arg for p in (*a.posonlyargs, *a.args)]
        if name in positional:
            k = positional.index(name) - len(positional) + len(a.defaults)
            return a.defaults[k] if k >= 0 else None
        return a.kw_defaults[self.keywords.index(name)] if name in self.keywords else None


class _Reader(ast.NodeVisitor):
    def __init__(self, module: Module) -> None:
        self.module = module
        self.inside: Function | None = None
        self.of_class = False

    def visit_ClassDef(self, node: ast.ClassDef) -> None:
        before, self.of_class = self.of_class, True
        self.generic_visit(node)
        self.of_class = before

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        still = any(isinstance(d, ast.Name) and d.id == "staticmethod" for d in node.decorator_list)
        found = Function(node, self.module, self.inside, self.of_class and not still)
        self.module.functions.setdefault(node.name, []).append(found)
        before, self.inside, of_class, self.of_class = self.inside, found, self.of_class, False
        self.generic_visit(node)
        self.inside, self.of_class = before, of_class

    visit_AsyncFunctionDef = visit_FunctionDef  # type: ignore[assignment]  # noqa: N815

    def _assigned(self, target: ast.expr, value: ast.expr) -> None:
        names = self.module.names if self.inside is None else self.inside.names
        if isinstance(target, ast.Name):
            names.setdefault(target.id, []).append(value)
        elif isinstance(target, ast.Tuple | ast.List):
            for k, one in enumerate(target.elts):
                self._assigned(one, ast.Subscript(value=value, slice=ast.Constant(k), ctx=ast.Load()))

    def visit_Assign(self, node: ast.Assign) -> None:
        for target in node.targets:
            self._assigned(target, node.value)
        self.generic_visit(node)

    def visit_AnnAssign(self, node: ast.AnnAssign) -> None:
        if node.value is not None:
            self._assigned(node.target, node.value)
        self.generic_visit(node)

    def visit_NamedExpr(self, node: ast.NamedExpr) -> None:
        self._assigned(node.target, node.value)
        self.generic_visit(node)

    def visit_For(self, node: ast.For) -> None:
        if isinstance(node.iter, ast.Tuple | ast.List | ast.Name):
            self._assigned(node.target, ast.Subscript(value=node.iter, slice=ast.Name("_any"), ctx=ast.Load()))
        self.generic_visit(node)

    def visit_AugAssign(self, node: ast.AugAssign) -> None:
        if isinstance(node.target, ast.Name) and self.inside is not None and isinstance(node.op, ast.Add):
            self.inside.added.setdefault(node.target.id, []).append(node.value)
        self.generic_visit(node)

    def visit_Return(self, node: ast.Return) -> None:
        if self.inside is not None and node.value is not None:
            self.inside.returns.append(node.value)
        self.generic_visit(node)

    def visit_ImportFrom(self, node: ast.ImportFrom) -> None:
        if node.module and node.module.startswith("bagside"):
            for name in node.names:
                self.module.imports[name.asname or name.name] = (node.module, name.name)

    def visit_Call(self, node: ast.Call) -> None:
        name = called(node)
        if name:
            self.module.calls.setdefault(name, []).append((node, self.inside))
        self.generic_visit(node)


def called(node: ast.Call) -> str:
    return node.func.id if isinstance(node.func, ast.Name) else (
        node.func.attr if isinstance(node.func, ast.Attribute) else ""
    )  # fmt: skip


@cache
def _module(path: Path) -> Module:
    found = Module(path, ast.parse(path.read_text(encoding="utf-8")), room=path.relative_to(SOURCE).parts[0])
    _Reader(found).visit(found.tree)
    return found


@cache
def modules() -> tuple[Module, ...]:
    return tuple(_module(p) for room in ROOMS for p in sorted((SOURCE / room).rglob("*.py")))


@cache
def given(room: str) -> dict[str, list[tuple[ast.expr, Function | None, Module]]]:
    """Return what a room gives to its fields of sentences, other than those of findings, by their names."""
    out: dict[str, list[tuple[ast.expr, Function | None, Module]]] = {}
    for module in modules():
        if module.room == room:
            for called, calls in module.calls.items():
                for call, inside in calls if called not in SINKS else ():
                    for word in call.keywords:
                        if word.arg in FIELDS - TYPED.get(room, frozenset()):
                            out.setdefault(word.arg, []).append((word.value, inside, module))
    return out


def imported(module: Module, name: str) -> tuple[Module, str] | None:
    if name not in module.imports:
        return None
    package, own = module.imports[name]
    base = SOURCE.joinpath(*package.split(".")[1:])
    for path in (base.with_suffix(".py"), base / "__init__.py"):
        if path.is_file():
            there = _module(path)
            if own in there.functions or own in there.names:
                return there, own
            return imported(there, own)
    return None
