"""Format, lint and types, as the contributors' guide asks."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.parametrize(
    "command",
    [
        ["ruff", "format", "--check", "--no-cache", "."],
        ["ruff", "check", "--no-cache", "."],
        ["mypy", "--no-incremental"],
    ],
    ids=["format", "lint", "types"],
)
def test_the_code_is_clean(command: list[str]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", *command], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
