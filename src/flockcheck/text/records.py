"""`NamedTuple` without its price at every start.

`typing.NamedTuple` compiles the annotation of each field to look at it, and the tuple below it
compiles a constructor for each class: for all the records of a check a tenth of a short run. Here
annotations are kept as they stand, and classes of as many fields share the code of a constructor,
each with its own names in it. To the type checker it is the same thing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import NamedTuple
else:
    from collections import namedtuple
    from functools import cache
    from types import FunctionType

    # What reads a field by its place. It knows no class, so that any number of them can share it.
    _MODEL = namedtuple("_Model", [f"field_{at}" for at in range(40)])
    _PLACES = [vars(_MODEL)[field] for field in _MODEL._fields]
    # All that a constructor can reach.
    _REACH = {"__builtins__": {}, "__name__": __name__, "_new": tuple.__new__}

    def _make(cls, iterable):
        """A new record from a sequence with a value for every field."""
        made = tuple.__new__(cls, iterable)
        if len(made) != len(cls._fields):
            raise TypeError(f"Expected {len(cls._fields)} arguments, got {len(made)}")
        return made

    def _replace(self, /, **changed):
        """The record with other values in some fields."""
        made = tuple.__new__(self.__class__, map(changed.pop, self._fields, self))
        if changed:
            raise ValueError(f"Got unexpected field names: {list(changed)!r}")
        return made

    def _asdict(self):
        """The record as a dict by the names of its fields."""
        return dict(zip(self._fields, self, strict=True))

    def _shown(self):
        pairs = zip(self._fields, self, strict=True)
        return f"{self.__class__.__name__}({', '.join(f'{name}={one!r}' for name, one in pairs)})"

    def _plain(self):
        """The values alone, for a copy or another process."""
        return tuple(self)

    _SHARED = {
        "__slots__": (),
        "__getnewargs__": _plain,
        "__replace__": _replace,
        "__repr__": _shown,
        "_asdict": _asdict,
        "_make": classmethod(_make),
        "_replace": _replace,
    }

    @cache
    def _constructor(count):
        """The code of a constructor for so many fields, into which their names are put."""
        names = "".join(f"{field}, " for field in _MODEL._fields[:count])
        return eval(f"lambda _cls, {names}: _new(_cls, ({names}))").__code__

    class _Meta(type):
        def __new__(cls, name, bases, body):
            fields = tuple(body.get("__annotations__", ()))
            defaults = {field: body[field] for field in fields if field in body}
            if any(field in body for field in fields[: len(fields) - len(defaults)]):
                raise TypeError(f"{name}: fields with a default come last")
            if not 0 < len(fields) <= len(_PLACES):
                raise TypeError(f"{name}: a record has from 1 to {len(_PLACES)} fields")
            code = _constructor(len(fields)).replace(
                co_name="__new__",
                co_qualname=f"{body['__qualname__']}.__new__",
                co_varnames=("_cls", *fields),
            )
            made = {
                **_SHARED,
                **body,
                **dict(zip(fields, _PLACES, strict=False)),
                "__match_args__": fields,
                "__new__": FunctionType(code, _REACH, "__new__", tuple(defaults.values())),
                "_field_defaults": defaults,
                "_fields": fields,
            }
            return type(name, (tuple,), made)

    # Made without the metaclass's own `__new__`, which is for the records.
    NamedTuple = type.__new__(_Meta, "NamedTuple", (), {})

__all__ = ["NamedTuple"]
