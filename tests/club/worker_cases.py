"""The worker that docs/many-machines.md shows, put where every process can import it."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def put_worker(folder: Path) -> None:
    """Write the page's `judged.py` into a folder."""
    page = ROOT.joinpath("docs", "many-machines.md").read_text(encoding="utf-8")
    [code] = re.findall(r"```python\n(.*?)```", page, re.DOTALL)
    folder.joinpath("judged.py").write_text(code, encoding="utf-8")
