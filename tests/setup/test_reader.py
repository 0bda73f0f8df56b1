"""Reading a setup: values in base units with their places, and every fault in words to act on."""

from __future__ import annotations

import math
import time
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from syrupy.assertion import SnapshotAssertion

from flockcheck.setup.form import leaves, resolve, schema, shape_of
from flockcheck.setup.reader import SetupError, faults_of, read_setup_bytes, read_setup_text
from flockcheck.setup.written import Setup
from flockcheck.text.document import AND_MORE, MOST_FAULTS, Fault, Mark, read_nodes
from flockcheck.text.quantities import parse_quantity

ROOT = Path(__file__).parents[2]
FIXTURES = ROOT / "fixtures"
WHOLE = Path(__file__).with_name("whole.flock.yaml").read_text(encoding="utf-8")
MINIMAL = (FIXTURES / "minimal.flock.yaml").read_text(encoding="utf-8")
BROKEN = (FIXTURES / "broken" / "typing-errors.flock.yaml").read_text(encoding="utf-8")
SOUND = sorted(
    path for path in FIXTURES.rglob("*.flock.yaml") if path.parent.name in ("good", "bad", "mixed")
)

# What is written instead of what, in the file that has every key.
SLIPS: dict[str, tuple[str, str]] = {
    # Quantities.
    "no unit": ("length: 4.2 m", "length: 4.2"),
    "no unit on a share": ("windbreak: 20 %", "windbreak: 0.2"),
    "the unit of another dimension": ("weight: 90 kg", "weight: 20 gal"),
    "a unit that is none": ("width: 2.5 m", "width: 2.5 metrs"),
    "a comma in a number": ("width: 2.5 m", "width: 2,5 m"),
    "a range": ("protein: 20 %\n  calcium", "protein: 18-20 %\n  calcium"),
    "months": ("rest: 26 weeks", "rest: 6 months"),
    "degrees of which kind": ("unheated_low: 9 C", "unheated_low: 9 deg"),
    "nothing for a quantity": ("weight: 90 kg", "weight:"),
    "nothing in quotes for a quantity": ("weight: 90 kg", 'weight: " "'),
    "a list for a quantity": ("weight: 90 kg", "weight: [90 kg]"),
    "keys for a quantity": ("weight: 90 kg", "weight: {kg: 90}"),
    "a pen of 3 km": ("length: 4.2 m", "length: 3 km"),
    "a pen that is only just too long, in feet": ("length: 4.2 m", "length: 197 ft"),
    "a night of -90 C": ("night_low: 4 C", "night_low: -90 C"),
    "a night of -130 F": ("night_low: 4 C", "night_low: -130 F"),
    "a slope of 200 %": ("slope: 1 in 25", "slope: 200 %"),
    "a length below nothing": ("skirt: 40 cm", "skirt: -40 cm"),
    "a long text for a quantity": ("weight: 90 kg", f"weight: {'about ' * 30}90 kg"),
    # Dates.
    "a day that is none": ("hatched: 2027-04-01", "hatched: 2027-04-31"),
    "a date the other way round": ("hatched: 2027-04-01", "hatched: 01/04/2027"),
    "a date with letters": ("hatched: 2027-04-01", "hatched: 1 April"),
    "a date with short parts": ("hatched: 2027-04-01", "hatched: 2027-4-1"),
    "a date of long ago": ("hatched: 2027-04-01", "hatched: 0227-04-01"),
    "nothing for a date": ("hatched: 2027-04-01", "hatched:"),
    # Flags.
    "a flag in capitals": ("lid_fastened: yes", "lid_fastened: YES"),
    "a flag by another word": ("lid_fastened: yes", "lid_fastened: on"),
    "a flag that is unknown": ("lid_fastened: yes", "lid_fastened: unknown"),
    "a flag with a reason": ("lid_fastened: yes", "lid_fastened: mostly"),
    "nothing for a flag": ("lid_fastened: yes", "lid_fastened:"),
    # Words.
    "a word misspelt": ("weave: hexagonal", "weave: hexagnal"),
    "a word in capitals": ("weave: hexagonal", "weave: Hexagonal"),
    "a word with another name here": ("weave: hexagonal", "weave: chicken wire"),
    "a word that is none": ("weave: hexagonal", "weave: knitted"),
    "a kind that is not covered": ("- kind: turkey", "- kind: duck"),
    "nothing for a word": ("weave: hexagonal", "weave:"),
    "growth of the other kind of chicken": ("growth: slow", "growth: light"),
    "growth of hens as for meat": ("growth: light", "growth: fast"),
    "growth misspelt": ("growth: slow", "growth: slwo"),
    "growth that is none": ("growth: slow", "growth: enormous"),
    "growth for turkeys": ("- kind: turkey", "- kind: turkey\n    growth: fast"),
    "growth misspelt for turkeys": ("- kind: turkey", "- kind: turkey\n    growth: rapid"),
    "no growth": ("    growth: slow\n", ""),
    # Numbers.
    "half a bird": ("count: 28", "count: 28.5"),
    "a count with a unit": ("count: 28", "count: 28 birds"),
    "a count in words": ("count: 28", "count: a few"),
    "a count of none": ("count: 28", "count: 0"),
    "a count of many": ("count: 28", "count: 28000"),
    "nothing for a count": ("count: 28", "count:"),
    "a number with a unit": ("joules: 0.8", "joules: 0.8 J"),
    "a number that is too large": ("joules: 0.8", "joules: 8000"),
    "a number below nothing": ("checks_per_day: 3", "checks_per_day: -1"),
    "another version of the format": ("flockcheck: 1", "flockcheck: 2"),
    "a version with a point": ("flockcheck: 1", "flockcheck: 1.0"),
    # Texts.
    "a name that goes on and on": ("name: Hazel Lane, everything written", f"name: {'a' * 201}"),
    "a list for a name": ("name: Hazel Lane, everything written", "name: [a, b]"),
    "a rule in capitals": ("rule: turkeys-with-chickens", "rule: Turkeys with chickens"),
    "an item by a number": ("item: birds.2", "item: 3rd group"),
    "no reason": (
        "because: the poults go to the far field as soon as their own pen is finished",
        "because:",
    ),
    # Keys.
    "a key misspelt": ("ground_gap: 1 cm", "ground_gab: 1 cm"),
    "a key in capitals": ("weave: hexagonal", "Weave: hexagonal"),
    "a key with a space": ("ground_gap: 1 cm", "ground gap: 1 cm"),
    "a key with a dash": ("ground_gap: 1 cm", "ground-gap: 1 cm"),
    "a key of another section": ("weave: hexagonal", "weave: hexagonal\n  perches: 3 m"),
    "a key of several sections": ("nests: 3", "nests: 3\n  sides: 2"),
    "a key of a section, at the top": ("look_ahead: 8 weeks", "gust: 12 m/s"),
    "a key that nothing has": ("weave: hexagonal", "weave: hexagonal\n  colour: green"),
    "a key that nothing has, at the top": ("look_ahead: 8 weeks", "colour: green"),
    "a key that no entry has": ("- kind: turkey", "- kind: turkey\n    colour: bronze"),
    "a long key": ("weave: hexagonal", f"weave: hexagonal\n  {'colour_' * 20}: green"),
    "no space in braces": (
        "{from: 2027-06-01, every: 12 hours}",
        "{from:2027-06-01, every: 12 hours}",
    ),
    "a section with a value": ("anchors:\n    count: 4\n    hold: 380 N", "anchors: 4"),
    "a section with a list": ("anchors:\n    count: 4\n    hold: 380 N", "anchors: [4, 380 N]"),
    "a section with nothing": ("anchors:\n    count: 4\n    hold: 380 N", "anchors:"),
    "a section with no space": ("anchors:\n    count: 4\n    hold: 380 N", "anchors:\n    count:4"),
    "a key missing": ("  width: 2.5 m\n", ""),
    "a key of an entry missing": ("    out: 2027-05-10\n", ""),
    "a key of a small entry missing": (
        "{from: 2027-06-01, every: 12 hours}",
        "{from: 2027-06-01}",
    ),
    "the version missing": ("flockcheck: 1\n", ""),
    # Lists.
    "a word for a list": ("predators: [fox, badger, weasel, hawk, rat]", "predators: fox"),
    "words without brackets": (
        "predators: [fox, badger, weasel, hawk, rat]",
        "predators: fox, mink",
    ),
    "nothing for a list of words": ("predators: [fox, badger, weasel, hawk, rat]", "predators:"),
    "a list of words with a wrong one": ("[fox, badger, weasel", "[fox, stoat, wesel, zebra"),
    "a list of words with a list in it": ("[fox, badger, weasel", "[fox, [badger]"),
    "a word twice": ("[fox, badger, weasel", "[fox, badger, fox"),
    "a standard that is no name": ("[eu-organic, us-organic]", "[EU organic]"),
    "a word for a list of standards": ("[eu-organic, us-organic]", "eu-organic"),
    "one entry without its dash": (
        "    later:\n      - {from: 2027-06-01, every: 12 hours}",
        "    later: {from: 2027-06-01, every: 12 hours}",
    ),
    "an entry that is a word": (
        "    later:\n      - {from: 2027-06-01, every: 12 hours}",
        "    later: [daily]",
    ),
    "no feeders": (
        WHOLE[WHOLE.index("feeders:\n") : WHOLE.index("\nwater:")],
        "feeders: []\n",
    ),
    "no birds": (WHOLE[WHOLE.index("birds:\n") : WHOLE.index("\nfeed:")], "birds: []\n"),
    "more entries than are read": ("pets: [cat, dog]", "pets: [cat, dog, cat]"),
    "a slip in a year": ("leaves: 2027-06-24", "leaves: 2072-06-24"),
    "a group that goes out years after": ("out: 2027-05-10", "out: 2031-05-10"),
    # Weighings.
    "weights in a list": ("{14 days: 180 g, 28 days: 0.55 kg}", "[180 g, 0.55 kg]"),
    "a weight without its age": ("14 days: 180 g", "first: 180 g"),
    "a weight without a unit": ("14 days: 180 g", "14 days: 180"),
    "a weight out of bounds": ("14 days: 180 g", "14 days: 180 kg"),
    "a weight that is a list": ("14 days: 180 g", "14 days: [180 g, 190 g]"),
    "two weights for one age": ("14 days: 180 g", "2 weeks: 180 g, 14 days: 190 g"),
    # Periods of weather.
    "a period that ends before it begins": ("to: 2027-06-26", "to: 2027-06-02"),
    "a period without its end": ("      to: 2027-06-26\n", ""),
    "two periods that overlap": (
        "  periods:\n",
        "  periods:\n    - {from: 2027-06-01, to: 2027-06-12, rain: no}\n",
    ),
    "periods within a long one": (
        "  periods:\n",
        "  periods:\n    - {from: 2027-06-01, to: 2027-06-30}\n"
        "    - {from: 2027-06-03, to: 2027-06-04}\n",
    ),
    # What no file may hold.
    "an alias for a quantity": ("weight: 90 kg", "weight: *heavy"),
    "a tag on a quantity": ("weight: 90 kg", "weight: !!str 90"),
    "an anchor on a section with a fault": ("anchors:\n    count: 4", "anchors: &a\n    count: x"),
    "an alias for a key": ("  weight: 90 kg\n", "  *heavy : 90 kg\n"),
    "a merge key": ("  weight: 90 kg\n", "  <<: {weight: 90 kg}\n"),
    "a tab": ("  weight: 90 kg\n", "\tweight: 90 kg\n"),
}  # fmt: skip


def faults_in(text: str) -> tuple[Fault, ...]:
    with pytest.raises(SetupError) as caught:
        read_setup_text(text, "a.flock.yaml")
    return caught.value.faults


def changed(old: str, new: str) -> str:
    assert WHOLE.count(old) == 1, f"{old!r} stands {WHOLE.count(old)} times in the file"
    return WHOLE.replace(old, new)


def told(text: str) -> list[str]:
    return [f"line {fault.line}: {fault.says}" for fault in faults_in(text)]


@pytest.fixture(scope="module")
def whole() -> Setup:
    return read_setup_text(WHOLE, "whole.flock.yaml")


# --- What is read --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "value", "text", "family"),
    [
        ("flockcheck", 1, "1", ""),
        ("name", "Hazel Lane, everything written", "Hazel Lane, everything written", ""),
        ("look_ahead", 56.0, "8 weeks", ""),
        ("standards", ("eu-organic", "us-organic"), "eu-organic, us-organic", ""),
        ("site.slope", 0.04, "1 in 25", ""),
        ("site.ground", 4000.0, "0.4 ha", "metric"),
        ("site.nitrogen_used", 25.0, "25 kg/ha", "metric"),
        ("site.soil_wet", False, "no", ""),
        ("site.last_poultry", date(2026, 10, 3), "2026-10-03", ""),
        ("weather.rain", True, "true", ""),
        ("weather.gust", 15.0, "54 km/h", "metric"),
        ("weather.periods.0.to", date(2027, 6, 26), "2027-06-26", ""),
        ("pen.roof.insulated", False, "false", ""),
        ("pen.roof.pitch", math.tan(math.radians(6)), "6 deg", ""),
        ("pen.anchors.hold", 380.0, "380 N", "metric"),
        ("pen.moves.later.0.every", 0.5, "12 hours", ""),
        ("birds.0.count", 28, "28", ""),
        ("birds.0.vaccinated", ("coccidiosis", "marek"), "coccidiosis, marek", ""),
        ("birds.0.weights", ((14.0, 0.18), (28.0, 0.55)), "14 days: 180 g, 28 days: 0.55 kg", ""),
        ("guardians.1.voltage", 6200.0, "6200 V", ""),
        ("guardians.1.joules", 0.8, "0.8", ""),
        ("accepted.0.item", "birds.2", "birds.2", ""),
    ],
)
def test_a_value_is_in_base_units_beside_its_text_and_family(
    whole: Setup, path: str, value: object, text: str, family: str
) -> None:
    written = whole.values[path]
    if isinstance(value, float):
        value = pytest.approx(value, rel=1e-12)
    assert (written.value, written.text, written.family) == (value, text, family)
    assert type(written.value) is type(value) or isinstance(written.value, float)


def test_every_key_of_the_format_is_read(whole: Setup) -> None:
    read = {
        ".".join("*" if part.isdigit() else part for part in path.split("."))
        for path in whole.values
    }
    assert read == set(leaves())


@pytest.mark.parametrize("path", SOUND, ids=lambda path: path.name.partition(".")[0])
def test_every_value_stands_where_its_place_says(path: Path) -> None:
    setup = read_setup_bytes(path.read_bytes(), path.name)
    assert setup.text == path.read_text(encoding="utf-8")
    for key, written in setup.values.items():
        source = setup.text[written.start.at : written.end.at]
        shape = shape_of(".".join("*" if part.isdigit() else part for part in key.split(".")))
        assert shape is not None
        if isinstance(written.value, tuple):
            assert source[0] in "[1"
        elif not source.startswith("|"):
            assert source == written.text


def test_lists_of_entries_are_counted_and_places_of_entries_are_kept(whole: Setup) -> None:
    assert whole.lists == {
        "weather.periods": 1, "brooder.log": 2, "pen.moves.later": 1, "birds": 3, "feed.later": 1,
        "feeders": 2, "drinkers": 2, "guardians": 2, "accepted": 1,
    }  # fmt: skip
    lines = WHOLE.splitlines()
    assert lines[whole.marks["birds.2"].line - 1] == "  - kind: turkey"
    assert lines[whole.marks["pen.roof"].line - 1] == "    pitch: 6 deg"
    assert whole.marks["predators.1"].column == len("predators: [fox, ") + 1


def test_an_empty_list_is_written_and_empty() -> None:
    setup = read_setup_text(MINIMAL + "guardians: []\npets: []\n", "a.flock.yaml")
    assert setup.lists["guardians"] == 0
    assert setup.values["pets"].value == ()


def test_the_name_of_the_setup_is_kept_and_empty_where_there_is_none(whole: Setup) -> None:
    assert (whole.file, whole.name) == ("whole.flock.yaml", "Hazel Lane, everything written")
    assert read_setup_text(MINIMAL, "a.flock.yaml").name == ""


@pytest.mark.parametrize("text", ["012", "+12", "12"])
def test_a_count_is_decimal_whatever_stands_before_it(text: str) -> None:
    setup = read_setup_text(MINIMAL.replace("count: 25", f"count: {text}"), "a.flock.yaml")
    assert setup.values["birds.0.count"].value == 12


def test_a_byte_order_mark_does_not_shift_the_places() -> None:
    for setup in (
        read_setup_bytes(b"\xef\xbb\xbf" + MINIMAL.encode(), "a.flock.yaml"),
        read_setup_text("\ufeff" + MINIMAL, "a.flock.yaml"),
    ):
        assert setup.text == MINIMAL
        assert setup.values["flockcheck"].start == Mark(1, 13, 12)


def test_lines_may_end_as_on_any_system() -> None:
    setup = read_setup_bytes(MINIMAL.replace("\n", "\r\n").encode(), "a.flock.yaml")
    assert setup.values["pen.width"].value == pytest.approx(2.4384)
    written = setup.values["pen.width"]
    assert setup.text[written.start.at : written.end.at] == "8 ft"


# --- The setup that comes of it ------------------------------------------------------------------


def test_a_dimension_is_shown_in_the_family_used_most_for_it() -> None:
    text = MINIMAL + "mesh: {opening: 25 mm}\nweather: {gust: 20 m/s, night_low: 3 C}\n"
    setup = read_setup_text(text, "a.flock.yaml")
    assert setup.families == {"length": "us", "speed": "metric", "temperature": "metric"}
    assert setup.family("length") == "us"
    assert setup.family("temperature") == "metric"


def test_a_dimension_without_a_quantity_follows_the_others() -> None:
    assert read_setup_text(MINIMAL, "a.flock.yaml").family("mass") == "us"
    assert read_setup_text(WHOLE, "a.flock.yaml").family("pressure") == "metric"


def test_as_many_of_both_families_is_metric() -> None:
    text = MINIMAL.replace("10 ft", "3 m")
    assert read_setup_text(text, "a.flock.yaml").families == {"length": "metric"}


def test_what_is_written_is_told_for_keys_sections_and_lists(whole: Setup) -> None:
    minimal = read_setup_text(MINIMAL, "a.flock.yaml")
    for path in ("pen", "pen.length", "birds", "birds.0", "birds.0.kind"):
        assert minimal.is_written(path)
    for path in ("site", "pen.roof", "pen.len", "birds.1", "pets", "guardians"):
        assert not minimal.is_written(path)
    assert whole.is_written("pen.anchors")


def test_the_place_of_a_missing_key_is_that_of_what_it_belongs_to(whole: Setup) -> None:
    assert whole.place("pen.roof.cover") == ("pen.roof.cover", whole.values["pen.roof.cover"].start)
    minimal = read_setup_text(MINIMAL, "a.flock.yaml")
    assert minimal.place("pen.roof.cover") == ("pen", Mark(3, 3, 21))
    assert minimal.place("birds.0.leaves")[0] == "birds.0"
    assert minimal.place("birds.7.leaves")[0] == "birds"
    assert minimal.place("site.slope") == ("", Mark(1, 1, 0))


def test_a_value_can_be_put_in_place_of_another_in_a_copy(whole: Setup) -> None:
    new = whole.with_value("pen.length", 5.0)
    assert new.values["pen.length"].value == 5.0
    assert new.values["pen.length"].family == "metric"
    assert whole.values["pen.length"].value == pytest.approx(4.2)
    assert new.values["pen.width"] is whole.values["pen.width"]


def test_a_value_can_be_added_to_a_copy() -> None:
    new = read_setup_text(MINIMAL, "a.flock.yaml").with_value("pen.weight", 40.0)
    assert new.is_written("pen.weight")
    assert new.values["pen.weight"].start == Mark(3, 3, 21)


# --- Faults --------------------------------------------------------------------------------------


def test_every_slip_is_told_in_plain_words(snapshot: SnapshotAssertion) -> None:
    assert {name: told(changed(old, new)) for name, (old, new) in SLIPS.items()} == snapshot


def test_messages_are_short_and_on_one_line() -> None:
    for name, (old, new) in SLIPS.items():
        for fault in faults_in(changed(old, new)):
            assert "\n" not in fault.says, name
            assert len(fault.says) < 340, name
            assert not fault.says.endswith("."), name


def test_every_fault_of_a_file_is_told_in_the_order_of_its_lines() -> None:
    assert told(BROKEN) == [
        "line 6: `length`: `12` has no unit; it takes 12 ft, 12 in, 12 m or 12 cm",
        "line 8: there is no key `hieght`; did you mean `height`?",
        "line 9: `weight`: `20 gal` is a volume, not a weight; it takes a weight such as 98 lb "
        "or 45 kg",
        "line 15: `hatched`: `2027-02-30` is a day that the calendar doesn't have",
        "line 17: `count` stands here a second time (first in line 14). Keep one",
    ]


def test_a_fault_has_the_place_and_the_path_of_its_value() -> None:
    assert faults_in(BROKEN)[0][:3] == (6, 11, "pen.length")
    assert [fault.path for fault in faults_in(BROKEN)] == [
        "pen.length",
        "pen.hieght",
        "pen.weight",
        "birds.0.hatched",
        "birds.0.count",
    ]


def test_a_missing_key_is_shown_at_the_begin_of_its_section() -> None:
    (fault,) = faults_in(MINIMAL.replace("  width: 8 ft\n", ""))
    assert fault == Fault(
        3, 3, "pen.width", "`width` is missing from `pen`; it takes a length such as 12 ft or 3.6 m"
    )


def test_a_file_with_one_key_is_told_what_it_must_have() -> None:
    assert told("name: Hazel Lane\n") == [
        "line 1: `birds` is missing; it takes a list, each entry after a dash",
        "line 1: `flockcheck` is missing; it takes `1`",
        "line 1: `pen` is missing; it takes keys of its own, each on a line below it",
    ]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "nothing is written in the file"),
        (b"\xff\xfea\x00", "the file is saved as UTF-16. Save it as UTF-8 text"),
        (b"name: \xe4", "byte 0xe4 is not UTF-8 text. Save the file as UTF-8"),
        (b"- a\n", "the file holds no keys with values, such as `name: Hazel Lane`"),
    ],
)
def test_bytes_that_are_no_setup_are_a_fault_of_the_setup(data: bytes, says: str) -> None:
    with pytest.raises(SetupError) as caught:
        read_setup_bytes(data, "a.flock.yaml")
    assert caught.value.file == "a.flock.yaml"
    assert [fault.says for fault in caught.value.faults] == [says]


def test_an_error_as_text_has_the_first_fault_and_counts_the_others() -> None:
    with pytest.raises(SetupError) as caught:
        read_setup_text(BROKEN, "b.flock.yaml")
    assert str(caught.value) == (
        "b.flock.yaml, line 6: `length`: `12` has no unit; it takes 12 ft, 12 in, 12 m or 12 cm "
        "(and 4 more)"
    )
    with pytest.raises(SetupError) as caught:
        read_setup_text("", "b.flock.yaml")
    assert str(caught.value) == "b.flock.yaml, line 1: nothing is written in the file"


@pytest.mark.parametrize("leaf", leaves())
def test_bounds_belong_to_what_they_bound_and_are_shown_as_they_stand(leaf: str) -> None:
    shape = shape_of(leaf)
    assert shape is not None
    if "dimension" not in shape:
        return
    for bound, beyond in (("least", -1), ("most", 1)):
        text, dimension = shape[bound], shape["dimension"]
        assert faults_of(read_nodes(text), shape, leaf) == ()
        number, _, unit = text.partition(" ")
        value = parse_quantity(text, dimension).value
        outside = f"{float(number) + beyond:.12g} {unit}"
        if dimension == "slope" and unit == "deg" and value == 0:
            outside = "-1 deg"
        (fault,) = faults_of(read_nodes(outside), shape, leaf)
        assert fault.says.startswith(
            f"`{leaf.rpartition('.')[2]}`: `{outside}` can't be right; it is at "
        )


@pytest.mark.parametrize(
    "length", ["0.3 m", "30 cm", "11.811023622 in", "60 m", "196.850393701 ft"]
)
def test_a_bound_in_other_units_does_not_fail_for_its_rounding(length: str) -> None:
    setup = read_setup_text(MINIMAL.replace("10 ft", length), "a.flock.yaml")
    assert setup.values["pen.length"].value in (pytest.approx(0.3), pytest.approx(60))


def test_a_bound_is_told_in_the_units_of_the_keeper_and_apart_from_what_was_written() -> None:
    assert told(MINIMAL.replace("10 ft", "197 ft")) == [
        "line 3: `length`: `197 ft` can't be right; it is at most 196.9 ft"
    ]


def test_one_value_can_be_judged_by_itself() -> None:
    shape = resolve(schema()["$defs"]["pen"]["properties"]["length"])
    assert faults_of(read_nodes("3 m"), shape, "length") == ()
    (fault,) = faults_of(read_nodes("3"), shape, "length")
    assert fault.says.startswith("`length`: `3` has no unit")


def test_what_was_refused_is_not_told_again_as_missing_or_unknown() -> None:
    text = MINIMAL.replace("length: 10 ft", "length: *a").replace("width: 8 ft", "<<: {b: 8 ft}")
    assert told(text) == [
        "line 3: `width` is missing from `pen`; it takes a length such as 12 ft or 3.6 m",
        "line 3: `*a` repeats another part of the file. Write it out in full",
        "line 4: `<<` takes keys over from elsewhere. Write them out in full",
    ]


def test_faults_are_in_the_order_of_the_lines_also_where_the_text_can_t_be_followed() -> None:
    assert told("notes: [a,\nname: &a b\n") == [
        "line 1: this `[` is not closed, or a `,` is missing after one of its entries",
        "line 2: `&a` marks a part to be repeated. Take it out",
    ]


# --- Anything at all -----------------------------------------------------------------------------

LINES = WHOLE.splitlines()
PIECES = st.sampled_from(
    ["", " ", "  ", ": ", "- ", "[", "]", "{", "}", "x", "0", "-", "&a ", "*a", "!t ", "#", "'",
     '"', "yes", "1e9", "9" * 20, "3 m", "\t", "~", "\u2028", "\ufeff", "a" * 70]
)  # fmt: skip


@given(
    st.lists(
        st.tuples(st.integers(0, len(LINES) - 1), st.integers(0, 60), st.integers(0, 12), PIECES),
        min_size=1,
        max_size=6,
    )
)
@settings(max_examples=300, deadline=None)
def test_a_spoiled_file_gives_a_setup_or_a_setup_error(
    cuts: list[tuple[int, int, int, str]],
) -> None:
    lines = LINES.copy()
    for line, start, length, piece in cuts:
        lines[line] = lines[line][:start] + piece + lines[line][start + length :]
    try:
        read_setup_text("\n".join(lines) + "\n", "a.flock.yaml")
    except SetupError as error:
        assert error.faults
        assert list(error.faults) == sorted(error.faults)
        for fault in error.faults:
            assert 1 <= fault.line <= len("\n".join(lines).splitlines()) + 1
            assert "\n" not in fault.says


@given(st.sampled_from(leaves()), st.text(max_size=80))
@settings(max_examples=400, deadline=None)
def test_any_text_as_a_value_is_read_or_told_on_one_line(leaf: str, text: str) -> None:
    shape = shape_of(leaf)
    assert shape is not None
    node = read_nodes("x")
    node.text = text  # type: ignore[union-attr]
    for fault in faults_of(node, shape, leaf):
        assert "\n" not in fault.says
        assert len(fault.says) < 500


@given(st.binary(max_size=200))
@settings(deadline=None)
def test_any_bytes_give_a_setup_error(data: bytes) -> None:
    with pytest.raises(SetupError):
        read_setup_bytes(data, "a.flock.yaml")


# --- Bounds --------------------------------------------------------------------------------------


def test_no_more_than_a_hundred_faults_are_listed() -> None:
    faults = faults_in("pen:\n" + "".join(f"  key{number}: 1\n" for number in range(500)))
    assert len(faults) == MOST_FAULTS + 1
    assert faults[-1].says == AND_MORE
    assert faults[-1].line == MOST_FAULTS + 2


@pytest.mark.parametrize(
    "text",
    [
        "".join(f"k{number}: 1\n" for number in range(90_000)),
        "pen:\n" + "".join(f"  k{number}: 1\n" for number in range(40_000)),
        "? " + "k" * 900_000 + "\n: 1\n",
        "weight: " + "k" * 900_000 + "\n",
        "pen: {length: " + "1" * 900_000 + "}\n",
        "predators: [" + "x" * 900_000 + "]\n",
        "predators: [" + "fox," * 200_000 + "]\n",
        "birds: [{weights: {"
        + ", ".join(f"{number} days: 1 kg" for number in range(40_000))
        + "}}]",
        "birds: [{weights: {" + ", ".join(f"{number}: 1 kg" for number in range(50_000)) + "}}]",
    ],
    ids=lambda text: repr(text[:20]),
)
def test_a_file_made_to_cost_time_costs_little(text: str) -> None:
    begun = time.process_time()
    assert max(len(fault.says) for fault in faults_in(text)) < 400
    # Seconds for what takes some tenths: not a benchmark, but no file takes minutes.
    assert time.process_time() - begun < 60
