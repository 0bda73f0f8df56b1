"""The worked examples in the docstrings of measures run, and give what they say."""

from __future__ import annotations

import doctest
import importlib
import pkgutil
from types import ModuleType

import pytest

from flockcheck import measures


def _modules() -> list[ModuleType]:
    prefix = f"{measures.__name__}."
    found = pkgutil.walk_packages(measures.__path__, prefix)
    return [importlib.import_module(module.name) for module in found]


@pytest.mark.parametrize("module", _modules(), ids=lambda module: module.__name__)
def test_the_examples_of_a_module_give_what_they_say(module: ModuleType) -> None:
    failed, _ = doctest.testmod(module, optionflags=doctest.NORMALIZE_WHITESPACE)
    assert failed == 0


def test_examples_are_found_at_all() -> None:
    assert sum(doctest.testmod(module).attempted for module in _modules()) > 100
