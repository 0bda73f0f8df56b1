"""Every table of the rulebook is held against the outside, or the reason why not stands here."""

from __future__ import annotations

from tests.outside.cases import book
from tests.outside.named import HERE, declared

# Table and reason, for tables with a cited row that still can't be held against a publication.
NOT_HELD: dict[str, str] = {}


def only_common_practice(name: str) -> bool:
    """Whether no row of a table cites a publication: then there is nothing to hold it against."""
    rows = book().tables[name].rows
    return all(row.cites.get("practice") == "common" for row in rows)


def test_every_table_is_held_against_a_publication_or_excused() -> None:
    held = declared("TABLES")
    for name in book().tables:
        assert name in held or name in NOT_HELD or only_common_practice(name), (
            f"the table {name} should stand in TABLES of a test under tests/outside, "
            "or in NOT_HELD with the reason"
        )


def test_nothing_is_said_to_be_held_or_excused_that_does_not_exist() -> None:
    known = set(book().tables)
    assert set(declared("TABLES")) <= known
    assert set(NOT_HELD) <= known
    figures = {row.where["figure"][0] for row in book().tables["figures"].rows}
    assert set(declared("FIGURES")) <= figures


def test_a_check_that_claims_a_table_reads_it() -> None:
    # The measures that each check asks for read these tables without naming them.
    through_measures = {
        "growth": ("weights",),
        "feed_eaten": ("eaten",),
        "figures": ("figure", "by_age"),
        "feeder_law": ("feeder-space-short",),
        "drinker_law": ("drinker-space-short",),
        "drinker_places": ("drinker-space-short",),
        "water_typical": ("mild_water_typical",),
        "water_high": ("mild_water_high",),
    }
    for name, files in declared("TABLES").items():
        for file in files:
            text = (HERE / file).read_text(encoding="utf-8").split("TABLES = ", 1)[1]
            body = text.split("\n", 1)[1]
            names = (f'"{name}"', *through_measures.get(name, ()))
            assert any(word in body for word in names), (name, file)
