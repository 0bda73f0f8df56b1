"""The smooth curve of a table, held against SciPy's and against what its authors promise.

SciPy's `PchipInterpolator` takes the slopes of Fritsch and Butland (SIAM J. Sci. Stat. Comput. 5,
1984, 300-304) as C. Moler gives them in Numerical Computing with MATLAB, chapter 3, and so do we.
Both compute the same formula in another order, so they agree to within rounding: 1e-9 of the range
of the values.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator  # type: ignore[import-untyped]  # it ships none

from flockcheck.tables import interpolate

Points = list[tuple[float, float]]

XS = st.lists(st.integers(0, 2000), min_size=3, max_size=12, unique=True).map(sorted)


@st.composite
def curves(draw: st.DrawFn) -> Points:
    """Points along an axis of days or degrees, with plateaus, peaks and steep steps among them."""
    xs = draw(XS)
    y = st.one_of(st.integers(-5, 5), st.integers(-1_000_000, 1_000_000))
    ys = draw(st.lists(y, min_size=len(xs), max_size=len(xs)))
    return [(x / 4, y / 64) for x, y in zip(xs, ys, strict=True)]


def ours(points: Points, x: float) -> float:
    return interpolate([p[0] for p in points], [p[1] for p in points], x, "smooth")


def between(points: Points, parts: int = 7) -> list[tuple[float, tuple[float, float]]]:
    """Places in each stretch between two points, with the values at its ends."""
    return [
        (a[0] + (b[0] - a[0]) * part / parts, (a[1], b[1]))
        for a, b in zip(points, points[1:], strict=False)
        for part in range(parts + 1)
    ]


# Points at which an end is held back: a first step that turns at once, flat and with a steep turn.
TURN = [(0.0, 0.0), (1.0, 1.0), (2.0, -9.0)]
FLAT_THEN_STEEP = [(0.0, 2.0), (1.0, 2.0), (1.5, 80.0), (9.0, 81.0)]


@given(curves())
@example(TURN)
@example([(-x, y) for x, y in reversed(TURN)])
@example(FLAT_THEN_STEEP)
@settings(max_examples=300, deadline=None)
def test_the_smooth_curve_is_that_of_scipy(points: Points) -> None:
    theirs = PchipInterpolator(*np.array(points).T)
    height = max(abs(y) for _, y in points)
    for x, _ in between(points):
        assert ours(points, x) == pytest.approx(float(theirs(x)), rel=0, abs=1e-9 * height)


@given(curves())
@example(TURN)
@example(FLAT_THEN_STEEP)
@settings(max_examples=300, deadline=None)
def test_the_smooth_curve_never_goes_beyond_the_points_beside_it(points: Points) -> None:
    height = max(abs(y) for _, y in points)
    for x, ends in between(points):
        assert min(ends) - 1e-12 * height <= ours(points, x) <= max(ends) + 1e-12 * height


@given(curves())
@settings(max_examples=100, deadline=None)
def test_the_smooth_curve_rises_where_its_points_rise(points: Points) -> None:
    rising = [(x, y) for (x, _), y in zip(points, sorted(y for _, y in points), strict=True)]
    height = max(abs(y) for _, y in points)
    found = [ours(rising, x) for x, _ in between(rising, 20)]
    assert all(b >= a - 1e-12 * height for a, b in zip(found, found[1:], strict=False))


@given(curves())
@settings(max_examples=100, deadline=None)
def test_the_straight_line_is_that_of_numpy(points: Points) -> None:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    height = max(abs(y) for y in ys)
    for x in [xs[0] - 1, *(x for x, _ in between(points)), xs[-1] + 1]:
        found = interpolate(xs, ys, x, "straight")
        assert found == pytest.approx(float(np.interp(x, xs, ys)), rel=0, abs=1e-12 * height)


def test_the_curve_of_a_published_example_is_met() -> None:
    # The data RPN 14 of Fritsch and Carlson (1980), as remembered: flat, steep, flat again, where
    # an ordinary cubic spline swings above 1 and a monotone curve must not.
    points = [
        (7.99, 0.0), (8.09, 2.76429e-5), (8.19, 4.37498e-2), (8.7, 0.169183), (9.2, 0.469428),
        (10.0, 0.943740), (12.0, 0.998636), (15.0, 0.999919), (20.0, 0.999994),
    ]  # fmt: skip
    theirs = PchipInterpolator(*np.array(points).T)
    found = [ours(points, x) for x, _ in between(points, 10)]
    assert found == pytest.approx([float(theirs(x)) for x, _ in between(points, 10)], abs=1e-12)
    assert all(0 <= y <= 0.999994 + 1e-12 for y in found)
    assert found == sorted(found)
