"""Numbers that remember how they were worked out.

A measure that is called with figures in place of plain numbers gives the sum behind its answer: the
operations that it went through on that day, and on which of its inputs. Only `why` asks for it.
"""

from __future__ import annotations

import builtins
import math
from collections.abc import Callable, Iterable
from types import FunctionType, SimpleNamespace
from typing import Any

from flockcheck.text.records import NamedTuple

# What a leaf of a sum stands for: ("measure", name, item, place), ("key", path) or ("read", place).
Leaf = tuple[Any, ...]


class Sum(NamedTuple):
    """How a number came about.

    `sign` is an operator (+ - * / ^), the name of a function, "leaf" for an input (`leaf` says
    which) or "" for a number that stands in the code; `value` is what it comes to in base units.
    """

    sign: str
    parts: tuple[Sum, ...]
    value: float
    leaf: Leaf = ()

    def leaves(self) -> list[Sum]:
        """The inputs, in the order of the sum."""
        if self.sign == "leaf":
            return [self]
        return [leaf for part in self.parts for leaf in part.leaves()]

    def size(self) -> int:
        """The number of inputs and numbers in it."""
        return sum(part.size() for part in self.parts) if self.parts else 1


class Figure(float):
    """A float with the sum behind it."""

    __slots__ = ("sum",)
    sum: Sum

    def __new__(cls, value: float, how: Sum) -> Figure:
        """A number that came about like that."""
        made = super().__new__(cls, value)
        made.sum = how
        return made

    def __add__(self, other: float) -> Figure:
        return _two("+", self, other, float.__add__)

    def __radd__(self, other: float) -> Figure:
        # `sum` begins with 0, which is no part of the working.
        if type(other) is int and not other:
            return self
        return _two("+", other, self, float.__add__)

    def __sub__(self, other: float) -> Figure:
        return _two("-", self, other, float.__sub__)

    def __rsub__(self, other: float) -> Figure:
        return _two("-", other, self, float.__sub__)

    def __mul__(self, other: float) -> Figure:
        return _two("*", self, other, float.__mul__)

    def __rmul__(self, other: float) -> Figure:
        return _two("*", other, self, float.__mul__)

    def __truediv__(self, other: float) -> Figure:
        return _two("/", self, other, float.__truediv__)

    def __rtruediv__(self, other: float) -> Figure:
        return _two("/", other, self, float.__truediv__)

    def __pow__(self, other: Any, mod: None = None) -> Figure:
        return _two("^", self, other, lambda one, two: float(one) ** float(two))

    def __neg__(self) -> Figure:
        return _two("-", 0, self, float.__sub__)


def leaf(value: Any, where: Leaf) -> Any:
    """A value as an input of a sum, where it is a plain number; anything else as it is."""
    if type(value) not in (int, float):
        return value
    return Figure(value, Sum("leaf", (), float(value), where))


def sum_of(value: Any) -> Sum | None:
    """The sum behind a value, where it has one."""
    return value.sum if isinstance(value, Figure) else None


def how(value: float) -> Sum:
    """The sum behind a number, which may be nothing but itself."""
    return value.sum if isinstance(value, Figure) else Sum("", (), float(value))


def _two(sign: str, one: float, other: float, work: Callable[[float, float], float]) -> Figure:
    value = work(float(one), float(other))
    return Figure(value, Sum(sign, (how(one), how(other)), value))


def traced(function: Callable[..., Any]) -> Callable[..., Any]:
    """A copy of a measure's function in which figures go through `math` and `float` whole.

    The functions of its own package that it calls are copied likewise. Anything but a plain
    function is given back.
    """
    if not isinstance(function, FunctionType):
        return function
    return _copy(function, {})


def _copy(function: FunctionType, copies: dict[int, dict[str, Any]]) -> FunctionType:
    here = _globals(function.__globals__, copies)
    code, closure = function.__code__, function.__closure__
    return FunctionType(code, here, function.__name__, function.__defaults__, closure)


def _globals(own: dict[str, Any], copies: dict[int, dict[str, Any]]) -> dict[str, Any]:
    """What a copied function sees in place of its module; each module is copied once."""
    here = copies.get(id(own))
    if here is not None:
        return here
    here = copies[id(own)] = dict(own)
    root = str(own.get("__name__", "")).partition(".")[0]
    for name, value in own.items():
        if isinstance(value, FunctionType) and value.__module__.partition(".")[0] == root:
            here[name] = _copy(value, copies)
        elif value is math:
            here[name] = _MATH
        elif name in _CALLS and value is getattr(math, name):
            here[name] = getattr(_MATH, name)
    here["float"] = _float
    return here


def _float(value: Any = 0.0) -> float:
    return value if isinstance(value, Figure) else builtins.float(value)


def _call(name: str) -> Callable[[float], float]:
    plain: Callable[[float], float] = getattr(math, name)

    def call(value: float) -> float:
        if not isinstance(value, Figure):
            return plain(value)
        found = plain(float(value))
        return Figure(found, Sum(name, (value.sum,), found))

    return call


def _product(values: Iterable[float]) -> float:
    found: float = 1
    for at, value in enumerate(values):
        found = found * value if at else value
    return found


_CALLS = ("atan", "tan", "sin", "cos", "sqrt", "exp", "degrees", "radians")
_MATH = SimpleNamespace(
    **{name: getattr(math, name) for name in dir(math) if not name.startswith("_")}
)
for _name in _CALLS:
    setattr(_MATH, _name, _call(_name))
_MATH.prod = _product

_STRENGTH = {"+": 1, "-": 1, "*": 2, "/": 2, "^": 3}


def written(found: Sum, say: Callable[[Sum], str]) -> str:
    """A sum as one line of text; `say` gives the words for an input or a number."""
    if not found.parts:
        return say(found)
    strength = _STRENGTH.get(found.sign)
    if strength is None:
        return f"{found.sign}({written(found.parts[0], say)})"
    one, other = found.parts
    if _negates(found):
        return f"-{_within(other, say, 3)}"
    # A minus before the whole of a product needs no brackets.
    left = written(one, say) if _negates(one) and strength == 2 else _within(one, say, strength)
    right = _within(other, say, strength + (found.sign in "-/^"))
    sign = "x" if found.sign == "*" else found.sign
    if sign != "^":
        return f"{left} {sign} {right}"
    # The unit of what is raised belongs to it.
    return f"({left})^{right}" if " " in left and not left.startswith("(") else f"{left}^{right}"


def _negates(part: Sum) -> bool:
    return part.sign == "-" and part.parts[0].sign == "" and not part.parts[0].value


def _within(part: Sum, say: Callable[[Sum], str], strength: int) -> str:
    text = written(part, say)
    return f"({text})" if _STRENGTH.get(part.sign, 4) < strength else text


def worked_out(found: Sum, number: Callable[[Sum], float]) -> float:
    """What a sum comes to with the inputs' numbers as `number` gives them."""
    if not found.parts:
        return number(found)
    parts = [worked_out(part, number) for part in found.parts]
    if found.sign in _CALLS:
        plain: Callable[[float], float] = getattr(math, found.sign)
        return plain(parts[0])
    one, other = parts
    if found.sign == "+":
        return one + other
    if found.sign == "-":
        return one - other
    if found.sign == "*":
        return one * other
    return one / other if found.sign == "/" else float(one**other)
