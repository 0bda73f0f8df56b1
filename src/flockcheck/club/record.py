"""A report in a form that can be kept or sent: three parts, of which most readers need one.

How the setup stands (for status and table), its line of the jsonl report, and the whole report
without loss. The file's name and the club's stand in none of them: they are put in when a part is
read, so that a setup that moves keeps its report. It is JSON throughout, the two longer parts
squeezed together, as they have most of their texts in common; and it holds nothing that could be
run.
"""

from __future__ import annotations

import json
import zlib
from collections.abc import Callable
from datetime import date
from functools import cache
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from flockcheck.checkup.model import Report
from flockcheck.reports.jsonform import setup_line
from flockcheck.reports.standing import VERDICTS, Standing, standing_of
from flockcheck.text.records import NamedTuple

# No text of ours holds a zero character: a setup that does is refused.
_FILE, _CLUB = "\x00file", "\x00club"
# Squeezing harder would take longer than it saves.
_LEVEL = 1
# Far more than any report has.
_MOST_BYTES = 50_000_000
_Step = Callable[[Any], Any]


class Unfit(ValueError):
    """Something that is no record of ours."""


class Record(NamedTuple):
    """A report: how the setup stands, and its line and the whole of it, squeezed.

    The line can be read by itself, the whole only after the line.
    """

    standing: str
    line: bytes
    whole: bytes

    @property
    def data(self) -> bytes:
        """All of it."""
        head = f"{len(self.line)}\t{self.standing}\n".encode("utf-8", "surrogatepass")
        return head + self.line + self.whole


def record_of(data: bytes) -> Record:
    """A record by all of it. Raises Unfit."""
    head, _, body = data.partition(b"\n")
    length, _, standing = head.partition(b"\t")
    try:
        at = int(length)
        return Record(standing.decode("utf-8", "surrogatepass"), body[:at], body[at:])
    except ValueError:
        raise Unfit(repr(data[:40])) from None


def packed(report: Report) -> Record:
    """A report as a record."""
    held = report._replace(file=_FILE, club=_CLUB if report.club else "")
    standing = list(standing_of(held)[1:])
    line, whole = f"{setup_line(held)}\n", _dumped(_steps(Report)[0](held))
    work = zlib.compressobj(_LEVEL)
    return Record(
        _dumped(standing),
        work.compress(_bytes(line)) + work.flush(zlib.Z_SYNC_FLUSH),
        work.compress(_bytes(whole)) + work.flush(),
    )


def standing_in(record: Record, file: str) -> Standing:
    """How the setup stands. Raises Unfit."""
    try:
        parts = json.loads(record.standing)
        name, verdict, until, counts, grade, worst, unmet, required = parts
        texts = (name, verdict, until, grade, worst, *unmet, *required)
        if verdict not in VERDICTS or not all(isinstance(text, str) for text in texts):
            raise Unfit(verdict)
        stop, mend, watch, tip = map(int, counts)
    except (ValueError, TypeError) as error:
        raise Unfit(str(error)) from None
    every = (stop, mend, watch, tip)
    return Standing(file, name, verdict, until, every, grade, worst, tuple(unmet), tuple(required))


def line_in(record: Record, file: str, club: str) -> str:
    """The setup's line of the jsonl report, without its end. Raises Unfit."""
    line, _ = _unsqueezed(record.line)
    # In JSON an end of line is never written as itself.
    if not line.endswith("\n"):
        raise Unfit(line[:40])
    named = line[:-1].replace(json.dumps(_FILE), _dumped(file))
    return named.replace(json.dumps(_CLUB), _dumped(club))


def report_in(record: Record, file: str, club: str) -> Report:
    """The whole report. Raises Unfit."""
    both, ended = _unsqueezed(record.line + record.whole)
    if not ended:
        raise Unfit(both[:40])
    try:
        found: Report = _steps(Report)[1](json.loads(both.partition("\n")[2]))
    except (ValueError, TypeError, IndexError, KeyError, AttributeError) as error:
        raise Unfit(str(error)) from None
    return found._replace(file=file, club=club if found.club else "")


def _bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")


def _unsqueezed(data: bytes) -> tuple[str, bool]:
    """A text as it was, and whether nothing comes after it. Raises Unfit."""
    work = zlib.decompressobj()
    try:
        text = work.decompress(data, _MOST_BYTES).decode("utf-8", "surrogatepass")
    except (zlib.error, UnicodeDecodeError) as error:
        raise Unfit(str(error)) from None
    return text, work.eof


# Records are lists to it as they are. Days are written where the model says that there is one;
# where there may be anything, they are marked before.
_ENCODER = json.JSONEncoder(
    ensure_ascii=False, separators=(",", ":"), check_circular=False, default=date.isoformat
)
_dumped = _ENCODER.encode


@cache
def _steps(kind: Any) -> tuple[_Step, _Step]:
    """How a value of a type becomes JSON, and comes back: by what the model says of its fields.

    What can be written as it is stays the same, so that most of a report is not gone through.
    """
    if kind is date:
        return _same, date.fromisoformat
    if kind in (str, int, bool, float, NoneType):
        return _same, _expect(kind)
    if kind is Any:
        return _marked, _unmarked
    origin, args = get_origin(kind), get_args(kind)
    if origin is tuple and len(args) == 2 and args[1] is Ellipsis:
        to, back = _steps(args[0])
        return (
            _same if to is _same else lambda v: [to(one) for one in v],
            lambda v: tuple(back(one) for one in _list(v)),
        )
    if origin is tuple:
        steps = [_steps(arg) for arg in args]
        return (
            _each([to for to, _ in steps]),
            lambda v: tuple(back(one) for (_, back), one in zip(steps, _list(v), strict=True)),
        )
    if origin is dict:
        to, back = _steps(args[1])
        return (
            _same if to is _same else lambda v: {key: to(one) for key, one in v.items()},
            lambda v: {str(key): back(one) for key, one in v.items()},
        )
    if origin in (Union, UnionType) and len(args) == 2 and NoneType in args:
        to, back = _steps(next(arg for arg in args if arg is not NoneType))
        return (
            _same if to is _same else lambda v: None if v is None else to(v),
            lambda v: None if v is None else back(v),
        )
    if origin in (Union, UnionType) and set(args) <= {str, int, bool, float, NoneType}:
        return _same, _expect(*args)
    if isinstance(kind, type) and hasattr(kind, "_fields"):
        return _record_steps(kind)
    raise TypeError(f"no way to keep {kind}")


def _record_steps(kind: Any) -> tuple[_Step, _Step]:
    """A named tuple as a list of its fields."""
    hints = get_type_hints(kind)
    steps = [_steps(hints[name]) for name in kind._fields]

    def back(value: Any) -> Any:
        return kind(*(step(one) for (_, step), one in zip(steps, _list(value), strict=True)))

    return _each([to for to, _ in steps]), back


def _each(steps: list[_Step]) -> _Step:
    """A step for each part of a tuple as one; only the parts that change are touched."""
    changing = [(at, step) for at, step in enumerate(steps) if step is not _same]
    if not changing:
        return _same

    def to(value: Any) -> list[Any]:
        parts = list(value)
        for at, step in changing:
            parts[at] = step(parts[at])
        return parts

    return to


def _same(value: Any) -> Any:
    return value


def _expect(*kinds: type) -> _Step:
    def back(value: Any) -> Any:
        if type(value) not in kinds and not (type(value) is int and float in kinds):
            raise TypeError(f"{value!r} is not of {kinds}")
        return value

    return back


def _list(value: Any) -> list[Any]:
    if not isinstance(value, list):
        raise TypeError(f"{value!r} is no list")
    return value


def _marked(value: Any) -> Any:
    """What may be anything: a number, text, day, list or dictionary, each to be told apart."""
    if value is None or isinstance(value, (str, int, float)):
        return value
    if isinstance(value, date):
        return {"day": value.isoformat()}
    if isinstance(value, tuple):
        return {"tuple": [_marked(one) for one in value]}
    if isinstance(value, list):
        return [_marked(one) for one in value]
    if isinstance(value, dict):
        return {"map": {key: _marked(one) for key, one in value.items()}}
    raise TypeError(f"no way to keep {type(value).__name__}")


def _unmarked(value: Any) -> Any:
    if isinstance(value, list):
        return [_unmarked(one) for one in value]
    if isinstance(value, dict):
        ((mark, inner),) = value.items()
        if mark == "day":
            return date.fromisoformat(inner)
        if mark == "tuple":
            return tuple(_unmarked(one) for one in inner)
        if mark == "map":
            return {key: _unmarked(one) for key, one in inner.items()}
        raise TypeError(f"no value is marked {mark}")
    return value
