"""Every sentence that the source gives to a finding, found by reading the source.

An expression is followed to the texts that it may be: through names, branches, tables, helpers and their callers. What
is known only when it runs is a place with an example in it.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from sourceread import FIELDS, SINKS, SOURCE, Function, Module, called, given, imported, modules

DEPTH = 9
MOST = 80
_FORMAT = {"f": "3.5", "g": "3.5", "e": "2e-3", "d": "4", "%": "12 %"}


@dataclass(frozen=True)
class Text:
    """Words that stand in the source."""

    words: str


@dataclass(frozen=True)
class Place:
    """What is known only when it runs, with an example of it."""

    sample: str


@dataclass(frozen=True)
class Choice:
    """One of several, each a text with its places."""

    options: tuple[Parts, ...]


Parts = tuple[Text | Place | Choice, ...]


@dataclass(frozen=True)
class Sentence:
    """One sentence that a room may say."""

    parts: Parts
    where: str

    @property
    def words(self) -> bool:
        """Whether there is a word of it in the source."""
        return any(re.search(r"[A-Za-z]{2}", t) for t in texts(self.parts))

    def samples(self) -> list[str]:
        """Return examples of it in which each of its choices is made at least once."""
        count = max([1, *(len(c.options) for c in choices(self.parts))])
        return list(dict.fromkeys(_concrete(self.parts, k) for k in range(count)))


def texts(parts: Parts) -> Iterator[str]:
    for part in parts:
        if isinstance(part, Text):
            yield part.words
        elif isinstance(part, Choice):
            for option in part.options:
                yield from texts(option)


def choices(parts: Parts) -> Iterator[Choice]:
    for part in parts:
        if isinstance(part, Choice):
            yield part
            for option in part.options:
                yield from choices(option)


def _concrete(parts: Parts, k: int) -> str:
    out = ""
    for part in parts:
        if isinstance(part, Text):
            out += part.words
        elif isinstance(part, Place):
            out += part.sample
        else:
            out += _concrete(part.options[k % len(part.options)], k // len(part.options) + k)
    return out


class _Follow:
    """Follow an expression to the texts that it may be."""

    def __init__(self) -> None:
        self.busy: list[int] = []

    def of(self, node: ast.expr, at: Function | None, module: Module, depth: int = 0) -> list[Sentence]:
        """Return what the expression may be; a sentence without words where that cannot be followed."""
        where = f"{module.path.relative_to(SOURCE)}:{getattr(node, 'lineno', 0)}"
        opaque = [Sentence((Place(_sample(node)),), where)]
        if depth > DEPTH or id(node) in self.busy:
            return opaque
        self.busy.append(id(node))
        try:
            found = self._of(node, at, module, depth, where)
        finally:
            self.busy.pop()
        return (found or opaque)[:MOST]

    def _of(self, node: ast.expr, at: Function | None, module: Module, depth: int, where: str) -> list[Sentence]:
        match node:
            case ast.Constant(value=str(text)):
                return [Sentence((Text(text),), where)]
            case ast.Constant(value=int(number)):
                return [Sentence((Place(str(number)),), where)]
            case ast.JoinedStr(values=values):
                return self._joined(list(values), at, module, depth, where)
            case ast.BinOp(left=left, op=ast.Add(), right=right):
                return self._joined([left, right], at, module, depth, where)
            case ast.IfExp(body=body, orelse=orelse):
                return self.of(body, at, module, depth + 1) + self.of(orelse, at, module, depth + 1)
            case ast.BoolOp(op=ast.Or(), values=values):
                return [s for v in values for s in self.of(v, at, module, depth + 1)]
            case ast.NamedExpr(value=value):
                return self.of(value, at, module, depth + 1)
            case ast.Name(id=name):
                return self._named(name, at, module, depth)
            case ast.Subscript(value=value, slice=index):
                return self._item(value, index, at, module, depth)
            case ast.Attribute(attr=name):
                return self._attribute(name, module, depth)
            case ast.Call():
                return self._call(node, at, module, depth, where)
        return []

    def _joined(
        self, values: list[ast.expr], at: Function | None, module: Module, depth: int, where: str
    ) -> list[Sentence]:
        """Return texts put together; what is glued to a word is no place but makes a sentence of its own."""
        out: list[Parts] = [()]
        for k, value in enumerate(values):
            if isinstance(value, ast.FormattedValue):
                parts = self._place(value, at, module, depth)
            else:
                parts = [s.parts for s in self.of(value, at, module, depth + 1)]
            glued = len(parts) > 1 and self._glued(parts, values, k)
            if len(parts) > 1 and isinstance(value, ast.FormattedValue) and not glued:
                parts = [(Choice(tuple(parts)),)]
            out = [a + b for a in out for b in parts][:MOST]
        return [Sentence(parts, where) for parts in out]

    @staticmethod
    def _glued(parts: list[Parts], values: list[ast.expr], k: int) -> bool:
        left, right = (values[k - 1] if k else None), (values[k + 1] if k + 1 < len(values) else None)
        if any(not "".join(texts(p)) for p in parts):  # empty at times
            return True
        return bool(
            (isinstance(left, ast.Constant) and re.search(r"\w$", str(left.value)))
            or (isinstance(right, ast.Constant) and re.match(r"\w", str(right.value)))
        )

    def _place(self, node: ast.FormattedValue, at: Function | None, module: Module, depth: int) -> list[Parts]:
        if node.format_spec is not None:
            given = getattr(node.format_spec, "values", ())
            spec = "".join(str(v.value) for v in given if isinstance(v, ast.Constant))
            if spec[-1:] in _FORMAT:
                return [(Place("4" if spec.endswith(".0f") else _FORMAT[spec[-1]]),)]
        return [s.parts for s in self.of(node.value, at, module, depth + 1)]

    def _named(self, name: str, at: Function | None, module: Module, depth: int) -> list[Sentence]:
        inside = at
        while inside is not None:
            if name in inside.names:
                out = [s for v in inside.names[name] for s in self.of(v, inside, module, depth + 1)]
                for more in inside.added.get(name, ()):
                    adds = self.of(more, inside, module, depth + 1)
                    out += [Sentence(a.parts + b.parts, a.where) for a in out for b in adds]
                return out
            if name in inside.parameters or name in inside.keywords:
                return self._parameter(name, inside, depth)
            inside = inside.outer
        if name in module.names:
            return [s for v in module.names[name] for s in self.of(v, None, module, depth + 1)]
        there = imported(module, name)
        if there is not None and there[1] in there[0].names:
            return [s for v in there[0].names[there[1]] for s in self.of(v, None, there[0], depth + 1)]
        return []

    def _parameter(self, name: str, of: Function, depth: int) -> list[Sentence]:
        """Return what callers give for a parameter."""
        called = of.node.name
        if called == "__init__" or called.startswith("__"):
            return []
        out: list[Sentence] = []
        for module in modules():
            if module is not of.module and imported(module, called) != (of.module, called):
                continue
            for call, inside in module.calls.get(called, ()):
                given = self._argument(call, name, of)
                if given is not None:
                    out += self.of(given, inside, module, depth + 1)
        return out

    @staticmethod
    def _argument(call: ast.Call, name: str, of: Function) -> ast.expr | None:
        for word in call.keywords:
            if word.arg == name:
                return word.value
        if name in of.parameters:
            k = of.parameters.index(name)
            if k < len(call.args) and not any(isinstance(a, ast.Starred) for a in call.args[: k + 1]):
                return call.args[k]
        usual = of.default(name)
        return None if isinstance(usual, ast.Constant) and usual.value == "" else usual  # nothing is never said

    def _item(
        self, value: ast.expr, index: ast.expr, at: Function | None, module: Module, depth: int
    ) -> list[Sentence]:
        out: list[Sentence] = []
        for holder, inside, there in self._holders(value, at, module, depth):
            match holder:
                case ast.Dict(keys=keys, values=values):
                    known = [
                        v for k, v in zip(keys, values, strict=True)
                        if isinstance(index, ast.Constant) and isinstance(k, ast.Constant) and k.value == index.value
                    ]  # fmt: skip
                    for v in known or values:
                        out += self.of(v, inside, there, depth + 1)
                case ast.Tuple(elts=elts) | ast.List(elts=elts):
                    number = index.value if isinstance(index, ast.Constant) else None
                    one = isinstance(number, int) and -len(elts) <= number < len(elts)
                    for v in [elts[number]] if one and isinstance(number, int) else elts:
                        out += self.of(v, inside, there, depth + 1)
                case ast.ListComp(elt=elt) | ast.GeneratorExp(elt=elt):
                    out += self.of(elt, inside, there, depth + 1)
        return out

    def _holders(
        self, node: ast.expr, at: Function | None, module: Module, depth: int
    ) -> list[tuple[ast.expr, Function | None, Module]]:
        """Return the lists, tuples and tables that an expression may be."""
        if depth > DEPTH:
            return []
        match node:
            case ast.Dict() | ast.Tuple() | ast.List() | ast.ListComp() | ast.GeneratorExp():
                return [(node, at, module)]
            case ast.IfExp(body=body, orelse=orelse):
                return [h for b in (body, orelse) for h in self._holders(b, at, module, depth + 1)]
            case ast.Subscript(value=value):
                out = []
                for holder, inside, home in self._holders(value, at, module, depth + 1):
                    inner = holder.values if isinstance(holder, ast.Dict) else getattr(holder, "elts", [])
                    for v in [holder.elt] if isinstance(holder, ast.ListComp | ast.GeneratorExp) else inner:
                        out += self._holders(v, inside, home, depth + 1)
                return out
            case ast.Name(id=name):
                inside = at
                while inside is not None:
                    if name in inside.names:
                        return [h for v in inside.names[name] for h in self._holders(v, inside, module, depth + 1)]
                    inside = inside.outer
                home, own = imported(module, name) or (module, name)
                return [h for v in home.names.get(own, ()) for h in self._holders(v, None, home, depth + 1)]
            case ast.Call():
                return [
                    h for f in self._functions(node, module)
                    for r in f.returns for h in self._holders(r, f, f.module, depth + 1)
                ]  # fmt: skip
        return []

    def _functions(self, node: ast.Call, module: Module) -> list[Function]:
        name = called(node)
        if name in module.functions:
            return module.functions[name]
        there = imported(module, name)
        return [] if there is None else there[0].functions.get(there[1], [])

    def _attribute(self, name: str, module: Module, depth: int) -> list[Sentence]:
        """Return what the room gives to a field of that name."""
        return [
            s for value, inside, home in (given(module.room).get(name, ()) if name in FIELDS else ())
            for s in self.of(value, inside, home, depth + 2) if s.words
        ]  # fmt: skip

    def _call(self, node: ast.Call, at: Function | None, module: Module, depth: int, where: str) -> list[Sentence]:
        name = called(node)
        if name == "shown" and len(node.args) > 1 and isinstance(node.args[1], ast.Constant):
            return [Sentence((Place(_shown(node)),), where)]
        if name in ("sentence", "str", "strip", "rstrip", "capitalize") and (node.args or name != "str"):
            inner = node.args[0] if node.args else node.func.value if isinstance(node.func, ast.Attribute) else None
            return [] if inner is None else self.of(inner, at, module, depth + 1)
        if name == "get" and isinstance(node.func, ast.Attribute):
            values = self._item(node.func.value, ast.Name("_any"), at, module, depth)
            return values + [s for a in node.args[1:2] for s in self.of(a, at, module, depth + 1)]
        if name == "join" and isinstance(node.func, ast.Attribute) and isinstance(node.func.value, ast.Constant):
            joint = str(node.func.value.value)
            each = [p.parts for p in self._item(node.args[0], ast.Name("_any"), at, module, depth)]
            if not each:
                return [Sentence((Place("qz1" + joint + "qz2"),), where)]
            two = [(*a, Text(joint), *b) for a, b in zip(each, each[1:] + each[:1], strict=True)]
            return [Sentence(p, where) for p in (each + two)[:MOST]]
        return [s for f in self._functions(node, module) for r in f.returns for s in self.of(r, f, f.module, depth + 1)]


def _shown(node: ast.Call) -> str:
    unit, number = str(node.args[1].value), "12.5"  # type: ignore[attr-defined]
    digits = node.args[2] if len(node.args) > 2 else None
    if isinstance(digits, ast.Constant) and digits.value == 0:
        number = "12"
    return f"{number}{'' if unit == '°' else ' '}{unit}"


def _sample(node: ast.expr) -> str:
    if isinstance(node, ast.Call) and called(node) in ("len", "sum", "round", "floor", "ceil", "int", "min", "max"):
        return "4"
    name = node.attr if isinstance(node, ast.Attribute) else node.id if isinstance(node, ast.Name) else ""
    counts = re.search(r"count|number|times|days|pulls|parts|plies|minutes", name)
    if counts or isinstance(node, ast.BinOp | ast.Constant):
        return "4"
    if name == "currency":
        return "EUR"
    return "qz1"


@cache
def sentences_of(room: str) -> tuple[Sentence, ...]:
    """Return every sentence that a room gives to a finding, as far as it can be followed.

    Parameters
    ----------
    room
        Folder under the package.
    """
    out: dict[Parts, Sentence] = {}
    for module in modules():
        if module.room != room:
            continue
        for name, fields in SINKS.items():
            for call, inside in module.calls.get(name, ()):
                for word in call.keywords:
                    if word.arg in fields:
                        for found in _Follow().of(word.value, inside, module):
                            out.setdefault(found.parts, found)
    return tuple(out.values())
