"""Installed plugins: what they give is used, and one that fails is named and harms nothing else."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

from tests.cli.cli_cases import MENDED, SETUP, environment, run, write
from tests.little_cases import CLUB

# A plugin that gives a rulebook, a measure and a report format.
GOOD = '''
import os
import sys
import flockcheck
from flockcheck import hookimpl, measure

@measure("number")
def corners(pen):
    """The number of corners of a pen.

    >>> corners(None)
    4
    """
    return 4

@hookimpl
def flockcheck_rulebooks():
    return [("shade", os.path.join(os.path.dirname(os.path.abspath(__file__)), "shade_book"))]

@hookimpl
def flockcheck_measures():
    return [sys.modules[__name__]]

@hookimpl
def flockcheck_reports():
    return {"names": lambda reports, rulebook, problems, **options: " ".join(
        one.file for one in reports) + "\\n"}
'''
RULE = """rule: corners-few
asks: Has it corners enough?
title: It has few corners
measure: corners
limits:
  - {at_least: 5, grade: watch, practice: common}
says: "{corners} corners."
why: Birds hide in them.
examples:
  - {with: {}, finds: watch}
"""


def install(folder: Path, code: str, book: str = RULE) -> Path:
    """A folder on the path with a plugin called shade in it."""
    folder.mkdir(parents=True)
    folder.joinpath("shade_plugin.py").write_text(code, encoding="utf-8")
    info = folder / "shade-1.0.dist-info"
    info.mkdir()
    info.joinpath("METADATA").write_text("Metadata-Version: 2.1\nName: shade\nVersion: 1.0\n")
    info.joinpath("entry_points.txt").write_text("[flockcheck]\nshade = shade_plugin\n")
    rules = folder / "shade_book" / "yard"
    rules.mkdir(parents=True)
    rules.joinpath("corners-few.yaml").write_text(book, encoding="utf-8")
    return folder


def with_plugin(
    tmp_path: Path, code: str, *args: str, book: str = RULE
) -> subprocess.CompletedProcess[str]:
    site = install(tmp_path / "site", code, book)
    here = tmp_path / "here"
    write(here, MENDED)
    env = {"PYTHONPATH": os.pathsep.join([str(site), environment()["PYTHONPATH"]])}
    out = run("check", SETUP, *args, cwd=here, env=env)
    assert "Traceback" not in out.stdout + out.stderr
    return out


def problems_of(out: subprocess.CompletedProcess[str]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = json.loads(out.stdout)["problems"]
    return found


def rules_of(out: subprocess.CompletedProcess[str]) -> list[str]:
    (setup,) = json.loads(out.stdout)["setups"]
    return [finding["rule"] for finding in setup["findings"]]


def test_a_plugin_gives_rules_measures_and_a_format(tmp_path: Path) -> None:
    out = with_plugin(tmp_path, GOOD, "--format", "json")
    assert (out.returncode, problems_of(out)) == (1, [])
    assert rules_of(out) == ["words", "corners-few"]
    shutil.rmtree(tmp_path / "site")
    named = with_plugin(tmp_path, GOOD, "--format", "names")
    assert (named.returncode, named.stdout) == (1, f"{SETUP}\n")


@pytest.mark.parametrize(
    ("code", "says"),
    [
        ("raise RuntimeError('no shade today')", "RuntimeError: no shade today"),
        ("import nothing_of_this_name", "ModuleNotFoundError"),
        ("def (", "SyntaxError"),
        (GOOD.replace("def flockcheck_reports", "def flockcheck_report"), "flockcheck_report"),
        (GOOD.replace('{"names"', '{"text"'), "there already"),
        (GOOD.replace("def corners(pen)", "def corners(barn)"), "asks for barn"),
        (GOOD.replace("def corners(pen)", "def age(pen)"), "age"),
    ],
)
def test_one_that_fails_is_named_and_the_other_rules_are_asked(
    tmp_path: Path, code: str, says: str
) -> None:
    out = with_plugin(tmp_path, code, "--format", "json")
    assert out.returncode == 2
    told = problems_of(out)
    assert told
    assert all("shade" in one["about"] for one in told)
    assert says in " ".join(one["says"] for one in told)
    assert rules_of(out)[0] == "words"


def test_a_spoiled_rulebook_of_a_plugin_is_left_out_and_named(tmp_path: Path) -> None:
    out = with_plugin(
        tmp_path, GOOD, "--format", "json", book=RULE.replace("measure: corners", "measure: x")
    )
    assert out.returncode == 2
    (problem,) = problems_of(out)
    assert "shade" in problem["about"] + problem["says"]
    assert "yard/corners-few.yaml, line 4" in problem["says"]
    assert rules_of(out) == ["words"]


def test_a_measure_that_fails_is_named_with_the_setup_it_failed_on(tmp_path: Path) -> None:
    out = with_plugin(tmp_path, GOOD.replace("return 4", "return 1 / 0"), "--format", "json")
    assert out.returncode == 2
    (problem,) = problems_of(out)
    assert SETUP in problem["about"] + problem["says"]
    assert "ZeroDivisionError" in problem["says"]
    assert rules_of(out) == ["words"]


def test_problems_come_first_in_the_text_report(tmp_path: Path) -> None:
    out = with_plugin(tmp_path, "raise RuntimeError('no shade today')")
    assert out.returncode == 2
    assert out.stdout.startswith("Trouble with plugin shade")
    assert "The latches are simple" in out.stdout


def test_a_rulebook_asked_for_goes_on_top_of_a_plugins(tmp_path: Path) -> None:
    out = with_plugin(tmp_path, GOOD, "--format", "json", "--rulebook", str(CLUB))
    names = [one["name"] for one in json.loads(out.stdout)["flockcheck"]["rulebooks"]]
    assert names == ["figures", "little_book", "shade", "club_book"]
