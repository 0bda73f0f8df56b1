"""How high the backs of the birds are, for the lips that they eat and drink over."""

from __future__ import annotations

from tests.measures.measure_cases import PULLETS, real_tables, run_of


def test_backs_rise_with_weight_and_stay_below_the_head() -> None:
    heights = real_tables()["bird_height"]
    for row in heights.rows:
        backs = row.ys["back"]
        assert backs == sorted(backs)
        for back, head in zip(backs, row.ys["stands"], strict=True):
            # Body and legs are more than half of an upright bird, neck and head the rest.
            assert 0.5 * head < back < 0.7 * head


def test_the_lowest_and_the_highest_back_are_those_of_the_smallest_and_the_largest_group() -> None:
    run = run_of(PULLETS)
    first, last = run.value("back_height", 0), run.value("back_height", 1)
    day = 13
    assert run.value("lowest_back")[day] == min(first[day], last[day]) == last[day]
    assert run.value("highest_back")[day] == first[day]
    # Before the pullets come the two are the same.
    assert run.value("lowest_back")[0] == run.value("highest_back")[0] == first[0]
