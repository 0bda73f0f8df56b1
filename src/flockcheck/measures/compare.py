"""Comparing a keeper's number with a figure, so that metric and US files agree.

Equality counts as held within a relative 1e-9, as it does for the limits of rules: `12 in` and
`30.48 cm` are one length although their last digits may differ.
"""

from __future__ import annotations

from math import isclose


def at_least(value: float, least: float) -> bool:
    """Whether a value reaches a figure in the same unit."""
    return value >= least or isclose(value, least)


def at_most(value: float, most: float) -> bool:
    """Whether a value stays within a figure in the same unit."""
    return value <= most or isclose(value, most)
