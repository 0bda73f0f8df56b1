"""Fill the patterns of the setup schema from the program's own grammar of quantities.

Run after a change of units: `PYTHONPATH=src python docs/make/schema_patterns.py`. The schema is
changed in place and keeps its layout; with `--check` nothing is written and the exit status is 1
where a pattern is stale.
"""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path

from flockcheck.text.quantities import pattern_for

SCHEMA = Path(__file__).parents[2] / "src" / "flockcheck" / "setup" / "setup.schema.json"
PLACE = re.compile(r'("dimension": "([a-z ]+)",\s*"pattern": )"(?:[^"\\]|\\.)*"')


def filled(text: str) -> str:
    """Return the schema's text with the pattern of each dimension as `pattern_for` gives it."""

    def put(found: re.Match[str]) -> str:
        return found[1] + json.dumps(pattern_for(found[2]), ensure_ascii=False)

    return PLACE.sub(put, text)


def main(arguments: list[str]) -> int:
    old = SCHEMA.read_text(encoding="utf-8")
    new = filled(old)
    if "--check" in arguments:
        return int(new != old)
    if new != old:
        SCHEMA.write_text(new, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
