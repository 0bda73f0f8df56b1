"""Pages made from code and data are made again and compared."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
# Page: the script that prints it.
PAGES = {
    "docs/units.md": "docs/make/units.py",
    "docs/setup-file.md": "docs/make/setup_page.py",
    "docs/report-format.md": "docs/make/report_page.py",
    "docs/rule-files.md": "docs/make/rule_page.py",
    "docs/figures-read.md": "docs/make/citation_page.py",
    "docs/standards.md": "docs/make/standards_page.py",
    "docs/club-settings.md": "docs/make/club_page.py",
}


@pytest.mark.parametrize("page", sorted(PAGES))
def test_a_page_is_what_its_script_prints(page: str) -> None:
    done = subprocess.run(
        [sys.executable, PAGES[page]],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
    )
    assert done.stdout == (ROOT / page).read_text(encoding="utf-8")


def test_the_rule_pages_are_what_their_script_writes(tmp_path: Path) -> None:
    subprocess.run([sys.executable, "docs/make/rule_pages.py", str(tmp_path)], cwd=ROOT, check=True)
    made = {page.relative_to(tmp_path): page.read_bytes() for page in tmp_path.rglob("*.md")}
    kept = ROOT / "docs" / "rules"
    there = {page.relative_to(kept): page.read_bytes() for page in kept.rglob("*.md")}
    assert sorted(there) == sorted(made)
    different = [str(page) for page, text in there.items() if text != made[page]]
    # `python docs/make/rule_pages.py` writes them again.
    assert different == []


def test_the_patterns_of_the_setup_schema_are_those_of_the_reader() -> None:
    done = subprocess.run(
        [sys.executable, "docs/make/schema_patterns.py", "--check"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
