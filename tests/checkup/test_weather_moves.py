"""What must follow from a change of weather, of the day of the move or of units, in any setup."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from flockcheck.checkup.model import Report
from flockcheck.rulebook.model import GRADES
from flockcheck.setup.form import general, shape_of
from flockcheck.text.quantities import parse_quantity
from tests.outside.cases import changed, report_of, run_of

HATCHED = date(2027, 4, 12)
QUICK = settings(max_examples=25, deadline=None)
# How many of each unit make a base unit, and for Fahrenheit how it begins.
IN_US = {
    "length": ("ft", 1 / 0.3048),
    "area": ("sq ft", 1 / 0.09290304),
    "volume": ("gal", 1 / 0.003785411784),
    "mass": ("lb", 1 / 0.45359237),
    "force": ("lbf", 1 / 4.4482216152605),
    "speed": ("mph", 3600 / 1609.344),
    "spread": ("lb/acre", 4046.8564224 / 10000 / 0.45359237),
}
KINDS = st.sampled_from(
    [("meat chicken", "fast"), ("meat chicken", "slow"), ("egg chicken", "light"), ("turkey", "")]
)


def birds(kind: tuple[str, str], out: int) -> dict[str, Any]:
    """The keys of a group of a kind that moves out at an age."""
    keys: dict[str, Any] = {
        "birds.0.kind": kind[0],
        "birds.0.out": (HATCHED + timedelta(days=out)).isoformat(),
        "birds.0.leaves": (HATCHED + timedelta(days=out + 35)).isoformat(),
    }
    return {**keys, "birds.0.growth": kind[1]} if kind[1] else keys


def setup(kind: tuple[str, str], out: int, more: dict[str, Any]) -> dict[str, Any]:
    return changed({**birds(kind, out), **more}, without=["birds.0.growth"] if not kind[1] else [])


def first_night(report: Report, out: int) -> int:
    """How bad the first night outside is: 0 for nothing, then the grades."""
    day = HATCHED + timedelta(days=out)
    bad = [0]
    for finding in report.findings:
        if finding.rule == "cold-for-age":
            spans = [span for span in finding.spans if span.first <= day <= span.last]
            bad += [1 + GRADES.index(span.grade) for span in spans]
    return max(bad)


@QUICK
@given(
    kind=KINDS,
    out=st.integers(14, 70),
    later=st.integers(1, 30),
    night=st.integers(-200, 200),
    indoors=st.integers(50, 300),
)
def test_in_constant_weather_a_later_move_never_makes_the_first_night_worse(
    kind: tuple[str, str], out: int, later: int, night: int, indoors: int
) -> None:
    weather = {
        "weather.night_low": f"{night / 10} C",
        "brooder.heat_off": (HATCHED + timedelta(days=12)).isoformat(),
        "brooder.unheated_low": f"{indoors / 10} C",
    }
    sooner, after = setup(kind, out, weather), setup(kind, out + later, weather)
    margins = [run_of(keys).value("night_margin", 0)[0] for keys in (sooner, after)]
    assert margins[0] <= margins[1] + 1e-9
    first = first_night(report_of(sooner), out)
    assert first_night(report_of(after), out + later) <= first


@QUICK
@given(
    kind=KINDS,
    out=st.integers(14, 70),
    high=st.integers(-100, 400),
    hotter=st.integers(0, 150),
)
def test_a_hotter_day_never_lowers_the_water_or_the_heat(
    kind: tuple[str, str], out: int, high: int, hotter: int
) -> None:
    keys = [
        setup(kind, out, {"weather.day_high": f"{one / 10} C"}) for one in (high, high + hotter)
    ]
    for measure, item in (("water_need", None), ("water_need_high", None), ("heat_index", 0)):
        cool, hot = (run_of(one).value(measure, item) for one in keys)
        assert all(
            one is None or one <= other + 1e-9 for one, other in zip(cool, hot, strict=True)
        ), measure


@QUICK
@given(
    kind=KINDS,
    out=st.integers(14, 60),
    night=st.integers(-150, 200),
    high=st.integers(150, 420),
    cover=st.integers(0, 100),
    lip=st.integers(5, 40),
    holds=st.integers(1, 30),
    height=st.integers(40, 110),
)
def test_metric_and_us_units_give_the_same_findings(
    kind: tuple[str, str],
    out: int,
    night: int,
    high: int,
    cover: int,
    lip: int,
    holds: int,
    height: int,
) -> None:
    # Thirds keep the values off the limits, where the last digit of a converted text would decide.
    keys = setup(
        kind,
        out,
        {
            "weather.night_low": f"{(night + 1 / 3) / 10} C",
            "weather.day_high": f"{(high + 1 / 3) / 10} C",
            "pen.roof.cover": f"{cover} %",
            "pen.height": f"{height + 1 / 3} cm",
            "care.night_house": "no",
            "feeders.0.lip": f"{lip + 1 / 3} cm",
            "feeders.0.lip_follows": "no",
            "drinkers.0.holds": f"{holds + 1 / 3} l",
            "drinkers.0.carried": "yes",
            "water.visits_per_day": 1,
        },
    )
    if cover < 100:
        keys |= {"pen.roof.over_rest": "mesh", "pen.roof.over_rest_opening": "10 mm"}
    assert told(report_of(keys)) == told(report_of(in_us(keys)))


def in_us(keys: dict[str, Any]) -> dict[str, Any]:
    """The same setup with every quantity in US units."""
    return {key: as_us(key, text) for key, text in keys.items()}


def as_us(key: str, text: Any) -> Any:
    """A quantity text in US units; any other value as it is."""
    dimension = (shape_of(general(key)) or {}).get("dimension", "")
    if dimension == "temperature":
        return f"{parse_quantity(text, dimension).value * 1.8 + 32!r} F"
    if dimension in IN_US:
        unit, factor = IN_US[dimension]
        return f"{parse_quantity(text, dimension).value * factor!r} {unit}"
    return text


def told(report: Report) -> list[tuple[Any, ...]]:
    """What was found, and on which days, without the words."""
    found = [(one.rule, one.about, one.grade, one.spans) for one in report.findings]
    return sorted(found, key=str)


def test_every_quantity_of_the_base_setup_is_written_anew() -> None:
    before = changed({})
    after = in_us(before)
    written = {key for key in before if before[key] != after[key]}
    assert {"weather.night_low", "pen.length", "drinkers.0.holds", "pen.roof.weight"} <= written
    assert told(report_of(after)) == []
