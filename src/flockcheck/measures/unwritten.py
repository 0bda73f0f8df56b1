"""Asking for what a keeper may have left out, where a measure can go on without it."""

from __future__ import annotations

import math
from typing import TypeVar

from flockcheck.setup import view
from flockcheck.setup.view import Missing, Section

T = TypeVar("T")

# Stands in, as the default of a parameter, for a number that nobody wrote: it loses every `max`.
NOT_WRITTEN = -math.inf


def value_or(section: Section, key: str, otherwise: T) -> T:
    """The value of a section's key, or `otherwise` where the keeper left it out.

    The key counts as read either way, so a measure is worked out again when it is written later.
    """
    found: T
    if isinstance(section, Section):
        found = view.value_or(section, key, otherwise)
        return found
    try:
        found = getattr(section, key)
    except Missing:
        return otherwise
    return found
