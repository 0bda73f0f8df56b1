"""Fixes: the smallest amount that works, tried on the whole, and nothing offered that fails."""

from __future__ import annotations

import json
from collections.abc import Sequence

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from flockcheck.checkup.asking import again, sheet_of
from flockcheck.checkup.changes import apply
from flockcheck.checkup.fixes import Finder
from flockcheck.checkup.levers import Lane, lanes
from flockcheck.checkup.model import Finding, Fix, Report
from flockcheck.checkup.solve import solve
from flockcheck.checkup.whatif import what_if
from flockcheck.setup.reader import SetupError, read_setup_bytes, read_setup_text
from flockcheck.setup.sections import ITEMS
from flockcheck.setup.written import Setup
from tests.checkup.fix_cases import (
    as_bad,
    book,
    by_question,
    checked,
    done,
    ended,
    fixtures,
    setup_with,
)
from tests.fuzz.mutants import mutant


def solved(setup: Setup, *, keep: tuple[str, ...] = ()) -> Report:
    return solve(setup, book(), keep=keep)


def found(report: Report, rule: str) -> Finding:
    return next(one for one in report.findings if one.rule == rule)


def fix_of(report: Report, rule: str, path: str) -> Fix:
    """The fix for a rule's finding that changes one key, and what moves with it."""
    return next(fix for fix in found(report, rule).fixes if fix.changes[0].path == path)


# A setup, the rule that finds something, the key, and the values that can be tried in order. The
# values are written out here on purpose: nothing of the program's own grid is used.
HEADS = [str(count) for count in range(49, 29, -1)]
TENS = [f"{10 * n} cm" for n in range(5, 16)]
GRIDS: list[tuple[dict[str, str], str, str, Sequence[str]]] = [
    ({"birds__0__count": "50"}, "floor-crowded", "birds.0.count", HEADS),
    ({"birds__0__count": "50"}, "droppings-heavy", "birds.0.count", HEADS),
    ({"birds__0__count": "50"}, "feeder-space-short", "feeders.0.count", ["3", "4", "5", "6"]),
    ({"site__slope": "6 %", "drinkers__0__outlet": "uphill"}, "outlet-uphill",
     "drinkers.0.outlet", ["downhill"]),
    ({"mesh__holes": "3"}, "mesh-holed", "mesh.holes", ["2", "1", "0"]),
    ({"mesh__fixing_every": "30 cm"}, "loose-mesh", "mesh.fixing_every",
     [f"{n} cm" for n in range(28, 1, -2)]),
    ({"birds__0__out": "2027-05-04"}, "not-hardened", "birds.0.out",
     [f"2027-05-{n:02}" for n in range(5, 19)]),
    ({"birds__0__leaves": "2027-07-30"}, "crop-too-soon", "birds.0.leaves",
     [f"2027-07-{n:02}" for n in range(29, 15, -1)]),
    ({"drinkers__0__lip": "2 cm", "drinkers__0__lip_follows": "no"}, "drinker-lip-wrong",
     "drinkers.0.lip", ["4 cm", "6 cm"]),
    ({"drinkers__0__lip": "8 cm", "drinkers__0__lip_follows": "no"}, "drinker-lip-wrong",
     "drinkers.0.lip", [f"{n} cm" for n in range(10, 26, 2)]),
    ({"feed__protein": "14 %"}, "protein-low", "feed.protein",
     [f"{n / 2:g} %" for n in range(29, 44)]),
    ({"weather__gust": "30 m/s", "pen__anchors__count": "0"}, "pen-lifts", "pen.anchors.count",
     [str(n) for n in range(1, 13)]),
]  # fmt: skip


@pytest.mark.parametrize(
    ("values", "rule", "path", "grid"), GRIDS, ids=[f"{grid[1]} {grid[2]}" for grid in GRIDS]
)
def test_the_amount_is_the_smallest_on_the_grid_that_works(
    values: dict[str, str], rule: str, path: str, grid: Sequence[str]
) -> None:
    setup = setup_with(**values)
    before = checked(setup)
    finding = found(before.report, rule)
    which = (rule, finding.about)
    works = [
        text
        for text in grid
        if (after := checked(what_if(setup, [f"{path}={text}"])[0]).report)
        and ended(which, finding.grade, after)
        and not as_bad(before, after, finding.grade)
    ]
    told = found(solved(setup), rule).fixes
    own = [fix for fix in told if fix.changes[0].path == path and len(fix.changes) == 1]
    if not works:
        assert not own
        return
    whole = [
        text
        for text in works
        if which not in by_question(checked(what_if(setup, [f"{path}={text}"])[0]).report)
    ]
    # Where more costs no more, what leaves nothing of the finding is taken.
    expected = {works[0], *whole[:1]}
    assert next(fix.changes[0].text for fix in own) in expected


def test_what_moves_along_is_part_of_the_fix_and_what_is_not_written_is_told() -> None:
    crowded = setup_with(birds__0__count="50")
    wide = fix_of(solved(crowded, keep=("birds",)), "floor-crowded", "pen.width")
    assert {change.path for change in wide.changes} == {
        "pen.width",
        "pen.weight",
        "pen.roof.weight",
    }
    assert wide.not_proved_for == ()
    light = setup_with(birds__0__count="50", pen__roof__weight="left out")
    wide = fix_of(solved(light, keep=("birds",)), "floor-crowded", "pen.width")
    assert "pen.roof.weight" in wide.not_proved_for


def test_a_kept_key_is_touched_by_no_fix() -> None:
    setup = setup_with(birds__0__count="50")
    for keep in ("birds", "pen", "pen.weight", "birds.0.count"):
        for finding in solved(setup, keep=(keep,)).findings:
            for fix in finding.fixes:
                paths = [change.path for change in fix.changes]
                assert not [one for one in paths if f"{one}.".startswith(f"{keep}.")]
    assert found(solved(setup, keep=("pen",)), "floor-crowded").fixes


@pytest.mark.parametrize("units", ["written", "us", "metric"])
def test_half_a_day_is_half_a_day_in_any_units(units: str) -> None:
    crowded = setup_with(birds__0__count="70")
    report = solve(crowded, book(), units=units)
    fix = fix_of(report, "droppings-heavy", "pen.moves.every")
    assert fix.says == "move the pen every half day"


def test_nothing_is_advised_that_is_there_already_or_can_t_go_further() -> None:
    hot = {"weather__day_high": "38 C", "pen__roof__insulated": "yes"}
    whole = found(solved(setup_with(pen__roof__cover="100 %", **hot)), "heat-too-much")
    part = found(solved(setup_with(pen__roof__cover="80 %", **hot)), "heat-too-much")
    assert "roof more of the floor" not in " ".join(whole.advice)
    assert "roof more of the floor" in " ".join(part.advice)
    for finding in (whole, part):
        assert "line the roof" not in " ".join(finding.advice)


def test_an_accepted_finding_gets_no_fix() -> None:
    text = (
        book()
        .base()
        .replace("outlet: downhill", "outlet: uphill")
        .replace("slope: 2 %", "slope: 6 %")
    )
    accepted = "accepted:\n  - {rule: outlet-uphill, because: seen to, until: 2027-06-30}\n"
    plain = read_setup_text(text, "plain.flock.yaml")
    assert found(solved(plain), "outlet-uphill").fixes
    taken = read_setup_text(text.replace("accepted: []\n", accepted), "taken.flock.yaml")
    finding = found(solved(taken), "outlet-uphill")
    assert finding.accepted is not None
    assert finding.fixes == ()


def test_without_the_table_of_judgements_nothing_is_proposed() -> None:
    setup = setup_with(drinkers__0__outlet="uphill", site__slope="6 %")
    finder = Finder(sheet_of(setup, book()), book())
    assert finder.able
    kept = book().tables.pop("fixing")
    try:
        assert found(solved(setup), "outlet-uphill").fixes == ()
    finally:
        book().tables["fixing"] = kept


@pytest.mark.parametrize("setup", fixtures(), ids=lambda one: one.file)
def test_every_fix_of_every_fixture_does_what_it_says(setup: Setup) -> None:
    proves(setup)


def proves(setup: Setup) -> int:
    """Hold every fix of a setup against a check of the changed text; how many there were."""
    before = checked(setup)
    count = 0
    for finding in solved(setup).findings:
        efforts = [fix.effort for fix in finding.fixes]
        # At most three, the least effort first, and none that costs many times another.
        assert len(efforts) <= 3 and efforts == sorted(efforts)
        assert all(effort <= 4 * efforts[0] + 1e-9 for effort in efforts)
        for fix in finding.fixes:
            count += 1
            after = checked(done(setup, fix.changes)).report
            assert ended((finding.rule, finding.about), finding.grade, after), fix
            assert not as_bad(before, after, finding.grade), fix
            gone = by_question(before.report).keys() - by_question(after).keys()
            for rule in fix.clears:
                old = [one for one in before.report.findings if one.rule == rule]
                left = [one for one in after.findings if one.rule == rule]
                if rule != finding.rule:
                    milder = all(one.grade in ("watch", "tip") for one in left)
                    assert (not left) if rule not in fix.remains else milder, (rule, fix)
                assert old, (rule, fix)
            assert any(rule == finding.rule for rule, _ in gone) or fix.remains or finding.about, (
                fix
            )
            raised = {one.rule for one in after.findings if one.rule not in {
                other.rule for other in before.report.findings}}  # fmt: skip
            assert raised <= set(fix.brings), fix
    return count


def readable(number: int) -> Setup | None:
    """A setup with slips in it that can be read, or None."""
    data = mutant(number, 11)
    try:
        json.loads(data)
        return read_setup_bytes(data, f"mutant-{number}.flock.yaml")
    except (ValueError, SetupError):
        return None


@settings(max_examples=12, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(st.integers(0, 5000))
def test_no_fix_of_a_random_setup_fails_its_proof(number: int) -> None:
    setup = readable(number)
    assume(setup is not None)
    assert setup is not None
    if checked(setup).report.verdict != "unreadable":
        proves(setup)


@settings(max_examples=30, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(st.integers(0, 5000), st.data())
def test_asking_again_what_may_have_changed_is_the_same_as_asking_everything(
    number: int, data: st.DataObject
) -> None:
    setup = readable(number)
    assume(setup is not None)
    assert setup is not None
    sheet = sheet_of(setup, book())
    movable = [lane for lane in every_lane(sheet.run.setup) if lane.steps]
    lane = data.draw(st.sampled_from(movable))
    move = lane.at(data.draw(st.integers(1, lane.steps)))
    if move is None:
        return
    changed = apply(setup, move.changes)
    paths = [one.path for one in move.changes]
    quick = again(sheet, book(), sheet.run.changed(changed, paths), paths)
    whole = sheet_of(changed, book())
    assert quick.findings == whole.findings
    for name, told in whole.told.items():
        assert [(one.about, one.answer.state) for one, _ in quick.told[name].pairs] == [
            (one.about, one.answer.state) for one, _ in told.pairs
        ], name
    assert quick.run.days == whole.run.days


def every_lane(setup: Setup) -> list[Lane]:
    """Every lever of every rule at every place of a setup."""
    found: list[Lane] = []
    for rule in book().rules.values():
        items: list[int | None] = [None]
        if rule.each:
            items = list(range(setup.lists.get(ITEMS[rule.each], 0)))
        for item in items:
            for idea in rule.fixes:
                if idea.lever in book().levers:
                    found += lanes(idea, book().levers[idea.lever], rule.each, item, setup)
    return found
