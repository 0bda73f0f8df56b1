"""Print `docs/club-settings.md`, the reference of club.yaml, from its schema."""

from __future__ import annotations

import json
from pathlib import Path

ROOT = Path(__file__).parents[2]
SCHEMA = ROOT / "src" / "flockcheck" / "club" / "club.schema.json"
EXAMPLE = ROOT / "fixtures" / "club" / "club.yaml"

OPENING = """\
<!-- Made by docs/make/club_page.py from src/flockcheck/club/club.schema.json. -->

# The club's settings

A club keeps its members' setups in one folder, with a file `club.yaml` at its top. It holds for
every setup below, whichever of them is checked: `flockcheck check` looks for it in the folder of
the setup and above, but never above the repository. This is a whole one:

```yaml
{example}
```

`flockcheck check members/` then shows each setup that fails, and a table of all; `--summary` shows
the table alone, `--since REV` checks only what changed since a git revision (everything, where
club.yaml or a rulebook changed), and `--format jsonl` prints a line for each setup as it comes.

## What it does

- **A member's own keys win.** The club's weather fills in what a member left out; its predators
  and standards are added. What came from the club is told in every report, and a finding about it
  points into `club.yaml`.
- **What is asked of everyone fails whoever lacks it**: a key under `requires` that a member left
  out makes the check fail, whatever the verdict. The club's own weather is no answer.
- **A risk is accepted on the club's terms.** An acceptance that is longer than `longest` is cut,
  and the report says so; one for a rule under `never` covers nothing. Where someone can get hurt,
  the cautious end of 30 days holds as well.
- **Rulebooks are data.** No code in them is run; code that lies in one is told, and the check ends
  with status 2. They lie below the club's folder: a path or link that leads out of it is refused.
- **A mistake in `club.yaml` is told with its line, and nobody is judged** until it is put right.
- **`why`, `days` and `round` judge a member's setup the same way**, and say in one line what came
  from the club; in JSON it is `from_club`. A working names the line of `club.yaml`.
- A folder below that has a `club.yaml` of its own is another club's: it is left out, and told.

## Kept reports

A setup that nobody changed is not checked again: its report is kept in the user's cache folder, by
what it rests on (the setup's bytes, the club's settings, the rules, the program, the options), and
without any path. `--afresh` checks everything anew and keeps nothing. A cache that is spoiled, full
or gone changes no report, and costs only time.

## Keys

| key | holds |
|---|---|
"""


def page() -> str:
    """The whole page."""
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    lines = [OPENING.format(example=EXAMPLE.read_text(encoding="utf-8").rstrip())]
    rows: list[str] = []
    for key, shape in schema["properties"].items():
        due = " Required." if key in schema["required"] else ""
        rows.append(f"| `{key}` | {shape['description']}{due} |\n")
        for inner, part in shape.get("properties", {}).items():
            rows.append(f"| `{key}.{inner}` | {part['description']} |\n")
    ending = (
        "\n`weather` and `predators` are written as in [a setup](setup-file.md). "
        "`flockcheck schema club` prints\nthe JSON Schema that this page is made from.\n"
    )
    return "".join([*lines, *rows, ending])


if __name__ == "__main__":
    print(page(), end="")
