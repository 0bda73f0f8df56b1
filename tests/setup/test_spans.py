"""What no schema can say of a setup: how long its stay is, and how much work it makes."""

from __future__ import annotations

import pytest

from flockcheck.setup.reader import SetupError, read_setup_text
from flockcheck.setup.spans import MOST_DAYS
from flockcheck.text.document import Fault


def faults_in(text: str) -> tuple[Fault, ...]:
    with pytest.raises(SetupError) as caught:
        read_setup_text(text, "a.flock.yaml")
    return caught.value.faults


def large(groups: int, leaves: str, kit: int) -> str:
    group = f"{{kind: turkey, count: 5, hatched: 2027-04-01, out: 2027-05-01, leaves: {leaves}}}"
    return (
        "flockcheck: 1\npen: {length: 4 m, width: 2 m}\nbirds:\n"
        + f"  - {group}\n" * groups
        + "feeders:\n"
        + "  - {form: tube}\n" * kit
    )


def test_more_groups_days_and_kit_than_one_file_can_hold_are_told() -> None:
    (fault,) = faults_in(large(20, "2028-04-30", 40))
    assert (fault.line, fault.path) == (4, "birds")
    assert fault.says == (
        "365 days with 20 groups of birds and 40 entries of feeders and drinkers are more than "
        "one file can hold. Give some of them a file of their own"
    )
    (one,) = faults_in(large(1, "2030-04-30", 50) + "drinkers:\n" + "  - {form: bell}\n" * 50)
    assert one.says.startswith("1095 days with 1 group of birds and 100 entries of feeders")


@pytest.mark.parametrize(
    ("groups", "leaves", "kit"),
    [(1, "2030-04-30", 40), (4, "2030-04-30", 6), (6, "2028-05-30", 20), (20, "2027-08-30", 20)],
)
def test_whatever_a_keeper_may_have_is_read(groups: int, leaves: str, kit: int) -> None:
    assert read_setup_text(large(groups, leaves, kit), "a.flock.yaml").lists["birds"] == groups


def test_a_slip_in_a_year_is_told_at_the_day_and_three_years_are_none() -> None:
    (fault,) = faults_in(large(1, "2035-04-30", 0).replace("feeders:\n", ""))
    assert fault.path == "birds.0.leaves"
    assert fault.says == (
        "`leaves`: `2035-04-30` is 2921 days after the first birds go out; a file covers "
        f"{MOST_DAYS} days at most"
    )
    longest = large(1, "2030-05-05", 1)
    assert read_setup_text(longest, "a.flock.yaml").values["birds.0.leaves"].text == "2030-05-05"
