"""What a club's run costs, as ratios of one run: the table of docs/speed.md is its output.

    python tests/bench/club.py [--files 2000] [--runs 3] [--page]

Run it from the project's folder with the environment in which flockcheck is installed (from a
wheel, not editable, with the extra `bench`), on a machine that does nothing else. The files are the
made-up members of `members.py`. Each figure is held against something that runs beside it on the
same files:

- a bare click program that says one word,
- a bare parse of the files with the C loader, in one process,
- reading and hashing the files, in one process,
- a general checker of YAML files against a JSON Schema, from the registry, with our own schema.

Only ratios are printed: seconds of one machine say nothing about another.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import sysconfig
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
from tests.bench.members import write_members

ROOT = Path(__file__).resolve().parents[2]
SCRIPTS = Path(sysconfig.get_path("scripts"))
FLOCKCHECK = str(SCRIPTS / "flockcheck")
ONE = str(ROOT / "fixtures" / "good" / "hazel-lane.flock.yaml")
BARE = "import click\n\n@click.command()\ndef main():\n    click.echo('hello')\n\nmain()\n"
PARSE = """import sys, yaml
for path in open(sys.argv[1]).read().split("\\n"):
    try:
        yaml.load(open(path, "rb"), Loader=yaml.CBaseLoader)
    except yaml.YAMLError:
        pass
"""
HASH = """import sys, hashlib
for path in open(sys.argv[1]).read().split("\\n"):
    hashlib.blake2b(open(path, "rb").read()).digest()
"""
NOTHING = "pass\n"


class Cost(NamedTuple):
    """What a process took: seconds by the clock, seconds of processors, peak memory in MiB."""

    wall: float
    busy: float
    peak: float


class Row(NamedTuple):
    """A line of the table: what was measured, how it came out, and what was wanted."""

    what: str
    beside: str
    ratio: float
    wanted: str


class Bench:
    """The files, the programs beside ours, and a cache of its own."""

    def __init__(self, folder: Path, files: int, runs: int) -> None:
        self.folder = folder
        self.runs = runs
        self.members = folder / "members"
        self.paths = [str(path) for path in write_members(self.members, files)]
        self.few = folder / "few"
        write_members(self.few, max(1, files // 10))
        self.cache = folder / "cache"
        self.scripts = {}
        for name, text in (("bare", BARE), ("parse", PARSE), ("hash", HASH), ("nothing", NOTHING)):
            self.scripts[name] = folder / f"{name}.py"
            self.scripts[name].write_text(text, encoding="utf-8")
        self.listed = folder / "files.txt"
        self.listed.write_text("\n".join(self.paths), encoding="utf-8")
        self.schema = folder / "setup.schema.json"
        schema = subprocess.run([FLOCKCHECK, "schema"], capture_output=True, check=True).stdout
        self.schema.write_bytes(schema)

    def cost(self, command: Sequence[str]) -> Cost:
        """What one run of a command costs; its output is thrown away."""
        environment = {**os.environ, "XDG_CACHE_HOME": str(self.cache)}
        environment.pop("PYTHONPATH", None)
        begun = os.times().elapsed
        process = subprocess.Popen(
            command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment
        )
        _, _, used = os.wait4(process.pid, 0)
        return Cost(
            os.times().elapsed - begun, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024
        )

    def script(self, name: str) -> Cost:
        """What a program beside ours costs on all files."""
        return self.cost([sys.executable, str(self.scripts[name]), str(self.listed)])

    def check(self, folder: Path, *options: str) -> Cost:
        """What our check of a folder costs, every rule asked and no fixes solved."""
        return self.cost(
            [FLOCKCHECK, "check", str(folder), "--format", "jsonl", "--no-fixes", *options]
        )

    def afresh(self, folder: Path) -> Cost:
        """The same with nothing kept from before."""
        self.forget()
        return self.check(folder)

    def forget(self) -> None:
        """Drop every kept report; the compiled rulebook is in the package and stays."""
        for path in sorted(self.cache.rglob("*"), reverse=True):
            if path.is_dir():
                path.rmdir()
            else:
                path.unlink()

    def schema_checker(self) -> Cost:
        """What the general checker costs on the same files."""
        program = str(SCRIPTS / "check-jsonschema")
        return self.cost([program, "--schemafile", str(self.schema), *self.paths])

    def ratio(
        self, ours: Callable[[], float], theirs: Callable[[], float], runs: int | None = None
    ) -> float:
        """The median of the ratios of runs side by side."""
        return statistics.median(ours() / theirs() for _ in range(runs or self.runs))


def rows(bench: Bench) -> list[Row]:
    """Every line of the table."""
    files = len(bench.paths)
    one = [FLOCKCHECK, "check", ONE, "--no-fixes"]
    bench.cost(one)
    found = [
        Row(
            "one setup, cold",
            "a bare click program",
            bench.ratio(
                lambda: bench.cost(one).busy, lambda: bench.script("bare").busy, 10 * bench.runs
            ),
            "at most 2, reaching for 1.5",
        )
    ]
    found.append(
        Row(
            f"files a second, {files} cold",
            "the general schema checker",
            bench.ratio(
                lambda: bench.schema_checker().wall, lambda: bench.afresh(bench.members).wall
            ),
            "at least 5, reaching for 25",
        )
    )
    found.append(
        Row(
            f"{files} cold, processor time",
            "a bare C parse of them",
            bench.ratio(
                lambda: bench.afresh(bench.members).busy, lambda: bench.script("parse").busy
            ),
            "",
        )
    )
    bench.afresh(bench.members)
    found.append(
        Row(
            f"{files} unchanged",
            "reading and hashing them, and one start-up",
            bench.ratio(
                lambda: bench.check(bench.members).wall,
                lambda: (
                    bench.script("hash").wall
                    - bench.script("nothing").wall
                    + bench.cost([FLOCKCHECK, "--version"]).wall
                ),
                3 * bench.runs,
            ),
            "at most 5",
        )
    )
    found.append(
        Row(
            f"peak memory, {files} as lines",
            f"{files // 10} as lines",
            bench.ratio(
                lambda: bench.afresh(bench.members).peak, lambda: bench.afresh(bench.few).peak
            ),
            "flat: about 1",
        )
    )
    return found


def table(found: Sequence[Row]) -> str:
    """The rows as a table in Markdown."""
    lines = ["| what | beside | ratio | wanted |", "| --- | --- | ---: | --- |"]
    lines += [f"| {one.what} | {one.beside} | {one.ratio:.2f} | {one.wanted} |" for one in found]
    return "\n".join(lines) + "\n"


PAGE = """# What it costs

Ratios of one run of `python tests/bench/club.py --page`, which made this page: the median of each
pair of runs side by side, on one machine of two cores. Seconds are left out, since they say nothing
about another machine. The files are made-up members, varied and partly faulty; every rule is asked
of each, and no fixes are solved.

"""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--files", type=int, default=2000)
    parser.add_argument("--runs", type=int, default=3)
    parser.add_argument("--page", action="store_true", help="print the whole page of docs/")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        found = table(rows(Bench(Path(folder), options.files, options.runs)))
    print(PAGE + found if options.page else found, end="")


if __name__ == "__main__":
    main()
