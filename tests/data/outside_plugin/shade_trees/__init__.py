"""A rulebook about shade trees, with a measure that it needs and a report format."""

import os
from collections.abc import Callable
from types import ModuleType

from flockcheck import hookimpl

from . import lines, measures


@hookimpl
def flockcheck_rulebooks() -> list[tuple[str, str]]:
    """The rulebook's name and its folder."""
    return [("shade_trees", os.path.join(os.path.dirname(__file__), "rulebook"))]


@hookimpl
def flockcheck_measures() -> list[ModuleType]:
    """The modules in which functions are marked as measures."""
    return [measures]


@hookimpl
def flockcheck_reports() -> dict[str, Callable[..., str]]:
    """Report formats by the name that `--format` takes."""
    return {"lines": lines.write}
