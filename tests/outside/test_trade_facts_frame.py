"""Facts of the trade about frames and towing: common practice, no source."""

from __future__ import annotations

import pytest

from tests.outside.cases import changed, found, grade, report_of
from tests.outside.test_trade_facts_kit import PRACTICE, bad, report, setup


def test_fact_5_light_drain_pipe_over_12_ft_sags_visibly_under_a_steel_roof() -> None:
    came = report(setup("fact-5-drain-pipe"))
    assert grade(came, "frame-sags") == "mend", PRACTICE
    assert bad(came) == ["frame-sags"]
    finding = found(came, "frame-sags")
    assert finding is not None
    assert "12 ft" in finding.says
    # Visibly: more than an inch.
    assert any(float(word) > 1 for word in finding.says.split() if _number(word))


def test_fact_5_a_post_in_the_middle_ends_the_mend() -> None:
    came = report(setup("fact-5-post-in-the-middle"))
    assert grade(came, "frame-sags") in ("watch", "nothing"), PRACTICE
    assert bad(came) == []


def test_fact_5_steel_of_the_same_size_ends_it_too() -> None:
    came = report(setup("fact-5-drain-pipe").with_value("pen.frame.material", "steel"))
    assert grade(came, "frame-sags") == "nothing"


def test_fact_8_towing_at_3_mph_with_the_birds_out_is_ordinary() -> None:
    came = report(setup("fact-8-towed-birds-out"))
    for rule in ("tow-too-fast", "nobody-watching", "pull-too-heavy"):
        assert grade(came, rule) == "nothing", PRACTICE
    assert bad(came) == []


def test_fact_8_with_the_birds_inside_it_is_not() -> None:
    came = report(setup("fact-8-towed-birds-out").with_value("pen.moves.birds_out", False))
    assert grade(came, "tow-too-fast") == "watch"
    assert grade(came, "nobody-watching") == "mend"


@pytest.mark.parametrize("speed", ["1 mph", "0.4 m/s", "1.5 km/h"])
def test_a_slow_stroll_with_someone_behind_is_nothing_to_speak_of(speed: str) -> None:
    came = report_of(changed({"pen.moves.speed": speed}))
    assert grade(came, "tow-too-fast") == "nothing"


def _number(word: str) -> bool:
    return word.replace(".", "", 1).isdigit()
