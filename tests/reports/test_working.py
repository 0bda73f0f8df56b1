"""The working of a rule: from the keeper's own lines to the finding's number."""

from __future__ import annotations

import math
import re

import pytest
from syrupy.assertion import SnapshotAssertion

from tests.outside.cases import book
from tests.reports.working_cases import (
    Case,
    failing_examples,
    figure,
    fixture,
    fixtures,
    last_line,
    of_rule,
    of_setup,
    printed,
)

IN_A_HURRY = "fixtures/bad/steep-and-crowded.flock.yaml"
# A number with the unit behind it: `12.5 fl oz/day`, `0.4 kg`.
NUMBER = re.compile(
    r"((?<![\w.])\d+(?:\.\d+)?)"
    r"((?: (?!x\b)[a-zA-Z][a-zA-Z0-9]*(?:/(?:sq )?[a-zA-Z]+\d?)?| %){0,2})(?![\w(])"
)


def comes_to(text: str) -> float:
    """What a printed sum comes to, its units left out."""
    plain = NUMBER.sub(lambda found: found.group(1), text)
    plain = plain.replace(" x ", " * ").replace("^", "**")
    names = {name: getattr(math, name) for name in ("sqrt", "exp", "sin", "cos", "tan", "atan")}
    return float(eval(plain, {"__builtins__": {}}, names))  # our own output


def hold(case: Case) -> None:
    """What is true of every working."""
    working, finding = case.working, case.finding
    result, lines = working["result"], working["lines"]
    assert finding.measured is not None and finding.limit is not None
    assert (result["shown"], result["limit"]) == (finding.measured.shown, finding.limit.shown)
    assert result["shown"] in result["says"] and result["limit"] in result["says"]
    assert result["holds"] is False
    assert working["about"] == finding.about
    if finding.worst is not None:
        assert working["day"] == finding.worst[0].isoformat()
    whole = [(line["kind"], line["name"], line["about"], line["says"]) for line in lines]
    assert len(whole) == len(set(whole)), "a node stands there twice"
    for at, line in enumerate(lines, 1):
        assert line["line"] == at
        assert all(1 <= use < at for use in line["from"]), "a line rests on one further down"
        if line["kind"] == "key":
            hold_key(case, line["written"])
    for side, value in zip(result["uses"], (finding.measured, finding.limit), strict=True):
        stands = lines[side - 1]["value"]
        if isinstance(value.value, (int, float)):
            assert stands == pytest.approx(value.value)
    used = {use for line in lines for use in line["from"]} | set(result["uses"])
    assert used == set(range(1, len(lines) + 1)), "a line is there for nothing"


def hold_key(case: Case, written: dict[str, object]) -> None:
    """A key that a working names stands in the file, on that line and with that text."""
    path, text = str(written["path"]), str(written["text"])
    own = case.setup.values[path]
    assert written["line"] == own.start.line
    assert own.start.line == case.setup.text.count("\n", 0, own.start.at) + 1
    key = next(part for part in reversed(path.split(".")) if not part.isdigit())
    before = case.setup.text[: own.start.at].rstrip("\"'[{ \n")
    assert before.rstrip('": ').endswith(key)
    stands = case.setup.text[own.start.at : own.end.at]
    if isinstance(own.value, tuple):
        words = re.findall(r"[\w.]+", text)
        assert words == ["none"] if not own.value else all(word in stands for word in words)
    else:
        assert text == " ".join(stands.strip("\"'").split())


@pytest.mark.parametrize("path", fixtures())
def test_each_finding_of_a_fixture_has_a_working_that_ends_in_its_numbers(path: str) -> None:
    setup = fixture(path)
    assert setup is not None
    for case in of_setup(setup):
        hold(case)


@pytest.mark.parametrize("name", sorted(book().rules))
def test_each_example_that_fails_has_a_working_that_ends_in_its_numbers(name: str) -> None:
    rule = book().rules[name]
    for setup in failing_examples(rule):
        hold(of_rule(rule, setup))


def test_every_printed_sum_comes_out() -> None:
    done = 0
    for path in fixtures():
        setup = fixture(path)
        assert setup is not None
        for case in of_setup(setup):
            for line in case.working["lines"]:
                if line["sum"] is None or line["sum"].startswith("as in "):
                    continue
                text, _, result = line["sum"].partition(" = ")
                expected = float((result or line["shown"]).split()[0])
                assert comes_to(text) == pytest.approx(expected, rel=0.003, abs=1e-9), line
                done += 1
    assert done > 250


def test_the_floor_load_can_be_worked_out_by_hand_from_what_is_printed() -> None:
    text = printed("floor-crowded", IN_A_HURRY)
    grown = figure(text, "growth_fit, asymptote for meat chicken, fast")
    rate = figure(text, "growth_fit, rate for meat chicken, fast")
    half = figure(text, "growth_fit, inflection for meat chicken, fast")
    # Hatched on 24 April, 6 days left of that month, 31 of May and 15 of June.
    age = 6 + 31 + 15
    one = grown * math.exp(-math.exp(-rate * (age - half)))
    flock = one * figure(text, "birds.count")
    load = flock / (figure(text, "pen.length") * figure(text, "pen.width"))
    shown, limit = last_line(text)
    assert load == pytest.approx(shown, rel=0.002)
    # 33 kg/m2 by the Directive, in pounds of 0.45359237 kg and feet of 0.3048 m.
    assert limit == pytest.approx(33 / 0.45359237 * 0.3048**2, rel=0.002)


def test_the_feeding_edge_can_be_worked_out_by_hand_from_what_is_printed() -> None:
    text = printed("feeder-space-short", IN_A_HURRY)
    inches = (
        figure(text, "feeders.length")
        * figure(text, "feeders.sides")
        * figure(text, "feeders.count")
    )
    each = re.search(r"What each bird needs: ([\d.]+) in", text)
    assert each
    shown, limit = last_line(text)
    assert inches / 12 == pytest.approx(shown, rel=0.002)
    assert figure(text, "birds.count") * float(each.group(1)) / 12 == pytest.approx(limit)


def test_the_cold_of_the_night_can_be_worked_out_by_hand_from_what_is_printed() -> None:
    text = printed("cold-for-age", IN_A_HURRY)
    shown, limit = last_line(text)
    assert shown == figure(text, "weather.night_low")
    # Out at 11 days; the first point of the table is for older birds and holds before it.
    point = re.search(r"The first point, ([\d.]+) F at (\d+) days, holds before it too", text)
    assert point and int(point.group(2)) > 5 + 6
    assert float(point.group(1)) == limit


def test_the_last_of_the_water_can_be_worked_out_by_hand_from_what_is_printed() -> None:
    text = printed("drinker-runs-dry", IN_A_HURRY)
    from_degrees = (figure(text, "weather.day_high") - 32) / 1.8
    hotter = from_degrees - figure(text, "figures for heat_water_from")
    more = 1 + figure(text, "figures for heat_water") / 100 * hotter
    mild = figure(text, "water_typical, water for meat chicken, fast, at 51 days")
    ounces_in_gallon = 128
    need = mild * more * figure(text, "birds.count") / ounces_in_gallon
    held = figure(text, "drinkers.holds") * figure(text, "drinkers.count")
    shown, limit = last_line(text)
    share = 100 * held * figure(text, "water.visits_per_day") / need
    assert share == pytest.approx(shown, rel=0.005)
    assert limit == 100


def test_the_pull_can_be_worked_out_by_hand_from_what_is_printed() -> None:
    text = printed("pull-too-heavy", IN_A_HURRY)
    slope = math.atan(figure(text, "site.slope") / 100)
    friction = figure(text, "figures for friction_sled")
    # A pound of pen weighs a pound of force.
    pull = figure(text, "pen.weight") * (friction * math.cos(slope) + math.sin(slope))
    shown, limit = last_line(text)
    assert pull / figure(text, "pen.moves.people") == pytest.approx(shown, rel=0.002)
    # 150 N in pounds of 4.4482216 N.
    assert limit == pytest.approx(150 / 4.4482216, rel=0.002)


def test_a_sum_over_many_days_stays_short() -> None:
    text = " ".join(printed("droppings-heavy", IN_A_HURRY).split())
    assert re.search(r"Sum over 41 days, 5 May [\d.]+ oz/day \.\.\. 14 June [\d.]+ oz/day", text)
    assert re.search(r"[\d.]+ lb in all \(each as in \d+\)", text)


@pytest.mark.parametrize(
    ("rule", "path"),
    [
        ("cold-for-age", "fixtures/trade/fact-3-straight-from-the-brooder.flock.yaml"),
        ("floor-crowded", "fixtures/mixed/two-batches.flock.yaml"),
        ("outlet-uphill", "fixtures/trade/fact-4-outlet-uphill.flock.yaml"),
        ("droppings-heavy", IN_A_HURRY),
        ("floor-crowded", "fixtures/good/hazel-lane.flock.yaml"),
        ("mesh-lets-in", IN_A_HURRY),
        ("feeder-space-short", IN_A_HURRY),
    ],
)
def test_the_working_as_it_is_printed(rule: str, path: str, snapshot: SnapshotAssertion) -> None:
    assert printed(rule, path) == snapshot
