"""What a keeper does after a check: fixes, a plan, a what if, a mend. Nothing of it may go wrong.

The commands run in this process, on a copy in a folder of its own. A mend must lose no comment and
no key, and change nothing that its plan does not name.
"""

from __future__ import annotations

import json
import tempfile
from pathlib import Path
from random import Random

from click.testing import CliRunner, Result

from flockcheck.checkup.model import Plan, Report
from flockcheck.checkup.solve import solve
from flockcheck.checkup.whatif import WhatIfError, what_if
from flockcheck.cli import cli
from flockcheck.reports import sarif
from flockcheck.rulebook.book import Rulebook
from flockcheck.setup.form import leaves, shape_of
from flockcheck.setup.reader import read_setup_bytes
from flockcheck.setup.written import Setup
from flockcheck.text.document import decode
from flockcheck.text.layout import comments
from tests.fuzz.mutants import VALUES

NAME = "storm.flock.yaml"


def deeper(data: bytes, setup: Setup, book: Rulebook, random: Random) -> tuple[Report, str]:
    """A setup's report with fixes and a plan, and what went wrong with all that can be done."""
    report = solve(setup, book, plan=True)
    text = decode(data)
    json.loads(sarif.write([report], book, [], text_of=lambda file: text))
    wrong = _tried(setup, random)
    with tempfile.TemporaryDirectory(prefix="flockcheck-storm-") as folder:
        path = Path(folder) / NAME
        path.write_bytes(data)
        wrong = wrong or _asked(path, setup, random)
        if path.read_bytes() != data:
            return report, "a check changed the file"
        return report, wrong or _mended(path, setup, report.plan, random)


def _command(*args: str) -> Result:
    """A command in this process. Raises what it raises, other than its own exit."""
    result = CliRunner().invoke(cli, ["check", *args], prog_name="flockcheck")
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result


def assignment(setup: Setup, random: Random) -> str:
    """A key and a value to try: mostly one that is written, with a number of it off."""
    if setup.values and random.random() < 0.7:
        path = random.choice(sorted(setup.values))
        text = setup.values[path].text
        number = "".join(random.choice("123456789") for _ in range(random.choice([1, 1, 2, 3])))
        _, space, unit = text.partition(" ")
        word = random.choice(
            (shape_of(_general(path)) or {}).get("enum") or [number + space + unit]
        )
        return f"{path}={random.choice([word, word, word, text, 'left out'])}"
    path = random.choice(leaves()).replace("*", random.choice(["0", "0", "1", "99"]))
    words = (shape_of(_general(path)) or {}).get("enum") or VALUES
    return f"{path}={random.choice(words)}"


def _general(path: str) -> str:
    return ".".join("*" if part.isdigit() else part for part in path.split("."))


def _tried(setup: Setup, random: Random) -> str:
    """What if, and what if on top of that: the same as both at once."""
    one, other = assignment(setup, random), assignment(setup, random)
    try:
        both, _ = what_if(what_if(setup, [one])[0], [other])
    except WhatIfError:
        return ""
    if both != what_if(setup, [one, other])[0]._replace(tried=both.tried):
        return f"--with {one} and then {other} is not both at once"
    return ""


def _asked(path: Path, setup: Setup, random: Random) -> str:
    """The command with some values in place of others."""
    options = [
        part
        for _ in range(random.choice([1, 1, 2]))
        for part in ("--with", assignment(setup, random))
    ]
    shape = random.choice(["text", "json", "sarif"])
    result = _command(str(path), *options, "--format", shape)
    if result.exit_code == 2 and not result.stderr.startswith("flockcheck: --with: "):
        return f"{options}: {result.stderr}"
    if result.exit_code != 2 and shape != "text":
        json.loads(result.stdout)
    return ""


def _mended(path: Path, setup: Setup, plan: Plan | None, random: Random) -> str:
    """What the command that mends did wrong."""
    fixes = plan.fixes if plan is not None else ()
    works = [fix.clears[0] for fix in fixes if fix.kind == "work" and fix.clears]
    done = [rule for rule in works if random.random() < 0.5]
    data = path.read_bytes()
    result = _command(str(path), "--mend", *(part for rule in done for part in ("--done", rule)))
    new = path.read_bytes()
    others = {one.name: one.read_bytes() for one in path.parent.iterdir() if one != path}
    if others != ({} if new == data else {f"{NAME}.before-1": data}):
        return f"--mend left {sorted(others)} behind"
    if "flockcheck has made a mistake" in result.output:
        return result.output
    return lost(data, new, setup, plan)


def lost(data: bytes, new: bytes, setup: Setup, plan: Plan | None) -> str:
    """What a mend has lost of a file, or changed beside its plan."""
    fixes = plan.fixes if plan is not None else ()
    named = {change.path for fix in fixes for change in fix.changes}
    old_text, text = decode(data), decode(new)
    before, after = ([said for _, said in comments(one)] for one in (old_text, text))
    if before != after:
        return f"--mend made comments {before} into {after}"
    if ("\r\n" in old_text) != ("\r\n" in text) or data[:3] == b"\xef\xbb\xbf" != new[:3]:
        return "--mend changed line ends or marks"
    mended = read_setup_bytes(new, setup.file)

    def planned(path: str) -> bool:
        return any(f"{path}.".startswith(f"{one}.") for one in named)

    for path, written in setup.values.items():
        if not planned(path) and (
            path not in mended.values or mended.values[path].text != written.text
        ):
            return f"--mend lost or changed {path}: {written.text}"
    for path in mended.values:
        if path not in setup.values and not planned(path):
            return f"--mend wrote {path}, which no plan named"
    return ""
