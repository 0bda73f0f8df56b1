"""What a finding says, in the keeper's own numbers and units."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from flockcheck.checkup.wording import Wording, day_words, listed
from tests.little_cases import birds, found, may, report, setup


def test_a_text_speaks_of_the_worst_day_and_of_all_of_them() -> None:
    """60 birds weigh 9 kg/m2 on 1 May and 18 on the last day; past 15 it is watched."""
    assert found(report(birds(60)), "tight").says == (
        "The pen holds 60 birds, 18 kg/m2 on 31 May and 15 kg/m2 at most; from 22 May to 31 May it "
        "goes from 9 kg/m2 to 18 kg/m2, between 9 kg/m2 and 18 kg/m2, on 4 m by 2.5 m."
    )


def test_numbers_are_shown_in_the_units_that_the_keeper_used_for_them() -> None:
    mixed = report(("night_low: 12 C", "night_low: 46.4 F"), ("day_high: 20 C", "day_high: 68 F"))
    assert found(mixed, "cold-nights").says == (
        "The meat chickens: 46.4 F on 1 May, when birds of 30 days want 50.9 F."
    )
    assert "2.5 m" in found(report(birds(60)), "tight").says


def test_a_value_just_past_its_limit_never_looks_like_it() -> None:
    near = found(report(("opening: 20 mm", "opening: 25.41 mm")), "gets-in")
    assert near.says == "A mink meets 25.41 mm, and 25.4 mm keeps it out."


def test_an_item_is_called_by_its_number_only_where_there_are_several() -> None:
    spill = ("freeboard: 20 mm", "freeboard: 2 mm")
    assert found(report(spill), "outlet-spills").says.startswith("The drinker: ")
    more = ("drinkers:\n", "drinkers:\n  - {form: nipple, count: 4}\n")
    assert found(report(spill, more), "outlet-spills").says.startswith("Drinker 2: ")


def test_what_is_said_to_do_names_the_item_that_is_meant() -> None:
    spill = found(report(("freeboard: 20 mm", "freeboard: 2 mm")), "outlet-spills")
    assert spill.advice == ("turn the drinker so that its outlet faces downhill",)


def test_what_is_not_written_is_said_to_be_so() -> None:
    no_form = report(("fill: vacuum, outlet: uphill, covered: yes", "outlet: uphill, covered: no"),
                     ("form: trough, supply", "supply"))  # fmt: skip
    assert found(no_form, "outlet-spills").says == "The drinker is open and what is not written."


@pytest.mark.parametrize(
    ("value", "dimension", "shown"),
    [
        (None, "length", "none"),
        (True, "flag", "yes"),
        (False, "flag", "no"),
        (date(2027, 5, 1), "date", "1 May"),
        ("2027-12-31", "date", "31 December"),
        (("fox",), "names", "fox"),
        (("fox", "mink", "rat"), "names", "fox, mink and rat"),
        ((), "names", "none"),
        (True, "names", "none"),
        (False, "names", "at least one"),
        ("two-step", "word", "two-step"),
        (("bag", "open"), "word", "bag and open"),
        (3, "count", "3"),
        (0.5, "share", "50 %"),
        (2.5, "length", "2.5 m"),
        (21.0, "time", "21 days"),
    ],
)
def test_a_value_is_shown_as_the_keeper_would_write_it(
    value: Any, dimension: str, shown: str
) -> None:
    assert Wording(setup()).show(value, dimension) == shown


def test_the_family_asked_for_wins_over_the_keepers() -> None:
    assert Wording(setup(), "us").show(2.5, "length") == "8.2 ft"
    assert Wording(setup()).family("length") == "metric"


def test_words_are_listed_as_they_are_read_aloud() -> None:
    assert [listed([]), listed(["a"]), listed(["a", "b"]), listed(["a", "b", "c"])] == [
        "none", "a", "a and b", "a, b and c",
    ]  # fmt: skip


def test_a_day_is_told_with_its_year_where_asked() -> None:
    assert (day_words(may(3)), day_words(may(3), year=True)) == ("3 May", "3 May 2027")
