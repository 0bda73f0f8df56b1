"""A whole setup held against the little book: what is hidden, counted, listed and refused."""

from __future__ import annotations

import tempfile
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from flockcheck.checkup import asking
from flockcheck.checkup import check as checking
from flockcheck.checkup.check import check
from flockcheck.checkup.judge import ask
from flockcheck.checkup.model import Report, Span
from flockcheck.measures.graph.registry import Registry
from flockcheck.measures.graph.spec import Spec
from flockcheck.rulebook.book import load_books
from flockcheck.rulebook.model import Rule
from flockcheck.setup.reader import read_setup_text
from tests.little_cases import (
    BASE,
    birds,
    books,
    found,
    little,
    may,
    registry,
    report,
    rules_found,
    setup,
)

HOT = ("rain: yes}", "rain: yes, periods: [{from: 2027-05-20, to: 2027-05-25, day_high: 33 C}]}")


def test_a_finding_hides_another_on_its_own_days_only() -> None:
    """12 kg/m2 are too many in the heat of 20 to 25 May, and 20 at any time from the 12th on."""
    hot = report(birds(100), HOT)
    assert found(hot, "hot-and-tight").spans == (Span(may(20), may(25), "mend"),)
    assert found(hot, "tight").spans == (
        Span(may(2), may(11), "watch"),
        Span(may(12), may(19), "mend"),
        Span(may(26), may(31), "stop"),
    )


def test_what_is_said_of_a_partly_hidden_finding_comes_from_its_open_days() -> None:
    until_last = (HOT[0], HOT[1].replace("2027-05-25", "2027-05-31"))
    tight = found(report(birds(100), until_last), "tight")
    assert (tight.grade, tight.worst) == ("mend", (may(19), pytest.approx(24)))
    assert "24 kg/m2 on 19 May" in tight.says


def test_a_finding_without_days_keeps_those_on_which_nothing_hides_it() -> None:
    roof = found(report(birds(60), HOT, ("cover: 60 %", "cover: 10 %")), "roof-scant")
    assert roof.spans == (Span(may(1), may(19), "stop"), Span(may(26), may(31), "stop"))
    assert roof.worst == (may(1), pytest.approx(0.1))


def test_a_finding_hidden_on_all_its_days_is_gone() -> None:
    always = ("day_high: 20 C", "day_high: 31 C")
    hot = report(birds(60), always, ("cover: 60 %", "cover: 10 %"))
    # In the heat 60 birds are too many from 8 kg/m2 on, which is before 15.
    assert rules_found(hot) == ["hot-and-tight"]


def test_findings_of_other_items_hide_nothing() -> None:
    wide = report(("opening: 20 mm", "opening: 60 mm"))
    assert rules_found(wide) == ["gets-in", "gets-in"]
    nobody = report(("opening: 20 mm", "opening: 60 mm"), ("fox, mink", "bear"))
    assert rules_found(nobody) == ["mesh-wide"]


def test_findings_stand_worst_first_then_in_the_order_of_the_file() -> None:
    many = report(
        birds(100),
        ("latches: two-step", "latches: simple"),
        ("opening: 20 mm", "opening: 60 mm"),
        ("guardians:", "pets: [dog]\nguardians:"),
        ("store: sealed", "store: open"),
        ("heat_off: 2027-04-24", "heat_off: 2027-05-02"),
    )
    assert [(one.grade, one.rule, one.about) for one in many.findings] == [
        ("stop", "tight", None),
        ("stop", "gets-in", "predators.0"),
        ("stop", "gets-in", "predators.1"),
        ("mend", "heat-off-late", "birds.0"),
        ("mend", "words", None),
        ("watch", "pets-loose", None),
    ]
    assert many.counts == {"stop": 3, "mend": 2, "watch": 1, "tip": 0}


def test_a_finding_points_at_the_key_to_change_with_line_and_column() -> None:
    tight = found(report(birds(100)), "tight")
    line = BASE.splitlines().index("    count: 40") + 1
    assert tight.place[:3] == ("birds.0.count", line, 12)


@pytest.mark.parametrize(
    ("change", "rule", "path"),
    [
        (("lamp_supports: 2", "lamp_supports: 1"), "lamp-loose", "brooder.lamp_supports"),
        (("night_low: 12 C", "night_low: -2 C"), "cold-nights", "weather.night_low"),
        (("opening: 20 mm", "opening: 40 mm"), "gets-in", "predators.1"),
        (("length: 1 m, sides: 2", "length: 9 m, sides: 2"), "rim-low", "feeders.0"),
        (("guardians:", "pets: [dog]\nguardians:"), "pets-loose", "pets"),
        (("store: sealed", "store: open"), "words", "feed.store"),
        (("day_high: 20 C", "day_high: 31 C"), "hot-and-tight", "pen"),
    ],
)
def test_a_finding_without_a_written_lever_points_at_what_is_judged_or_around_it(
    change: tuple[str, str], rule: str, path: str
) -> None:
    assert found(report(change), rule).place.path == path


def test_standards_are_told_apart_from_verdict_counts_and_questions() -> None:
    plain, asked = report(birds(60)), report(birds(60), standards=("little-hall", "little-perch"))
    hall, perch = asked.standards
    assert (hall.name, hall.met, hall.by, hall.not_checked) == (
        "little-hall", False, ("tight",), (),
    )  # fmt: skip
    assert (perch.name, perch.met) == ("little-perch", True)
    same = ("verdict", "counts", "asked", "checked", "partly", "findings", "not_checked")
    assert [getattr(plain, name) for name in same] == [getattr(asked, name) for name in same]


def test_a_standard_that_lacks_a_value_is_not_checked() -> None:
    less = report(("  length: 4 m\n", "  length: 4 m\n"), ("  perches: 6 m\n", ""),
                  standards=("little-perch",))  # fmt: skip
    (perch,) = less.standards
    assert (perch.met, perch.by, perch.not_checked) == (None, (), ("perch-short",))


def test_a_standard_of_the_setup_itself_is_judged_and_a_wrong_name_is_an_error() -> None:
    own = report(("flockcheck: 1", "flockcheck: 1\nstandards: [little-hall]"))
    assert [one.name for one in own.standards] == ["little-hall"]
    wrong = report(("flockcheck: 1", "flockcheck: 1\nstandards: [little-hal]"))
    (error,) = wrong.errors
    assert (wrong.verdict, error.line, error.path) == ("unreadable", 2, "standards.0")
    assert error.says == "there is no standard `little-hal`; did you mean `little-hall`?"
    other = report(("flockcheck: 1", "flockcheck: 1\nstandards: [parish]")).errors[0]
    assert other.says.endswith("the rulebook knows `little-hall` and `little-perch`")


def test_a_rule_with_limits_of_a_standard_alone_asks_nothing_of_others() -> None:
    hens = ("kind: meat chicken\n    growth: medium", "kind: egg chicken\n    growth: light")
    assert "law-only" not in {one.rule for one in report(hens).not_checked}
    crowd = report(hens, standards=("little-hall",))
    assert crowd.standards[0].by == ("law-only", "tight")
    assert crowd.asked == report(hens).asked


def test_what_was_taken_as_none_is_listed_where_a_question_rested_on_it() -> None:
    assert report().taken_as_none == ("pets",)
    assert report(("guardians:", "pets: []\nguardians:")).taken_as_none == ()


def test_reminders_are_named_and_are_no_findings() -> None:
    assert report().reminders == ("local-rules",)
    turkey = report(("kind: meat chicken\n    growth: medium", "kind: turkey"))
    assert turkey.reminders == ()


def test_birds_are_told_in_words() -> None:
    assert report(birds(1)).birds == "1 meat chicken"
    more = "bought_in: no\n  - {kind: egg chicken, growth: light, count: 2, hatched: 2027-04-01, "
    both = report(("bought_in: no", more + "out: 2027-05-01, leaves: 2027-05-31}"))
    assert both.birds == "40 meat chickens and 2 egg chickens"


METRIC_TO_US = [
    ("length: 4 m", "length: 13 ft 1.480314960629921 in"),
    ("width: 2.5 m", "width: 98.4251968503937 in"),
    ("weight: 60 kg", "weight: 132.277357310926 lb"),
    ("perches: 6 m", "perches: 19.68503937007874 ft"),
    ("step: 4 m", "step: 13.1233595800524934 ft"),
    ("night_low: 12 C", "night_low: 53.6 F"),
    ("day_high: 20 C", "day_high: 68 F"),
    ("length: 1 m, sides: 2, lip: 5 cm", "length: 39.37007874015748 in, sides: 2, lip: 2 in"),
    ("opening: 20 mm", "opening: 1 in"),
    ("skirt: 30 cm", "skirt: 12 in"),
]


def test_a_setup_in_feet_and_its_twin_in_metres_have_one_answer() -> None:
    """100 birds reach 15, 20 and 25 kg/m2 exactly; the mesh is an inch, which the table allows."""
    metric = report(birds(100), ("opening: 20 mm", "opening: 25.4 mm"))
    us = report(birds(100), *METRIC_TO_US)
    assert [(one.rule, one.spans) for one in us.findings] == [
        (one.rule, one.spans) for one in metric.findings
    ]
    assert "30 kg/m2" in found(metric, "tight").says
    assert "6.14 lb/sq ft" in found(us, "tight").says


def test_units_asked_for_change_what_is_shown_and_nothing_else() -> None:
    shown = {units: report(birds(100), units=units) for units in ("written", "us", "metric")}
    assert shown["written"] == shown["metric"]
    us = found(shown["us"], "tight")
    assert us.says.startswith("100 birds weigh 6.14 lb/sq ft")
    assert us.measured is not None
    assert us.measured.value == pytest.approx(30)
    assert us.spans == found(shown["metric"], "tight").spans


def test_a_measure_that_fails_silences_no_rule_and_is_named_once() -> None:
    broken = registry()

    def broken_floor(pen: Any) -> float:
        return float(1 / 0)

    add_measure(broken, broken_floor)
    rule = (
        "rule: floor-broken\nasks: Is it broken?\ntitle: It is broken\nmeasure: broken_floor\n"
        "limits: [{at_least: 1, grade: mend, practice: common}]\nsays: So.\nwhy: So.\n"
        "examples: [{with: {}, finds: nothing}]\n"
    )
    folder = _folder_with({"room/floor-broken.yaml": rule})
    book = load_books([*books(), ("broken", folder)], broken, version="0")
    out = check(setup(birds(100)), book)
    assert out.failures == ("broken_floor: ZeroDivisionError: division by zero",)
    (one,) = [one for one in out.not_checked if one.rule == "floor-broken"]
    assert "the measure broken_floor failed" in one.why
    assert rules_found(out) == ["tight"]


def test_a_rule_that_fails_counts_as_not_checked_and_silences_no_other(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    crowded = setup(birds(100))
    whole = check(crowded, little())
    assert rules_found(whole) == ["tight"]

    def failing(rule: Rule, *args: Any) -> Any:
        if rule.name == "mesh-wide":
            raise KeyError("beak")
        return ask(rule, *args)

    monkeypatch.setattr(asking, "ask", failing)
    out = check(crowded, little())
    assert out.failures == ("rule mesh-wide: KeyError: 'beak'",)
    assert out.findings == whole.findings
    (one,) = [one for one in out.not_checked if one.rule == "mesh-wide"]
    assert one.why == "the rule mesh-wide failed (KeyError: 'beak')"


def test_a_finding_that_can_not_be_told_leaves_its_question_open(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def finding_of(*args: Any) -> Any:
        raise IndexError("no words")

    monkeypatch.setattr(asking, "finding_of", finding_of)
    out = check(setup(birds(100)), little())
    assert out.failures == ("rule tight: IndexError: no words",)
    assert out.findings == ()
    assert "tight" in [one.rule for one in out.not_checked]


def test_a_reminder_whose_condition_fails_is_given_all_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def holds(*args: Any) -> Any:
        raise ValueError("no truth")

    given = check(setup(), little()).reminders
    monkeypatch.setattr(checking, "holds", holds)
    out = check(setup(), little())
    assert set(given) <= set(out.reminders)


def add_measure(known: Registry, function: Any) -> None:
    name = function.__name__
    known.add(Spec(name, function, "number", (), (), ("pen",), {}), "a test")


def _folder_with(files: dict[str, str]) -> str:
    folder = Path(tempfile.mkdtemp(prefix="flockcheck-test-"))
    for name, text in files.items():
        folder.joinpath(name).parent.mkdir(parents=True, exist_ok=True)
        folder.joinpath(name).write_text(text, encoding="utf-8")
    return str(folder)


def test_a_check_is_a_pure_function_of_its_arguments() -> None:
    one, other = setup(birds(100)), setup(birds(100))
    before = repr(one)
    assert check(one, little()) == check(other, little())
    assert repr(one) == before


def test_dates_out_of_order_leave_one_day_and_no_traceback() -> None:
    wrong = report(("leaves: 2027-05-31", "leaves: 2027-04-20"), birds(100))
    assert (wrong.first_day, wrong.looked_until) == (may(1), may(1))
    unborn = report(("hatched: 2027-04-01", "hatched: 2027-06-01"))
    assert "moves-young" in rules_found(unborn)


@pytest.mark.parametrize("kept", ["site", "weather", "brooder", "feed", "water", "mesh", "care"])
def test_a_setup_without_a_section_is_checked_as_far_as_it_goes(kept: str) -> None:
    lines = [line for line in BASE.splitlines() if not line.startswith(f"{kept}:")]
    less = check(read_setup_text("\n".join(lines) + "\n", "less.flock.yaml"), little())
    assert isinstance(less, Report)
    assert less.verdict in ("ready", "cannot say")
    missing = {key for one in (*less.not_checked, *less.partly_checked) for key in one.needs}
    assert not missing or any(key.startswith(kept) for key in missing)


def test_an_empty_acceptance_list_and_unknown_rules_are_told_apart() -> None:
    wrong = report(("care:", "accepted: [{rule: tigth, because: none, until: 2027-06-01}]\ncare:"))
    (error,) = wrong.errors
    assert wrong.verdict == "unreadable"
    assert error.path == "accepted.0.rule"
    assert error.says == "there is no rule `tigth` to accept; did you mean `tight`?"
    assert wrong.name == "Little flock"


def test_a_day_before_the_stay_ends_is_not_over() -> None:
    assert report(on=may(31)).verdict == "ready"
    assert report(on=date(2027, 6, 1)).verdict == "over"
    open_end = report(("    leaves: 2027-05-31\n", ""), on=date(2028, 1, 1))
    assert open_end.verdict == "ready until"
