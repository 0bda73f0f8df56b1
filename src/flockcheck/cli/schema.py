"""`flockcheck schema`: the JSON Schemas of the package, for editors and other tools."""

from __future__ import annotations

from importlib.resources import files

import click

from flockcheck.cli.output import give

SCHEMAS = {
    "setup": "setup/setup.schema.json",
    "report": "reports/report.schema.json",
    "days": "reports/days.schema.json",
    "club": "club/club.schema.json",
    "club-report": "reports/clubreport.schema.json",
    "rule": "rulebook/schemas/rule.schema.json",
    "table": "rulebook/schemas/table.schema.json",
    "levers": "rulebook/schemas/levers.schema.json",
    "sources": "rulebook/schemas/sources.schema.json",
}


@click.command("schema", short_help="Print a JSON Schema.")
@click.argument("of", type=click.Choice(list(SCHEMAS)), default="setup")
@click.option("--output", metavar="FILE", help="Write the schema there.")
def command(of: str, output: str | None) -> None:
    """Print the JSON Schema of a setup (or of a report, of club.yaml, or of a rulebook's files)."""
    text = files("flockcheck").joinpath(SCHEMAS[of]).read_text(encoding="utf-8")
    give(text, output)
