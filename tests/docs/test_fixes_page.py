"""The page about fixes, plans and what if is run: its commands, and what they print."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from tests.docs.test_keeper_guide import BLOCK, run_commands
from tests.little_cases import ROOT

PAGE = (ROOT / "docs" / "fixes.md").read_text(encoding="utf-8")
BLOCKS = [text for _, kind, text in BLOCK.findall(PAGE) if kind == "console"]


@pytest.mark.parametrize("block", BLOCKS, ids=range(len(BLOCKS)))
def test_fixes_are_told_as_their_page_says(
    block: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for name in set(re.findall(r"[a-z-]+\.flock\.yaml", PAGE)):
        shutil.copy(ROOT / "fixtures" / "gone-wrong" / name, tmp_path)
    run_commands(block)


def test_every_option_about_fixes_stands_on_the_page() -> None:
    for option in ("--fixes", "--no-fixes", "--plan", "--keep", "--with"):
        assert option in PAGE
