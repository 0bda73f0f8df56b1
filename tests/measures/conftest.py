"""Lets the tests of measures import what they share, from wherever pytest is started.

A property may take its time on a busy machine: how long an example runs is no part of any test.
"""

from __future__ import annotations

import sys
from pathlib import Path

from hypothesis import settings

ROOT = str(Path(__file__).parents[2])
if ROOT not in sys.path:
    sys.path.insert(0, ROOT)

settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")
