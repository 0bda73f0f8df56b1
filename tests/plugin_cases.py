"""Plugins for tests: the outside package that docs/plugins.md shows, and small spoiled ones."""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from types import ModuleType
from typing import NamedTuple

ROOT = Path(__file__).parents[1]
OUTSIDE = ROOT / "tests" / "data" / "outside_plugin"


class Came(NamedTuple):
    """What came of a run of the program."""

    status: int
    out: str
    err: str


def program(*args: str | Path, path: tuple[Path, ...] = (), **settings: str) -> Came:
    """Run flockcheck in a process of its own, with folders put before those that Python knows."""
    before = os.environ.get("PYTHONPATH", "").split(os.pathsep)
    known = [os.path.abspath(one) for one in before if one]
    done = subprocess.run(
        [sys.executable, "-m", "flockcheck", *map(str, args)],
        cwd=ROOT,
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=60,
        env={
            **os.environ,
            "PYTHONPATH": os.pathsep.join([*map(str, path), *known]),
            "PYTHONIOENCODING": "utf-8",
            **settings,
        },
    )
    return Came(done.returncode, done.stdout, done.stderr)


def install(package: Path, work: Path) -> Path:
    """The folder into which pip has installed a package, without asking any index."""
    # A build leaves files beside the sources, so a copy is built.
    copy, target = work / "source", work / "site"
    shutil.copytree(package, copy, ignore=shutil.ignore_patterns("__pycache__"))
    command = ["pip", "install", "--quiet", "--disable-pip-version-check", "--no-compile"]
    command += ["--no-index", "--no-deps", "--no-build-isolation", "--target", str(target)]
    subprocess.run(
        [sys.executable, "-m", *command, str(copy)], check=True, capture_output=True, timeout=120
    )
    return target


def put(
    folder: Path, name: str, source: str, books: Mapping[str, str | bytes] | None = None
) -> Path:
    """A package as pip would leave it: a module, its rulebook's files, and its entry point."""
    module = folder / name
    module.mkdir(parents=True)
    (module / "__init__.py").write_text(source, encoding="utf-8")
    write_files(module / "rulebook", books or {})
    about = folder / f"flockcheck_{name}-1.0.dist-info"
    about.mkdir()
    metadata = f"Metadata-Version: 2.1\nName: flockcheck-{name}\nVersion: 1.0\n"
    (about / "METADATA").write_text(metadata, encoding="utf-8")
    (about / "entry_points.txt").write_text(f"[flockcheck]\n{name} = {name}\n", encoding="utf-8")
    return folder


def write_files(folder: Path, files: Mapping[str, str | bytes]) -> None:
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text.encode() if isinstance(text, str) else text)


def loader(folder: Path, name: str) -> Callable[[], ModuleType]:
    """How an entry point would load the module of a package that was `put` into a folder."""

    def load() -> ModuleType:
        place = folder / name / "__init__.py"
        spec = importlib.util.spec_from_file_location(name, place)
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        sys.modules[name] = module
        spec.loader.exec_module(module)
        return module

    return load
