"""Which plugins are installed: entry points of our group, found without asking every distribution.

Asking `importlib.metadata` takes longer than a whole check, so the folders on the path are first
searched for a metadata file that names our group. What can't be searched so is always asked.
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Callable
from typing import Any

from flockcheck.checkup.model import Problem
from flockcheck.plugins import ANYTHING, GROUP, RULES, error_words
from flockcheck.text.records import NamedTuple

_ENTRY_POINTS = "entry_points.txt"
# Longer than any list of entry points; a file as long as this is left to the slow way.
_MOST_BYTES = 1_000_000
# Our group in a list of entry points, up to the next one.
_HEAD = b"[%s]" % GROUP.encode()
_OURS = rb"\[%s\]([^\[]*)" % GROUP.encode()


class Installed(NamedTuple):
    """The plugins that are installed (name and loader), and distributions that can't be read."""

    plugins: list[tuple[str, Callable[[], Any]]]
    problems: list[Problem]


def installed_plugins() -> Installed:
    """Installed plugins other than the built-in rules, in the order of their names."""
    if not may_have_plugins():
        return Installed([], [])
    points, problems = _entry_points()
    others = sorted((p for p in points if p.value != RULES), key=lambda p: (p.name, p.value))
    return Installed([(_called(point), point.load) for point in others], problems)


def may_have_plugins() -> bool:
    """Whether a plugin may be installed; False only where there surely is none."""
    for finder in sys.meta_path:
        # Python's own finder looks along the path; any other may know distributions elsewhere.
        its_own = getattr(finder, "__name__", "") == "PathFinder"
        if hasattr(finder, "find_distributions") and not its_own:
            return True
    return any(_may_be_in(entry) for entry in sys.path)


def _may_be_in(entry: Any) -> bool:
    """Whether an entry of the path may hold a plugin: a folder, or an archive that is imported."""
    try:
        folder = os.fsdecode(entry) or "."
        names = os.listdir(folder)
    except NotADirectoryError:
        # An archive; what it holds is for the slow way to say.
        return True
    except (OSError, ValueError, TypeError):
        # Not there or not to be read: Python finds nothing in it either.
        return False
    is_egg = folder.rstrip(os.sep).lower().endswith(".egg")
    for name in names:
        lower = name.lower()
        if not lower.endswith((".dist-info", ".egg-info")) and not (is_egg and lower == "egg-info"):
            continue
        try:
            with open(os.path.join(folder, name, _ENTRY_POINTS), "rb") as file:
                data = file.read(_MOST_BYTES)
        except OSError:
            continue
        if len(data) == _MOST_BYTES or _names_a_plugin(data):
            return True
    return False


def _names_a_plugin(data: bytes) -> bool:
    """Whether a list of entry points has one of our group besides the built-in rules."""
    if _HEAD not in data:
        return False
    for found in re.finditer(_OURS, data):
        lines = (line.strip() for line in found[1].splitlines())
        points = [line for line in lines if line and not line.startswith(b"#")]
        if any(line.partition(b"=")[2].strip() != RULES.encode() for line in points):
            return True
    return False


def _entry_points() -> tuple[list[Any], list[Problem]]:
    """Every entry point of our group, and the distributions whose list is spoiled."""
    from importlib.metadata import entry_points

    try:
        return list(entry_points(group=GROUP)), []
    except ANYTHING:
        # One spoiled list spoils the whole answer, so each distribution is asked by itself.
        return _one_by_one()


def _one_by_one() -> tuple[list[Any], list[Problem]]:
    from importlib.metadata import distributions

    points: list[Any] = []
    problems: list[Problem] = []
    seen: set[str] = set()
    for one in distributions():
        name = "without a name"
        try:
            # The first of a name on the path is the one that Python imports.
            name = str(one.metadata["Name"])
            if name.lower() not in seen:
                points += one.entry_points.select(group=GROUP)
            seen.add(name.lower())
        except ANYTHING as error:
            if _is_ours(one, error):
                says = f"its list of entry points can't be read ({error_words(error)})"
                about = f"distribution {name}"
                problems.append(Problem(about, f"{says}. Install it again, or uninstall it"))
    return points, problems


def _is_ours(distribution: Any, error: BaseException) -> bool:
    """Whether a spoiled list names our group; others' spoiled lists are none of our business."""
    if isinstance(error, UnicodeDecodeError):
        return GROUP.encode() in error.object
    try:
        return f"[{GROUP}]" in (distribution.read_text(_ENTRY_POINTS) or "")
    except ANYTHING:
        return False


def _called(point: Any) -> str:
    """How a plugin is told of: its name and the distribution that brings it."""
    try:
        return f"{point.name} ({point.dist.name} {point.dist.version})"
    except ANYTHING:
        return str(point.name)
