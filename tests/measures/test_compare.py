"""Comparing a keeper's number with a figure."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from flockcheck.measures.compare import at_least, at_most


def test_the_last_digit_of_a_conversion_decides_nothing() -> None:
    assert 3 * 0.1 > 0.3
    assert at_most(3 * 0.1, 0.3)
    assert at_least(0.3, 3 * 0.1)


def test_a_millionth_part_does_decide() -> None:
    assert not at_most(0.3000003, 0.3)
    assert not at_least(0.2999997, 0.3)


@given(value=st.floats(-1e6, 1e6), limit=st.floats(-1e6, 1e6))
def test_every_number_is_at_least_or_at_most_any_other(value: float, limit: float) -> None:
    assert at_least(value, limit) or at_most(value, limit)
    assert at_least(value, value)
    assert at_most(value, value)
