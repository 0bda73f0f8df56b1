"""The order of the house: each folder imports only from those above it, and nothing in a circle."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "flockcheck"
# Data flows down this list; a part may import what stands above it, and itself.
ORDER = (
    "flockcheck",
    "flockcheck.text",
    "flockcheck.tables",
    "flockcheck.tablereader",
    "flockcheck.setup",
    "flockcheck.measures",
    "flockcheck.rulebook",
    "flockcheck.checkup",
    "flockcheck.reports",
    "flockcheck.files",
    "flockcheck.hooks",
    "flockcheck.plugins",
    "flockcheck.installed",
    "flockcheck.workshop",
    "flockcheck.club",
    "flockcheck.cli",
    "flockcheck.__main__",
)


def modules() -> dict[str, Path]:
    found = {}
    for path in sorted(SOURCE.rglob("*.py")):
        parts = ("flockcheck", *path.relative_to(SOURCE).with_suffix("").parts)
        found[".".join(part for part in parts if part != "__init__")] = path
    return found


def imports(name: str, path: Path, known: dict[str, Path]) -> Iterator[str]:
    """Every module of ours that a module imports, in functions too, but not for types alone."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for_types = {
        inner
        for node in ast.walk(tree)
        if isinstance(node, ast.If) and "TYPE_CHECKING" in ast.dump(node.test)
        for part in node.body
        for inner in ast.walk(part)
    }
    for node in ast.walk(tree):
        if node in for_types:
            continue
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names if alias.name in known)
        elif isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                if inner in known:
                    yield inner
                elif node.module in known and node.module != name:
                    yield node.module


def part_of(name: str) -> str:
    return max((part for part in ORDER if name == part or name.startswith(f"{part}.")), key=len)


def test_no_module_imports_in_a_circle_not_even_inside_a_function() -> None:
    known = modules()
    graph = {name: set(imports(name, path, known)) - {"flockcheck"} for name, path in known.items()}
    done: set[str] = set()

    def visit(name: str, above: tuple[str, ...]) -> None:
        assert name not in above, " -> ".join([*above, name])
        if name not in done:
            for inner in sorted(graph[name]):
                visit(inner, (*above, name))
            done.add(name)

    for name in graph:
        visit(name, ())
    assert len(done) > 30


def test_each_folder_imports_only_from_those_above_it() -> None:
    known = modules()
    wrong = [
        f"{name} imports {inner}"
        for name, path in known.items()
        for inner in imports(name, path, known)
        # The package itself gathers what is public, so it stands above and below at once.
        if name != "flockcheck" and ORDER.index(part_of(inner)) > ORDER.index(part_of(name))
    ]
    assert wrong == []


def test_no_module_is_longer_than_it_should_be() -> None:
    long = {
        name: lines
        for name, path in modules().items()
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > 400
    }
    assert long == {}
