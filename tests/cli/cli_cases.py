"""Running the program on the little book in place of the built-in rules."""

from __future__ import annotations

import functools
import os
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path

from tests.little_cases import BASE, ROOT, books, changed

SETUP = "little.flock.yaml"
BARE = """flockcheck: 1
pen: {length: 4 m, width: 2.5 m}
birds: [{kind: meat chicken, growth: medium, count: 40, hatched: 2027-04-01, out: 2027-05-01}]
"""
MENDED = ("latches: two-step", "latches: simple")
WATCHED = ("guardians:", "pets: [dog]\nguardians:")
TIPPED = ("store: sealed", "store: open")


@functools.cache
def package_folder() -> str:
    """A folder with a package of the built-in rules' name that gives the little book instead."""
    folder = Path(tempfile.mkdtemp(prefix="flockcheck-rules-"))
    package = folder / "flockcheck_rules"
    package.mkdir()
    package.joinpath("__init__.py").write_text(
        "import pluggy\n"
        '_given = pluggy.HookimplMarker("flockcheck")\n'
        "@_given\n"
        "def flockcheck_rulebooks():\n"
        f"    return {books()!r}\n",
        encoding="utf-8",
    )
    return str(folder)


def environment(**more: str) -> dict[str, str]:
    """The environment of a run of its own."""
    path = os.pathsep.join([package_folder(), str(ROOT / "src")])
    return {**os.environ, "PYTHONPATH": path, "PYTHONDONTWRITEBYTECODE": "1", **more}


def run(
    *args: str,
    cwd: Path,
    env: Mapping[str, str] | None = None,
    text: str = "",
    **options: object,
) -> subprocess.CompletedProcess[str]:
    """The program run by itself, as a user would."""
    return subprocess.run(
        [sys.executable, "-m", "flockcheck", *args],
        cwd=cwd,
        env={**environment(), **(env or {})},
        input=text,
        encoding="utf-8",
        capture_output=True,
        check=False,
        timeout=120,
    )


def write(folder: Path, *changes: tuple[str, str], name: str = SETUP) -> Path:
    """The base setup with some changes, written into a folder."""
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(changed(BASE, *changes), encoding="utf-8")
    return path
