"""The page about mending is run: its commands in order, and what they print."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from tests.docs.test_keeper_guide import BLOCK, run_commands
from tests.little_cases import ROOT

PAGE = (ROOT / "docs" / "mend.md").read_text(encoding="utf-8")


def test_mending_does_what_its_page_says(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for name in set(re.findall(r"[a-z-]+\.flock\.yaml", PAGE)):
        shutil.copy(ROOT / "fixtures" / "gone-wrong" / name, tmp_path)
    blocks = [text for _, kind, text in BLOCK.findall(PAGE) if kind == "console"]
    assert len(blocks) == 3
    for text in blocks:
        run_commands(text)
