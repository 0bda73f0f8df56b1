"""What if a key said something else: a setup with values put in, and what that changes."""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from flockcheck.checkup.examples import LEFT_OUT, base_document
from flockcheck.checkup.model import Change, Finding, Report, WhatIf
from flockcheck.setup.form import Shape, general, kind_of, leaves, resolve, shape_of
from flockcheck.setup.reader import SetupError, nearest, read_setup_text
from flockcheck.setup.scalars import listed
from flockcheck.setup.written import Setup
from flockcheck.text.document import DocumentError, Scalar, plain, quoted, read_nodes


class WhatIfError(ValueError):
    """A value that can't be put in; `says` tells why and what would do."""

    def __init__(self, says: str) -> None:
        self.says = says
        super().__init__(says)


def what_if(setup: Setup, assignments: Sequence[str]) -> tuple[Setup, tuple[Change, ...]]:
    """A setup in which keys have other values, written `KEY=VALUE`, and what was changed.

    The values are read by the reader's own rules; `left out` takes a key away. What stays keeps its
    place in the file. What was tried before on the same setup holds on: of a key that is put in
    twice the later value. The setup is a keeper's own, without what a club gives. Raises
    WhatIfError for a key or value that does not do.
    """
    document = base_document(setup.text)
    for assignment in setup.tried:
        _put(document, *_split(assignment, document), assignment)
    changes: list[Change] = []
    for assignment in assignments:
        path, text = _split(assignment, document)
        _put(document, path, text, assignment)
        written = setup.values.get(".".join(path))
        new = "" if text == LEFT_OUT else text
        changes.append(Change(".".join(path), None, None, written.text if written else "", new))
    # Every JSON text is a YAML text; indented, so that faults have lines of their own.
    try:
        read = read_setup_text(json.dumps(document, ensure_ascii=False, indent=1), setup.file)
    except SetupError as error:
        fault = error.faults[0]
        meant = next(
            (a for a, c in zip(assignments, changes, strict=True) if _of(c, fault.path)), ""
        )
        where = f"{quoted(meant)}: " if meant else f"with these values {fault.path} does not do: "
        raise WhatIfError(f"{where}{fault.says}") from None
    # A key that was left out before and comes again has the place that it has in the file.
    own = read_setup_text(setup.text, setup.file) if setup.tried else setup
    found = _in_place(read, own)._replace(tried=(*setup.tried, *assignments))
    values = found.values
    told = [
        one._replace(
            old=setup.values[one.path].value if one.path in setup.values else None,
            new=values[one.path].value if one.path in values else None,
        )
        for one in changes
    ]
    return found, tuple(told)


def compared(before: Report, after: Report, changes: tuple[Change, ...]) -> Report:
    """The report on a changed setup, with what differs from the file as it is written."""
    old = {_which(one, before): one for one in before.findings}
    new = {_which(one, after): one for one in after.findings}
    told = WhatIf(
        changes=changes,
        verdict=before.verdict,
        ready_until=before.ready_until,
        counts=before.counts,
        gone=tuple(
            (one.rule, one.about, one.grade) for which, one in old.items() if which not in new
        ),
        new=tuple(
            (one.rule, one.about, one.grade) for which, one in new.items() if which not in old
        ),
        graded=tuple(
            (one.rule, one.about, old[which].grade, one.grade)
            for which, one in new.items()
            if old.get(which, one).grade != one.grade
        ),
        predators=before.predators,
    )
    return after._replace(what_if=told)


def _which(finding: Finding, report: Report) -> tuple[str, str | None]:
    """The question that a finding answers; a predator goes by its name, wherever it is listed."""
    of, _, at = (finding.about or "").rpartition(".")
    named = of == "predators" and int(at) < len(report.predators)
    return finding.rule, report.predators[int(at)] if named else finding.about


def _of(change: Change, path: str) -> bool:
    """Whether a fault is about a change: at it, in it, or in what holds it."""
    return f"{path}.".startswith(f"{change.path}.") or f"{change.path}.".startswith(f"{path}.")


def _split(assignment: str, document: dict[str, Any]) -> tuple[list[str], str]:
    """The parts of the key and the value of `KEY=VALUE`, the key held against the format."""
    key, sign, text = assignment.partition("=")
    if not sign or not key.strip():
        says = "write it as KEY=VALUE, such as pen.length=14 ft, or KEY=left out to take it away"
        raise WhatIfError(f"{quoted(assignment)} does not say what is to change; {says}")
    parts: list[str] = []
    shape = resolve(shape_of("") or {})
    here: Any = document
    waiting = key.strip().split(".")
    while waiting:
        kind = kind_of(shape)
        if kind == "weights":
            parts.append(".".join(waiting))
            break
        part = waiting.pop(0)
        if kind == "list":
            if not part.isdigit():
                waiting.insert(0, part)
                part = _only(here, parts, part)
            shape = resolve(shape["items"])
        elif part in shape.get("properties", {}):
            shape = resolve(shape["properties"][part])
        else:
            raise WhatIfError(_no_key(key.strip(), part, shape))
        here = _below(here, part)
        parts.append(part)
    return parts, text.strip()


def _only(here: Any, parts: list[str], part: str) -> str:
    """The place of the only entry of a list, where the key does not say which is meant."""
    path = ".".join(parts)
    if isinstance(here, list) and len(here) == 1:
        return "0"
    many = len(here) if isinstance(here, list) else 0
    says = f"`{path}` has {many} entries; say which one, such as `{path}.0.{part}`"
    raise WhatIfError(says)


def _no_key(key: str, part: str, shape: Shape) -> str:
    known = list(shape.get("properties", {}))
    near = nearest(part, known)
    says = f"there is no key {quoted(key)}"
    if near:
        return f"{says}; did you mean `{near}` for {quoted(part)}?"
    every = [leaf.replace(".*", "") for leaf in leaves()]
    homes = [leaf for leaf in every if leaf.rpartition(".")[2] == key.rpartition(".")[2]]
    meant = nearest(general(key).replace(".*", ""), every) or (homes[0] if len(homes) == 1 else "")
    if meant:
        return f"{says}; did you mean `{meant}`?"
    if not known:
        return f"{says}: nothing stands below that"
    return f"{says}; beside {quoted(part)} the keys are {listed(known)}"


def _below(here: Any, part: str) -> Any:
    if isinstance(here, dict):
        return here.get(part)
    if isinstance(here, list) and int(part) < len(here):
        return here[int(part)]
    return None


def _put(document: dict[str, Any], path: list[str], text: str, assignment: str) -> None:
    """Put a value in, or take a key away."""
    here: Any = document
    for part, below in zip(path[:-1], path[1:], strict=True):
        here = _made(here, part, [] if below.isdigit() else {}, assignment)
    last = path[-1]
    if text == LEFT_OUT:
        if _below(here, last) is None:
            raise WhatIfError(f"`{'.'.join(path)}` is not in the file, so it can't be left out")
        del here[int(last) if isinstance(here, list) else last]
        return
    value = _value(text, shape_of(general(".".join(path))) or {}, assignment)
    if isinstance(here, list):
        _made(here, last, "", assignment)
        here[int(last)] = value
    elif isinstance(here, dict):
        here[last] = value
    else:
        raise WhatIfError(f"{quoted(assignment)} has no place in the file")


def _made(here: Any, part: str, fresh: Any, assignment: str) -> Any:
    """What stands under a part of a path; a key or the next entry of a list may be new."""
    if isinstance(here, dict):
        return here.setdefault(part, fresh)
    if isinstance(here, list) and int(part) <= len(here):
        if int(part) == len(here):
            here.append(fresh)
        return here[int(part)]
    many = len(here) if isinstance(here, list) else 0
    raise WhatIfError(f"{quoted(assignment)} has no place: the list has {many} entries, from 0 on")


def _value(text: str, shape: Shape, assignment: str) -> Any:
    """A value as it stands in a file; words of a list are parted by commas."""
    if text.startswith(("[", "{")):
        try:
            node = read_nodes(text)
        except DocumentError as error:
            raise WhatIfError(f"{quoted(assignment)}: {error.faults[0].says}") from None
        return text if isinstance(node, Scalar) else plain(node)
    if kind_of(shape) == "list" and kind_of(resolve(shape["items"])) != "section":
        return [one.strip() for one in text.split(",") if one.strip()]
    return text


def _in_place(read: Setup, setup: Setup) -> Setup:
    """A setup read from a changed document, with the places of the keeper's own file."""
    values = dict(read.values)
    marks = {path: setup.place(path)[1] for path in read.marks}
    for path, written in read.values.items():
        old = setup.values.get(path)
        start = old.start if old else setup.place(path)[1]
        values[path] = written._replace(start=start, end=old.end if old else start)
    return setup._replace(
        name=read.name, values=values, lists=read.lists, marks=marks, families=read.families
    )
