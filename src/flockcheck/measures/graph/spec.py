"""What a measure says of itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from types import ModuleType
from typing import Any, TypeVar

from flockcheck.text.quantities import dimension_of
from flockcheck.text.records import NamedTuple

F = TypeVar("F", bound=Callable[..., Any])

# What a measure gives that is no quantity.
PLAIN = frozenset({"flag", "word", "names", "date"})

# The flags of a function's code for `*args` and `**kwargs`, as the module `inspect` names them.
_STARRED = 0x04 | 0x08
_NO_DEFAULTS: dict[str, Any] = {}


class Spec(NamedTuple):
    """A measure: its function, what it gives, its axes as declared and what it asks for.

    `gives` is a dimension or one of flag, word, names, date; `each` names the axes declared,
    `gather` the words received as lists, `asks` the parameters and `defaults` those with one;
    `at_once` is its quick way for many days, where it has one.
    """

    name: str
    function: Callable[..., Any]
    gives: str
    each: tuple[str, ...]
    gather: tuple[str, ...]
    asks: tuple[str, ...]
    defaults: dict[str, Any]
    at_once: Callable[..., list[Any]] | None = None


def measure(
    gives: str, *, each: str | Iterable[str] = (), gather: str | Iterable[str] = ()
) -> Callable[[F], F]:
    """Mark a pure function as a measure; a `Registry` takes it from its module.

    `gives` is the unit of what it returns (a base unit or dimension of text.quantities, or flag,
    word, names, date). `each="day"` says that it is worked out for each day of the stay; the
    item axis shows in the parameters. `gather` names the words that it receives as lists.

    A parameter with a default receives it where its node is missing or does not apply at all.
    Raises TypeError for a parameter that can't be asked for by name and for a default of None,
    which would say "does not apply"; ValueError for an unknown unit.
    """
    axes = (each,) if isinstance(each, str) else tuple(each)
    gathered = (gather,) if isinstance(gather, str) else tuple(gather)

    def mark(function: F) -> F:
        code = function.__code__
        if code.co_kwonlyargcount or code.co_flags & _STARRED:
            says = f"measure {function.__name__}: write its parameters plainly, without a star"
            raise TypeError(says)
        asks = code.co_varnames[: code.co_argcount]
        defaults = _NO_DEFAULTS
        if function.__defaults__:
            values = function.__defaults__
            defaults = dict(zip(asks[len(asks) - len(values) :], values, strict=True))
            for asked, value in defaults.items():
                if value is None:
                    says = "can't have None as its default, which means that it does not apply"
                    raise TypeError(f"measure {function.__name__}: {asked} {says}")
        name, given = function.__name__, gives if gives in PLAIN else dimension_of(gives)
        spec = Spec(name, function, given, axes, gathered, asks, defaults)
        function.__dict__["__measure__"] = spec
        return function

    return mark


def at_once(of: Callable[..., Any]) -> Callable[[F], F]:
    """Mark a quick way to work a measure that goes by day out for many days.

    It has the measure's parameters, receives what goes by day as lists, for days on end to which
    all of it applies, and gives a list as long, with what the measure itself gives for each day:
    quick where one look into a table serves the whole stay. Raises TypeError for other parameters.
    """
    spec: Spec = of.__dict__["__measure__"]

    def mark(function: F) -> F:
        code = function.__code__
        if code.co_varnames[: code.co_argcount] != spec.asks or "day" not in spec.each:
            says = f"{function.__name__}: at once a measure that goes by day has its own parameters"
            raise TypeError(says)
        of.__dict__["__measure__"] = Spec(*spec[:-1], function)
        return function

    return mark


def measures_of(module: ModuleType) -> list[Spec]:
    """The measures that a module defines, in the order of its text."""
    found = (getattr(value, "__measure__", None) for value in vars(module).values())
    return [
        spec
        for spec in found
        if isinstance(spec, Spec) and spec.function.__module__ == module.__name__
    ]
