"""What the checks of this folder say they hold: their `TABLES` and `FIGURES`."""

from __future__ import annotations

import ast
from pathlib import Path

HERE = Path(__file__).parent


def declared(name: str) -> dict[str, list[str]]:
    """The words in the tuples of this name at the top of test modules, each with its modules."""
    found: dict[str, list[str]] = {}
    for file in sorted(HERE.glob("test_*.py")):
        text = file.read_text(encoding="utf-8")
        for node in ast.parse(text).body:
            if isinstance(node, ast.Assign) and [ast.unparse(to) for to in node.targets] == [name]:
                for word in ast.literal_eval(node.value):
                    found.setdefault(word, []).append(file.name)
    return found
