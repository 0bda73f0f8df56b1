"""Commands run in this process, in a folder of their own, on the little book."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path
from typing import Protocol

import pytest
from click.testing import CliRunner, Result

from flockcheck.cli import cli
from tests.cli.cli_cases import package_folder


class Flockcheck(Protocol):
    def __call__(self, *args: str, text: str | bytes = "") -> Result: ...


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to be in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def flockcheck(here: Path, monkeypatch: pytest.MonkeyPatch) -> Flockcheck:
    """Runs a command; nothing but its own exit may end it."""
    monkeypatch.syspath_prepend(package_folder())
    monkeypatch.delitem(sys.modules, "flockcheck_rules", raising=False)
    importlib.invalidate_caches()

    def run(*args: str, text: str | bytes = "") -> Result:
        result = CliRunner().invoke(cli, list(args), input=text, prog_name="flockcheck")
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        assert "Traceback" not in result.output
        return result

    return run
