"""What if: values put in by the reader's own rules, and what they change."""

from __future__ import annotations

import pytest

from flockcheck.checkup.check import check
from flockcheck.checkup.whatif import WhatIfError, compared, what_if
from flockcheck.setup.reader import read_setup_text
from flockcheck.setup.written import Setup
from tests.checkup.fix_cases import book


def base() -> Setup:
    return read_setup_text(book().base(), "base.flock.yaml")


@pytest.mark.parametrize(
    ("assignment", "path", "value"),
    [
        ("drinkers.0.outlet=uphill", "drinkers.0.outlet", "uphill"),
        ("drinkers.outlet=uphill", "drinkers.0.outlet", "uphill"),
        ("pen.length = 12 ft", "pen.length", 12 * 0.3048),
        ("birds.0.count=36", "birds.0.count", 36),
        ("predators=fox, mink", "predators", ("fox", "mink")),
        ("predators=[fox, mink]", "predators", ("fox", "mink")),
        ("pets=[]", "pets", ()),
        ("birds.0.weights.21 days=0.9 kg", "birds.0.weights", ((21.0, 0.9),)),
        ("birds.0.weights.2.5 weeks=0.6 kg", "birds.0.weights", ((17.5, 0.6),)),
        ("guardians.0.kind=dog", "guardians.0.kind", "dog"),
        ("mesh.skirt=left out", "mesh.skirt", None),
    ],
)
def test_a_value_is_read_as_in_a_file(assignment: str, path: str, value: object) -> None:
    setup, changes = what_if(base(), [assignment])
    written = setup.values.get(path)
    read = written.value if written else None
    assert read == (pytest.approx(value) if isinstance(value, (int, float)) else value)
    assert changes[0].path.startswith(path)


def test_an_entry_can_be_added_key_by_key_and_taken_away() -> None:
    at = base().lists["guardians"]
    keys = [f"guardians.{at}.kind=dog", f"guardians.{at}.count=1", f"guardians.{at}.role=livestock"]
    setup, _ = what_if(base(), keys)
    assert setup.lists["guardians"] == at + 1
    assert setup.values[f"guardians.{at}.role"].value == "livestock"
    whole, _ = what_if(base(), [f"guardians.{at}={{kind: dog, count: 1, role: livestock}}"])
    assert whole.values.keys() == setup.values.keys()
    fewer, _ = what_if(base(), [f"guardians.{at - 1}=left out"])
    assert fewer.lists.get("guardians", 0) == at - 1


@pytest.mark.parametrize(
    ("assignment", "says"),
    [
        ("pen.lenght=12 ft", "did you mean `length`"),
        ("pne.length=12 ft", "did you mean `pen.length`"),
        ("skirt=2 ft", "did you mean `mesh.skirt`"),
        ("site.qqqqqqqqqqqqqqqq=1", "beside `qqqqqqqqqqqqqqqq` the keys are `slope`"),
        ("pen.length=12", "has no unit"),
        ("pen.length=-3 ft", "can't be right"),
        ("pen.length=", "nothing is written"),
        ("pen.length=left out", "is missing"),
        ("drinkers.0.outlet=dwonhill", "did you mean `downhill`"),
        ("pen.length", "write it as KEY=VALUE"),
        ("=12 ft", "write it as KEY=VALUE"),
        ("mesh.lower_opening=left out", "it can't be left out"),
        ("birds.7.count=3", "has no place"),
        ("feeders=3", "takes a list"),
        ("predators=[fox", "predators"),
        ("birds.0.out=2027-02-30", "the calendar"),
    ],
)
def test_what_does_not_do_is_refused_with_what_would(assignment: str, says: str) -> None:
    with pytest.raises(WhatIfError, match=r".") as caught:
        what_if(base(), [assignment])
    assert says in caught.value.says


def test_an_entry_is_named_where_there_are_several() -> None:
    two, _ = what_if(base(), ["drinkers.1={form: bell, count: 1}"])
    assert two.lists["drinkers"] == 2
    text = book().base().replace("drinkers:\n", "drinkers:\n  - {form: bell, count: 1}\n")
    with pytest.raises(WhatIfError, match="2 entries; say which one"):
        what_if(read_setup_text(text, "two.flock.yaml"), ["drinkers.outlet=uphill"])


def test_what_stays_keeps_its_place_in_the_file() -> None:
    setup, _ = what_if(base(), ["drinkers.0.outlet=uphill"])
    kept = base()
    for path, written in kept.values.items():
        assert setup.values[path].start == written.start
    assert setup.text == kept.text


def test_what_was_tried_before_holds_on() -> None:
    first, _ = what_if(base(), ["pen.length=12 ft", "mesh.skirt=left out"])
    both, changes = what_if(first, ["birds.0.count=36"])
    at_once, _ = what_if(base(), ["pen.length=12 ft", "mesh.skirt=left out", "birds.0.count=36"])
    assert both == at_once
    assert both.values["pen.length"].value == pytest.approx(12 * 0.3048)
    assert "mesh.skirt" not in both.values
    assert [one.path for one in changes] == ["birds.0.count"]
    # Of a key that is put in twice the later value; it was the earlier one before.
    again, (change,) = what_if(both, ["pen.length=14 ft"])
    assert (change.was, change.text) == ("12 ft", "14 ft")
    assert again.values["pen.length"].value == pytest.approx(14 * 0.3048)
    assert again.values["birds.0.count"].value == 36
    assert check(both, book()) == check(at_once, book())


def test_a_key_that_was_left_out_and_comes_again_has_its_place_in_the_file() -> None:
    without, _ = what_if(base(), ["mesh.skirt=left out"])
    again, (change,) = what_if(without, ["mesh.skirt=2 ft"])
    at_once, _ = what_if(base(), ["mesh.skirt=left out", "mesh.skirt=2 ft"])
    assert again == at_once
    assert again.place("mesh.skirt") == base().place("mesh.skirt")
    assert change.was == ""


def test_an_entry_that_was_tried_can_be_changed_and_taken_away_again() -> None:
    at = base().lists["guardians"]
    more, _ = what_if(base(), [f"guardians.{at}={{kind: dog, count: 1, role: yard}}"])
    changed, _ = what_if(more, [f"guardians.{at}.role=livestock"])
    assert changed.values[f"guardians.{at}.role"].value == "livestock"
    back, _ = what_if(changed, [f"guardians.{at}=left out"])
    assert back.values == base().values
    with pytest.raises(WhatIfError, match="it can't be left out"):
        what_if(back, [f"guardians.{at}=left out"])


def test_the_report_says_what_came_and_what_went() -> None:
    worse, changes = what_if(base(), ["drinkers.0.outlet=uphill", "site.slope=6 %"])
    before, after = check(base(), book()), check(worse, book())
    told = compared(before, after, changes).what_if
    assert told is not None
    assert (told.verdict, told.counts) == (before.verdict, before.counts)
    assert ("outlet-uphill", "drinkers.0", "stop") in told.new
    assert told.gone == ()
    back = compared(after, before, changes).what_if
    assert back is not None
    assert (back.gone, back.new) == (told.new, ())


def test_a_finding_with_another_grade_is_told_with_both() -> None:
    crowded, _ = what_if(base(), ["birds.0.count=45"])
    tight, changes = what_if(base(), ["birds.0.count=75"])
    told = compared(check(crowded, book()), check(tight, book()), changes).what_if
    assert told is not None
    was = {(one.rule, one.about): one.grade for one in check(crowded, book()).findings}
    now = {(one.rule, one.about): one.grade for one in check(tight, book()).findings}
    assert told.graded
    for rule, about, old, new in told.graded:
        assert (was[rule, about], now[rule, about]) == (old, new)
        assert old != new


def test_a_predator_is_the_same_one_wherever_it_stands_in_the_list() -> None:
    wide = ["mesh.opening=6 cm"]
    fox, _ = what_if(base(), [*wide, "predators=fox, mink"])
    more, changes = what_if(base(), [*wide, "predators=rat, mink, fox"])
    told = compared(check(fox, book()), check(more, book()), changes).what_if
    assert told is not None
    assert told.gone == ()
    assert told.new
    assert {about for rule, about, _ in told.new if rule == "mesh-lets-in"} == {"predators.0"}
    assert told.predators == ("fox", "mink")
