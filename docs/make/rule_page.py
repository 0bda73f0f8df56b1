"""Print `docs/rule-files.md`, the reference for rule authors, from the schemas of a rulebook."""

from __future__ import annotations

from schema_tables import Schema, authors_table, has_section, kinds_table, load

OPENING = """\
<!-- Made by docs/make/rule_page.py from src/flockcheck/rulebook/schemas. -->

# The files of a rulebook

A rulebook is a folder: `sources.yaml` names the publications, `tables/` holds figures that rules
and measures look up, `levers.yaml` says what a fix may move, `base.flock.yaml` is a well-run setup
in which no rule finds anything, and every other folder is a topic with one file for each rule. The
files are data. Reading one runs no code, so a rulebook can be taken from someone you don't know.
`flockcheck prove FOLDER` holds every file against this page, resolves every name in it and runs the
examples of its rules.

Everything a file holds is text, a list or a map: `yes`, `3 weeks` and `0.5` mean what the key
beside them makes of them. Numbers carry their unit, in whatever units the source uses.

## A small rule

`perches/perches-crowded.yaml`:

```yaml
rule: perches-crowded
asks: Is there a place for everyone on the perches?
title: The perches are crowded
for: {care.night_house: no}
key: pen.perches
limits:
  - at_least: {each_bird: {table: perch_room, column: edge}}
    grade: watch
    practice: common
  - at_least: {each_bird: 15 cm, of: {group.kind: egg chicken}}
    grade: mend
    says: "The law for larger flocks gives such hens {limit} of perch; you have {pen.perches}."
    source: {id: eu-1999-74, where: "art. 4(1)(1)(d)"}
says: "{birds_here} birds have {pen.perches} of perch and would fill {limit}."
look: >
  Look in an hour after dark. Birds that found no place sit on the nests or huddle on the ground.
why: >
  Whoever finds no place at dusk is pushed off in the night, and sleeps in the droppings below.
  Dirty breasts show within a week.
fixes:
  - {more: pen.perches}
  - {less: group.count}
  - {do: "Hang a second perch a foot beside the first, at the same height."}
examples:
  - {with: {birds.0.count: 40, pen.perches: 2 m}, finds: nothing}
  - {with: {birds.0.count: 40, pen.perches: 6 ft 6 in}, finds: watch}
  - {with: {birds.0.count: 40, pen.perches: left out}, finds: not checked, needs: pen.perches}
  - {with: {care.night_house: yes}, finds: not asked}
```

## A small table

`tables/perch_room.yaml`:

```yaml
table: perch_room
says: length of perch that one bird fills
by: [group.kind]
gives: {edge: length}
rows:
  - for: {group.kind: egg chicken}
    values: {edge: 15 cm}
    source: {id: eu-1999-74, where: "art. 4(1)(1)(d)"}
  - for: {group.kind: turkey}
    values: {edge: 10 cm}
    source: {id: eu-2020-464, where: annex I part IV, seen: second hand}
  - for: {}
    values: {edge: 5 cm}
    source: {id: eu-2020-464, where: annex I part IV, seen: second hand}
    note: the figure for meat chickens, which also stands for anything else
```

## How a question is answered

Three answers are possible where a condition is tested: it holds, it does not, or it is unknown
because the keeper left something out. If any condition of `for` does not hold, the rule is not
asked. If none fails and one is unknown, it is not checked, and the report names the key. A limit's
`if` does the same to that limit alone. What changes by day is judged for each day, and each day
takes the worst limit that fails.

In limits a comparator says what must hold; in conditions it says what is tested. Figures that are
equal pass, to within one part in a thousand million, so that a setup in feet and its twin in metres
get one answer.

Every limit and every row of a table says where it comes from: a source with the place in it, or
`practice: common`. What was not read off the publication itself is marked so: `recalled: yes` from
memory, `seen: second hand` where somebody else reports it, `derived: ...` where it was worked out.
Where two marks would fit, the weaker stands, and a `note` says the rest.

A limit with `standard: NAME` is judged only where the setup asks for that standard, and finds
nothing. Each standard in a rule wants an example that keeps it and one that breaks it:
`{with: {pen.perches: 5 m}, standard: eu-organic, finds: broken}`.
"""

FILES = {
    "rule": "One for each rule: `<topic>/<name of the rule>.yaml`.",
    "table": "One for each table: `tables/<name of the table>.yaml`.",
    "levers": "`levers.yaml`.",
    "sources": "`sources.yaml`.",
}


def page() -> str:
    """The whole page."""
    lines = [OPENING]
    told: set[str] = set()
    for name, where in FILES.items():
        schema = load(f"rulebook/schemas/{name}.schema.json")
        lines += [f"## {schema['title']}", "", where, "", schema["description"], ""]
        lines += sections(schema, told)
        told |= set(schema["$defs"])
    return "\n".join(lines).rstrip() + "\n"


def sections(schema: Schema, told: set[str]) -> list[str]:
    """The tables of one kind of file, without the definitions that were shown before."""
    lines = authors_table(schema, schema) if "properties" in schema else []
    for name, shape in schema["$defs"].items():
        if name not in told and has_section(shape):
            lines += [f"### {shape['title']}", "", shape["description"], ""]
            lines += authors_table(shape, schema)
    values = kinds_table(schema, told)
    return [*lines, *(["### Values in it", "", *values] if values else [])]


if __name__ == "__main__":
    print(page(), end="")
