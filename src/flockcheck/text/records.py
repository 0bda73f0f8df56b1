"""`NamedTuple` without its price at every start.

`typing.NamedTuple` compiles the annotation of each field to look at it, which for all the records
of a check takes a tenth of a short run. Here annotations are kept as they stand. To the type
checker it is the same thing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import NamedTuple
else:
    from collections import namedtuple

    # What a class brings along that the tuple has of its own.
    _OWN = frozenset({"__module__", "__qualname__", "__annotations__", "__classcell__"})

    class _Meta(type):
        def __new__(cls, name, bases, body):
            fields = list(body.get("__annotations__", ()))
            defaults = [body[field] for field in fields if field in body]
            if any(field in body for field in fields[: len(fields) - len(defaults)]):
                raise TypeError(f"{name}: fields with a default come last")
            made = namedtuple(name, fields, defaults=defaults, module=body["__module__"])
            made.__annotations__ = body.get("__annotations__", {})
            for key, value in body.items():
                if key not in _OWN and key not in fields:
                    setattr(made, key, value)
            return made

    # Made without the metaclass's own `__new__`, which is for the records.
    NamedTuple = type.__new__(_Meta, "NamedTuple", (), {})

__all__ = ["NamedTuple"]
