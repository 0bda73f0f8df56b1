from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from flockcheck.text.quantities import DIMENSIONS

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "units.md").read_text(encoding="utf-8")


def test_the_page_of_units_is_what_its_maker_prints() -> None:
    made = subprocess.run(
        [sys.executable, "-X", "utf8", str(ROOT / "docs" / "make" / "units.py")],
        capture_output=True,
        encoding="utf-8",
        check=True,
    )
    assert made.stdout == PAGE, "run `python docs/make/units.py > docs/units.md`"


def test_the_page_of_units_leaves_none_out() -> None:
    for dimension, kind in DIMENSIONS.items():
        section = PAGE.partition(f"## {dimension.capitalize()}\n")[2].partition("\n## ")[0]
        assert section, dimension
        for unit in kind.units:
            for name in unit.spellings:
                assert f"`{name}`" in section or not name, f"{name} of {dimension}"
