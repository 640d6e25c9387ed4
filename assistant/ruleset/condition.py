"""The condition language: one Python-syntax expression, made safe and typed.

A condition is parsed with `ast`, never evaluated as Python. What may stand in it:

    brake_fluid_level == 'empty'          a word of a closed list, also != and in [...]
    'cut' in tyre_looks                   one pick of a "which of these" question
    tread_depth < tread_least             a number or a date against a named limit
    cut_length - cut_allowed > nothing    + and - of numbers, against a named limit
    pedal_sinks                           a yes/no question, or what a rule concludes
    fitted(rear_fog)                      it is there / it is not there
    known(tread_depth)                    it was answered / "don't know" or "can't look"
    somewhere(wheel_wet == 'yes')         at one wheel, lamp or seat at least
    and, or, not, brackets

The result is a tree of the small classes below, in which every name is resolved and
every limit is replaced by its value. Dates are day numbers (datetime.date.toordinal).
"""

from __future__ import annotations

import ast
import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from assistant.errors import near_name

_MAX_NODES = 400
_OPS = {ast.Lt: "<", ast.LtE: "<=", ast.Gt: ">", ast.GtE: ">=", ast.Eq: "==", ast.NotEq: "!="}
_FLIP = {"<": ">", "<=": ">=", ">": "<", ">=": "<=", "==": "==", "!=": "!="}


class ConditionError(ValueError):
    """A condition that cannot be used; `offset` is its place in the text, from 0."""

    def __init__(self, message: str, offset: int = 0) -> None:
        super().__init__(message)
        self.offset = offset


@dataclass(frozen=True)
class NameKind:
    """What a name in a condition stands for.

    kind: "word" (yes_no, one_of), "picks" (some_of), "number" (quantity, count, date, and
    numbers worked out), "conclusion" (a rule), "limit" or "text" (a note: not usable).
    """

    kind: str
    axis: str | None = None
    words: tuple[str, ...] = ()
    unit: str = ""
    value: float = 0.0
    can_be_absent: bool = False


@dataclass(frozen=True)
class And:
    parts: tuple[Condition, ...]


@dataclass(frozen=True)
class Or:
    parts: tuple[Condition, ...]


@dataclass(frozen=True)
class Not:
    part: Condition


@dataclass(frozen=True)
class Word:
    """The answer `name` is one of `words`; `all_words` is its closed vocabulary."""

    name: str
    words: tuple[str, ...]
    all_words: tuple[str, ...] = field(compare=False)


@dataclass(frozen=True)
class Has:
    """The "which of these" answer `name` includes `pick`."""

    name: str
    pick: str


@dataclass(frozen=True)
class Number:
    """The number `name` compared with `value`; `op` is one of < <= > >= ==."""

    name: str
    op: str
    value: float
    limit: str = field(default="", compare=False)


@dataclass(frozen=True)
class Fitted:
    name: str


@dataclass(frozen=True)
class Known:
    name: str


@dataclass(frozen=True)
class Concluded:
    """Rule `name` has concluded."""

    name: str


@dataclass(frozen=True)
class Somewhere:
    """`part` holds at one member of `axis` at least."""

    axis: str
    part: Condition
    text: str

    @property
    def name(self) -> str:
        """The name of the inference that says whether it holds at one part."""
        return f"somewhere({self.text})"


Condition = And | Or | Not | Word | Has | Number | Fitted | Known | Concluded | Somewhere


def children(node: Condition) -> tuple[Condition, ...]:
    """The conditions directly inside a condition."""
    if isinstance(node, And | Or):
        return node.parts
    if isinstance(node, Not | Somewhere):
        return (node.part,)
    return ()


def leaves(node: Condition) -> Iterator[Word | Has | Number | Fitted | Known | Concluded]:
    """All tests in a condition, from left to right, those inside somewhere() too."""
    if isinstance(node, Word | Has | Number | Fitted | Known | Concluded):
        yield node
    for child in children(node):
        yield from leaves(child)


def names_in(node: Condition) -> Iterator[str]:
    """All names a condition reads, that of each somewhere() too."""
    if not isinstance(node, And | Or | Not):
        yield node.name
    for child in children(node):
        yield from names_in(child)


@dataclass(frozen=True)
class Sum:
    """A sum of numbers of the ruleset: (sign, name) pairs. It becomes a worked-out number."""

    name: str
    terms: tuple[tuple[int, str], ...]
    axis: str | None


class _Parser:
    def __init__(self, text: str, names: Mapping[str, NameKind]) -> None:
        self.text = text
        self.names = names
        self.sums: dict[str, Sum] = {}

    def fail(self, message: str, node: ast.AST) -> ConditionError:
        return ConditionError(message, getattr(node, "col_offset", 0))

    def kind_of(self, node: ast.Name) -> NameKind:
        if node.id not in self.names:
            hint = near_name(node.id, self.names)
            raise self.fail(f"nothing is called {node.id!r}.{hint}", node)
        return self.names[node.id]

    def condition(self, node: ast.expr) -> Condition:
        if isinstance(node, ast.BoolOp):
            parts = tuple(self.condition(v) for v in node.values)
            return And(parts) if isinstance(node.op, ast.And) else Or(parts)
        if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
            return Not(self.condition(node.operand))
        if isinstance(node, ast.Compare):
            return self.comparison(node)
        if isinstance(node, ast.Call):
            return self.call(node)
        if isinstance(node, ast.Name):
            return self.bare(node)
        raise self.fail("this is neither a comparison, a name, nor and, or, not", node)

    def bare(self, node: ast.Name) -> Condition:
        kind = self.kind_of(node)
        if kind.kind == "conclusion":
            return Concluded(node.id)
        if kind.kind == "word" and kind.words == ("yes", "no"):
            return Word(node.id, ("yes",), kind.words)
        raise self.fail(f"{node.id!r} alone is not true or false; compare it with something", node)

    def call(self, node: ast.Call) -> Condition:
        if not isinstance(node.func, ast.Name) or node.keywords or len(node.args) != 1:
            raise self.fail("only fitted(x), known(x) and somewhere(...) may be called", node)
        what, argument = node.func.id, node.args[0]
        if what == "somewhere":
            part = self.condition(argument)
            axes = {self.names[leaf.name].axis for leaf in leaves(part)} - {None}
            if len(axes) != 1:
                raise self.fail("somewhere(...) needs answers that are given for each part", node)
            (axis,) = axes
            return Somewhere(str(axis), part, ast.unparse(argument))
        if what not in ("fitted", "known"):
            hint = near_name(what, ["fitted", "known", "somewhere"])
            raise self.fail(f"there is no function {what!r}.{hint}", node)
        if not isinstance(argument, ast.Name):
            raise self.fail(f"{what}(...) takes the name of a question", node)
        kind = self.kind_of(argument)
        if kind.kind not in ("word", "picks", "number", "text"):
            raise self.fail(f"{what}({argument.id}): this is not a question", argument)
        if what == "fitted" and not kind.can_be_absent:
            raise self.fail(
                f"fitted({argument.id}): the question does not allow 'not fitted'", argument
            )
        return Fitted(argument.id) if what == "fitted" else Known(argument.id)

    def comparison(self, node: ast.Compare) -> Condition:
        parts: list[Condition] = []
        left = node.left
        for op, right in zip(node.ops, node.comparators, strict=True):
            parts.append(self.one_comparison(left, op, right, node))
            left = right
        return parts[0] if len(parts) == 1 else And(tuple(parts))

    def one_comparison(
        self, left: ast.expr, op: ast.cmpop, right: ast.expr, node: ast.Compare
    ) -> Condition:
        if isinstance(op, ast.In | ast.NotIn):
            result = self.membership(left, right, node)
            return Not(result) if isinstance(op, ast.NotIn) else result
        symbol = _OPS.get(type(op))
        if symbol is None:
            raise self.fail("only < <= > >= == != and in may compare", node)
        if isinstance(left, ast.Constant) and not isinstance(right, ast.Constant):
            left, right, symbol = right, left, _FLIP[symbol]
        if isinstance(right, ast.Constant):
            return self.against_word(left, symbol, right)
        if self.is_limit(left) and not self.is_limit(right):
            left, right, symbol = right, left, _FLIP[symbol]
        if self.is_limit(right):
            assert isinstance(right, ast.Name)
            return self.number(left, symbol, right)
        raise self.fail(
            "a number is compared with a named limit; to compare two readings write "
            "first - second against a limit",
            node,
        )

    def is_limit(self, node: ast.expr) -> bool:
        return isinstance(node, ast.Name) and self.kind_of(node).kind == "limit"

    def membership(self, left: ast.expr, right: ast.expr, node: ast.AST) -> Condition:
        if isinstance(right, ast.List | ast.Tuple):
            if not isinstance(left, ast.Name):
                raise self.fail("the left side of 'in' is not a question", left)
            kind = self.kind_of(left)
            if kind.kind != "word":
                raise self.fail(f"{left.id!r} is not answered with one word of a list", left)
            words = tuple(self.word_of(kind, left.id, item) for item in right.elts)
            if not words or len(set(words)) != len(words):
                raise self.fail("the list is empty or names a word twice", right)
            return Word(left.id, words, kind.words)
        if isinstance(right, ast.Name) and isinstance(left, ast.Constant):
            kind = self.kind_of(right)
            if kind.kind != "picks":
                raise self.fail(f"{right.id!r} is not a 'which of these' question", right)
            return Has(right.id, self.word_of(kind, right.id, left))
        raise self.fail("write 'choice' in question, or question in ['a', 'b']", node)

    def word_of(self, kind: NameKind, name: str, node: ast.expr) -> str:
        if not isinstance(node, ast.Constant) or not isinstance(node.value, str):
            raise self.fail(f"{name!r} is answered with a word; write it in quotes", node)
        if node.value not in kind.words:
            hint = near_name(node.value, kind.words)
            raise self.fail(f"{node.value!r} is not an answer of {name!r}.{hint}", node)
        return node.value

    def against_word(self, left: ast.expr, symbol: str, right: ast.Constant) -> Condition:
        if not isinstance(left, ast.Name):
            raise self.fail("the left side is not the name of a question", left)
        kind = self.kind_of(left)
        if kind.kind == "number":
            raise self.fail(
                f"{left.id!r} is a number: compare it with a named limit, so that the figure "
                "carries its source",
                right,
            )
        if kind.kind != "word" or symbol not in ("==", "!="):
            raise self.fail(f"{left.id!r} cannot be compared in this way", left)
        test = Word(left.id, (self.word_of(kind, left.id, right),), kind.words)
        return Not(test) if symbol == "!=" else test

    def number(self, left: ast.expr, symbol: str, right: ast.Name) -> Condition:
        limit = self.kind_of(right)
        terms = self.terms(left, 1)
        kinds = [self.kind_of(name) for _, name in terms]
        for (_, term), kind in zip(terms, kinds, strict=True):
            if kind.kind != "number":
                raise self.fail(f"{term.id!r} is not a number", term)
            if kind.unit != limit.unit and not (limit.unit == "days" and kind.unit == "date"):
                raise self.fail(
                    f"{term.id!r} is in {kind.unit or 'no unit'} but the limit {right.id!r} is in "
                    f"{limit.unit or 'no unit'}",
                    term,
                )
        names = [term.id for _, term in terms]
        if len(set(names)) != len(names):
            raise self.fail("a reading may stand in a sum only once", left)
        if len(terms) == 1 and terms[0][0] == 1:
            name = names[0]
            if limit.unit == "days" and kinds[0].unit == "date":
                raise self.fail("a date is compared with a date", left)
        else:
            axes = {kind.axis for kind in kinds} - {None}
            if len(axes) > 1:
                raise self.fail("a sum may mix only readings of the same set of parts", left)
            name = ast.unparse(left)
            self.sums[name] = Sum(
                name,
                tuple((sign, node.id) for sign, node in terms),
                next(iter(axes), None),
            )
        if symbol == "!=":
            return Not(Number(name, "==", limit.value, right.id))
        return Number(name, symbol, limit.value, right.id)

    def terms(self, node: ast.expr, sign: int) -> list[tuple[int, ast.Name]]:
        if isinstance(node, ast.Name):
            return [(sign, node)]
        if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add | ast.Sub):
            inner = sign if isinstance(node.op, ast.Add) else -sign
            return self.terms(node.left, sign) + self.terms(node.right, inner)
        raise self.fail("only names, + and - may stand beside a limit", node)


def parse(text: str, names: Mapping[str, NameKind]) -> tuple[Condition, dict[str, Sum]]:
    """Parses one condition. Returns its tree and the sums it needs worked out.

    Raises ConditionError for anything outside the language, with the place in the text.
    """
    flat = " ".join(text.split("\n"))
    try:
        tree = ast.parse(flat, mode="eval")
    except (SyntaxError, ValueError, MemoryError, RecursionError) as error:
        offset = max(0, (getattr(error, "offset", 1) or 1) - 1)
        message = getattr(error, "msg", None) or str(error)
        raise ConditionError(f"this cannot be read as a condition: {message}", offset) from error
    try:
        if sum(1 for _ in ast.walk(tree)) > _MAX_NODES:
            raise ConditionError("the condition is too long; split it into several rules")
        parser = _Parser(flat, names)
        return parser.condition(tree.body), parser.sums
    except RecursionError as error:
        raise ConditionError("the condition is nested too deeply") from error


def day_number(value: float | dt.date) -> float:
    """A date as its day number; a number as it is."""
    return float(value.toordinal()) if isinstance(value, dt.date) else float(value)


def somewheres(node: Condition) -> Iterator[Somewhere]:
    """Every somewhere(...) in a condition."""
    if isinstance(node, Somewhere):
        yield node
    for child in children(node):
        yield from somewheres(child)


def outer_axes(node: Condition, names: dict[str, NameKind]) -> set[str]:
    """The sets of parts a condition reads outside somewhere(...)."""
    if isinstance(node, Somewhere):
        return set()
    inner = children(node)
    if not inner:
        axis = names[node.name].axis  # type: ignore[union-attr]
        return {axis} if axis else set()
    return set().union(*(outer_axes(child, names) for child in inner))
