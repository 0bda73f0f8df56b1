"""Print `docs/report-format.md`, the reference of the JSON report, from its schema."""

from __future__ import annotations

from schema_tables import has_section, load, readers_table

OPENING = """\
<!-- Made by docs/make/report_page.py from src/flockcheck/reports/report.schema.json. -->

# The report, for programs

`flockcheck check --format json` prints one report on everything it was given; `--format jsonl`
prints one [setup](#a-setup) on each line, without what stands around it. `flockcheck schema` prints
the JSON Schema that this page is made from; the tests hold real output against it.

The report is version 1 as long as it only grows: every key below is always there, keys may be
added, and none is renamed, taken away or given another sense. Pass over keys you do not know. The
same input gives the same bytes: nothing in a report depends on the clock, on the machine or on the
order in which files were found.

Days are written `2027-05-12`. Numbers are in base units (m, m2, m3, kg, N, Pa, m/s, days, deg C and
what is made of them), and beside each stands how it is `shown` to the keeper, in the keeper's own
family of units. Items of a list are counted from 0, as in `drinkers.0.outlet`; lines and columns
from 1.

## Exit status

| status | means |
|---|---|
| 0 | nothing at or above `--least`, and every standard asked for is met or could not be checked |
| 1 | something at or above it, a standard not met, or a key that the club requires is missing |
| 2 | a file, folder, plugin or rulebook could not be handled, or the command was used wrongly |

2 outranks 1. `--least` is the club's, or `mend`, unless another grade is given.
Accepted findings do not count. `cannot say` is 0; with `--unchecked-fails` it is 1. A setup that is
`over` fails nothing. A pipe that is closed early ends the run quietly.

## Verdicts

The verdict counts `stop` and `mend`; `watch` and `tip` do not touch it.

| verdict | means |
|---|---|
| `ready` | nothing stands against it, as far as was checked |
| `ready until` | something begins later; `ready_until` is the day before it |
| `not ready` | something stands against it from the first day, before it, or on every day alike |
| `cannot say` | fewer than half of the questions that could say stop or mend could be checked |
| `over` | the birds have left by the day given with `--on`; without `--on` no setup is over |
| `unreadable` | the file itself has `errors` |

A setup that does not say when the birds leave is never better than `ready until` `looked_until`,
and never over: with `--on`, hold `ready_until` against that day.

## Grades

| grade | means |
|---|---|
| `stop` | birds or people are likely to be hurt: do not move birds in |
| `mend` | below a minimum: put right first |
| `watch` | a thin margin, or wants an eye kept on it |
| `tip` | good practice |

## The whole report
"""


def page() -> str:
    """The whole page."""
    schema = load("reports/report.schema.json")
    lines = [OPENING, *readers_table(schema, schema)]
    for shape in schema["$defs"].values():
        if has_section(shape):
            lines += [f"## {shape['title']}", "", shape["description"], ""]
            lines += readers_table(shape, schema)
    return "\n".join(lines).rstrip() + "\n"


if __name__ == "__main__":
    print(page(), end="")
