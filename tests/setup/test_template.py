"""The setup to fill in: it can be checked as it stands, says what is guessed, and reads well."""

from __future__ import annotations

import re
from datetime import date, timedelta

import pytest
from syrupy.assertion import SnapshotAssertion

from flockcheck.checkup.check import check
from flockcheck.setup.form import general, leaves, shape_of
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.template import BIRDS, COUNTS, KINDS, UNITS, planned, setup_text
from tests.little_cases import little

DAY = date(2027, 4, 5)
EVERY = [(birds, units) for birds in BIRDS for units in UNITS]
BLANK = re.compile(r"^( *)# ((?:  )*)(- )?([a-z_]+): (___.*?|\[ \])(?: {2,}#.*)?$")


def text(birds: str = "meat", units: str = "metric", first: date = DAY) -> str:
    return setup_text(planned(birds, units, first), "my.flock.yaml")


@pytest.mark.parametrize(("birds", "units"), EVERY)
@pytest.mark.parametrize(
    "first", [DAY, date(2028, 2, 29), date(2026, 12, 31), date(2000, 6, 1), date(2099, 1, 1)]
)
def test_it_is_read_without_a_fault_whatever_the_birds_units_and_day(
    birds: str, units: str, first: date
) -> None:
    plan = planned(birds, units, first)
    assert plan.readable
    read = read_setup_text(setup_text(plan), "new.flock.yaml")
    assert read.values["birds.0.kind"].value == KINDS[birds]
    assert read.values["birds.0.count"].value == COUNTS[birds]
    assert set(read.families.values()) == {units}


@pytest.mark.parametrize(("birds", "units"), EVERY)
def test_it_is_checked_without_an_error_and_its_dates_are_in_order(birds: str, units: str) -> None:
    read = read_setup_text(text(birds, units), "new.flock.yaml")
    report = check(read, little())
    assert report.verdict != "unreadable"
    days = [read.values[f"birds.0.{key}"].value for key in ("hatched", "out", "leaves")]
    assert days == sorted(set(days))


@pytest.mark.parametrize("birds", BIRDS)
def test_every_key_is_commented_with_the_words_of_the_schema(birds: str) -> None:
    said = " ".join(re.sub(r"^.*?#", "", line).strip() for line in text(birds).splitlines())
    read = read_setup_text(text(birds), "new.flock.yaml")
    for path in read.values:
        shape = shape_of(general(path))
        assert shape is not None
        assert str(shape["description"]) in said, path


@pytest.mark.parametrize("birds", BIRDS)
def test_what_is_written_is_marked_as_a_guess_unless_it_is_none(birds: str) -> None:
    lines = text(birds).splitlines()
    values = [line for line in lines if re.match(r"^ *(- )?[a-z_]+: +?[^ #]", line)]
    sure = [line.split(":")[0].strip(" -") for line in values if "# guess. " not in line]
    # The list of predators has its comment above it.
    assert sure == ["flockcheck", "name", "kind", "predators"]
    assert any(line.startswith("# guess. Every animal") for line in lines)


def test_what_the_keeper_said_is_no_guess() -> None:
    plan = planned("meat", "metric", DAY)._replace(number=44, told=frozenset({"count", "out"}))
    said = setup_text(plan)
    assert re.search(r"count: 44 +# How many birds", said)
    assert re.search(r"out: 2027-05-10 +# The day", said)
    assert re.search(r"hatched: 2027-04-05 +# guess\. The day", said)


@pytest.mark.parametrize(("birds", "units"), EVERY)
def test_blanks_filled_in_are_read_too(birds: str, units: str) -> None:
    """A keeper who fills every blank and takes the # away has a setup that is read."""
    filled = []
    count = 0
    for line in text(birds, units).splitlines():
        blank = BLANK.match(line)
        if blank is None:
            section = re.match(r"^( *)# ((?:  )*)([a-z_]+):(?: {2,}#.*)?$", line)
            filled.append(f"{section[1]}{section[2]}{section[3]}:" if section else line)
            continue
        indent, deeper, dash, key, _ = blank.groups()
        value = _sample(key, line)
        filled.append(f"{indent}{deeper}{dash or ''}{key}: {value}")
        count += 1
    assert count > 30
    read = read_setup_text("\n".join(filled), "filled.flock.yaml")
    assert read.values["guardians.0.kind"].value == "dog"
    assert read.values["pen.frame.span"].family == units
    assert {"pen.weight", "weather.gust", "site.last_poultry"} <= set(read.values)


def _sample(key: str, line: str) -> str:
    """A value that a blank takes: a number with its unit, the first word, a day, or yes."""
    if "[ ]" in line:
        return "[]"
    unit = re.search(r": ___ ([^ #]+)", line)
    if unit:
        usual = {
            "m": "1.1",
            "ft": "3",
            "in": "0.5",
            "mm": "5",
            "kV": "6",
            "years": "3",
            "acre": "1",
        }
        return (
            f"{'42' if key == 'height' and unit[1] == 'in' else usual.get(unit[1], '30')} {unit[1]}"
        )
    words = {
        "kind": "dog", "role": "yard", "material": "timber", "outlet": "downhill",
        "last_poultry_kind": "chicken", "inspected": "2027-05-01", "last_poultry": "2026-05-01",
        "food_crop": "2027-11-01", "fixings": "12", "count": "1", "holes": "0",
        "lamp_supports": "2", "joules": "0.5",
    }  # fmt: skip
    return words.get(key, "yes")


def test_what_is_left_blank_is_not_checked_rather_than_guessed() -> None:
    read = read_setup_text(text(), "new.flock.yaml")
    for key in ("pen.weight", "pen.lid_fastened", "mesh.holes", "weather.night_low", "guardians"):
        assert not read.is_written(key)


@pytest.mark.parametrize("birds", BIRDS)
def test_it_fits_a_page_of_an_editor(birds: str) -> None:
    lines = text(birds).splitlines()
    assert max(len(line) for line in lines) <= 100
    assert all(line == line.rstrip() for line in lines)
    assert "\n\n\n" not in text(birds)


def test_comments_stand_in_one_column() -> None:
    columns = {
        line.index(" # ") for line in text().splitlines() if re.match(r"^ *[a-z-].* # ", line)
    }
    assert len(columns) == 1


def test_keys_that_do_not_fit_the_birds_are_left_out() -> None:
    assert "laying:" not in text("meat") and "nests:" not in text("turkeys")
    assert "laying:" in text("hens") and "brooder:" not in text("hens")
    assert "growth:" not in text("turkeys")


def test_growth_names_the_words_for_these_birds_only() -> None:
    assert "(fast | medium | slow)" in text("meat")
    assert "(light | medium)" in text("hens")


def test_the_keys_are_those_of_the_format() -> None:
    known = {leaf.replace(".*", "") for leaf in leaves()}
    for birds in BIRDS:
        read = read_setup_text(text(birds), "new.flock.yaml")
        assert {general(path).replace(".*", "") for path in read.values} <= known


def test_a_plan_keeps_usual_distances() -> None:
    meat = planned("meat", "metric", DAY)
    assert (meat.out - meat.hatched, meat.heat_off) == (timedelta(35), date(2027, 5, 3))
    hens = planned("hens", "us", DAY)
    assert (DAY - hens.hatched).days == 18 * 7
    assert planned("turkeys", "us", DAY).out - DAY == timedelta(56)


def test_the_heat_is_never_off_before_the_hatch() -> None:
    assert planned("meat", "metric", DAY)._replace(out=DAY + timedelta(2)).heat_off == DAY


def test_a_plan_outside_the_years_of_the_format_says_so() -> None:
    assert not planned("meat", "metric", date(2099, 12, 1)).readable
    assert not planned("hens", "metric", date(2000, 1, 2)).readable
    with pytest.raises(OverflowError):
        planned("meat", "metric", date.max)


@pytest.mark.parametrize(("birds", "units"), [("meat", "metric"), ("hens", "us")])
def test_it_looks_like_this(birds: str, units: str, snapshot: SnapshotAssertion) -> None:
    assert text(birds, units) == snapshot
