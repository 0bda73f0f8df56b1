"""Lets tests import what they share, and keeps them out of the user's own cache."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

ROOT = str(Path(__file__).parents[1])
if ROOT not in sys.path:
    sys.path.insert(0, ROOT)


@pytest.fixture(autouse=True, scope="session")
def _own_cache(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Compiled rulebooks of a test run are kept in a folder of its own."""
    patch = pytest.MonkeyPatch()
    patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
