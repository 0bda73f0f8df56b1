"""Plugins: one from outside is installed and used; spoiled ones are named and harm nothing else."""

from __future__ import annotations

import doctest
import json
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from syrupy.assertion import SnapshotAssertion

from flockcheck import workshop
from flockcheck.checkup.check import check
from flockcheck.checkup.model import Report
from flockcheck.files import read_setup_file
from flockcheck.installed import Installed
from flockcheck.plugins import RULES, gather
from flockcheck.rulebook.model import RulebookError
from flockcheck.workshop import Tools, failures_told, tools
from tests.plugin_cases import OUTSIDE, ROOT, install, loader, program, put

BAD = "fixtures/bad/steep-and-crowded.flock.yaml"
GOOD = "fixtures/good/hazel-lane.flock.yaml"
RULE = """\
rule: trunk-thin
asks: Is the trunk thick?
title: The trunk is thin
measure: trunk
limits: [{at_least: 2, grade: watch, practice: common}]
says: "It is {trunk}, not {limit}."
why: So.
examples: [{with: {}, finds: watch}]
"""
# A plugin with every part in order, and what may be put in its place below.
HEAD = """\
import os, sys, types
from flockcheck import hookimpl, measure
FOLDER = os.path.join(os.path.dirname(__file__), "rulebook")
"""
MEASURE = """\
@measure("number")
def trunk(pen): return 1.0
"""
GIVES = """\
@hookimpl
def flockcheck_measures(): return [sys.modules[__name__]]
"""
GIVES_BOOK = """\
@hookimpl
def flockcheck_rulebooks(): return [("%s", FOLDER)]
"""
GIVES_LINES = """\
@hookimpl
def flockcheck_reports(): return {"%s": lambda *a, **o: "a line\\n"}
"""


def hook(name: str, gives: str) -> str:
    return f"{HEAD}@hookimpl\ndef flockcheck_{name}(): return {gives}\n"


def measured(source: str) -> str:
    return f"{HEAD}{source}{GIVES}"


def book(**files: str | bytes) -> dict[str, str | bytes]:
    names = {"source": "sources.yaml", "rule": "trees/trunk-thin.yaml", "table": "tables/bark.yaml"}
    return {names[part]: text for part, text in files.items()}


# A table that takes the place of a built-in one.
FLOOR = """\
table: floor_good
says: something
replaces: yes
by: [group.kind]
along: age
gives: {good: area}
rows: [{points: [[1 day, 1 m2]], practice: common}]
"""


# What is wrong with a plugin: its module, and its rulebook's files.
SPOILED: dict[str, tuple[str, dict[str, str | bytes]]] = {
    "raises at import": ("raise ValueError('no\\nleaves')", {}),
    "ends the program at import": ("import sys\nsys.exit(0)", {}),
    "is no Python": ("def (", {}),
    "raises what can't be shown": (
        "class Bare(Exception):\n    def __str__(self): raise ValueError\nraise Bare",
        {},
    ),
    "has no hook": ("x = 1", {}),
    "has a hook of another name": (HEAD + "@hookimpl\ndef flockcheck_rulebook(): return []", {}),
    "has a hook that is not marked": ("def flockcheck_reports(): return {}", {}),
    "has a hook that asks for something": (
        f"{HEAD}@hookimpl\ndef flockcheck_reports(setup): return {{}}\n",
        {},
    ),
    "raises in a hook": (hook("reports", "1 / 0"), {}),
    "ends the program in a hook": (hook("measures", "sys.exit('bye')"), {}),
    "gives a text for rulebooks": (hook("rulebooks", "FOLDER"), {}),
    "gives folders without names": (hook("rulebooks", "[FOLDER]"), {}),
    "gives a number for a folder": (hook("rulebooks", "[('trees', 3)]"), {}),
    "gives a rulebook without a name": (hook("rulebooks", "[(' ', FOLDER)]"), {}),
    "gives a folder that is not there": (hook("rulebooks", "[('trees', '/not/there/at/all')]"), {}),
    "gives a folder from here": (hook("rulebooks", "[('trees', 'rules')]"), {}),
    "gives a rulebook's name already taken": (HEAD + GIVES_BOOK % RULES, book(rule=RULE)),
    "gives a dictionary for measures": (hook("measures", "{'a': sys}"), {}),
    "gives numbers for modules": (hook("measures", "[1, 2]"), {}),
    "gives a module without measures": (hook("measures", "[os]"), {}),
    "gives a list for reports": (hook("reports", "['lines']"), {}),
    "gives a text for a report": (hook("reports", "{'lines': 'write'}"), {}),
    "gives a report's name already taken": (HEAD + GIVES_LINES % "json", {}),
    "takes a measure's name": (measured(MEASURE.replace("trunk", "floor_load")), {}),
    "takes a word of the setup": (measured(MEASURE.replace("trunk", "mesh")), {}),
    "measures in an unknown unit": (measured(MEASURE.replace("number", "hands")), {}),
    "measures with a star": (measured(MEASURE.replace("pen", "*pens")), {}),
    "measures by what is not there": (measured(MEASURE.replace("pen", "moon")), {}),
    "measures in a circle": (measured(MEASURE.replace("pen", "trunk")), {}),
    "measures by two items": (measured(MEASURE.replace("pen", "group, feeder")), {}),
    "brings an empty rulebook": (HEAD + "os.makedirs(FOLDER)\n" + GIVES_BOOK % "trees", {}),
    "brings a rule that is no YAML": (HEAD + GIVES_BOOK % "trees", book(rule="rule: [")),
    "brings a rule that is no text": (HEAD + GIVES_BOOK % "trees", book(rule=b"\xff\xfe\x00")),
    "brings a rule without a measure": (HEAD + GIVES_BOOK % "trees", book(rule=RULE)),
    "brings a rule with three mistakes": (
        measured(MEASURE) + GIVES_BOOK % "trees",
        book(rule=RULE.replace("grade: watch", "grade: bad").replace("title", "tilte")),
    ),
    "takes a rule's name": (
        HEAD + GIVES_BOOK % "trees",
        {"wind/lid-blows-off.yaml": (ROOT / "rules/wind/lid-blows-off.yaml").read_text()},
    ),
    "takes a table's name": (
        HEAD + GIVES_BOOK % "trees",
        {"tables/growth.yaml": (ROOT / "rules/tables/growth.yaml").read_text()},
    ),
    "takes the place of a table without giving all it gave": (
        HEAD + GIVES_BOOK % "trees",
        {"tables/floor_good.yaml": FLOOR.replace("good:", "better:")},
    ),
    "takes the place of a table and goes along nothing": (
        HEAD + GIVES_BOOK % "trees",
        {
            "tables/floor_good.yaml": FLOOR.replace("along: age\n", "").replace(
                "points: [[1 day, 1 m2]]", "values: {good: 1 m2}"
            )
        },
    ),
    "takes the place of a table and tells apart what nobody asks": (
        HEAD + GIVES_BOOK % "trees",
        {"tables/floor_good.yaml": FLOOR.replace("group.kind", "predator")},
    ),
    "takes the place of a rule so that two hide each other": (
        HEAD + GIVES_BOOK % "trees",
        {
            "plan/out-too-young.yaml": RULE.replace("trunk-thin", "out-too-young")
            .replace("measure: trunk", "key: pen.length")
            .replace("at_least: 2", "at_least: 2 m")
            .replace("{trunk}", "{pen.length}")
            + "replaces: yes\ninstead_of: [dates-out-of-order]\n"
        },
    ),
}  # fmt: skip


@pytest.fixture
def use(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Callable[..., Tools]:
    """Put plugins together as if they were installed, and no other."""

    def use(
        *plugins: tuple[str, str, dict[str, str | bytes]], asked: tuple[str, ...] = ()
    ) -> Tools:
        found = []
        for name, source, books in plugins:
            monkeypatch.setitem(sys.modules, name, ModuleType(name))
            folder = tmp_path / name
            if not folder.exists():
                put(folder, name, source, books)
            found.append((f"{name} (flockcheck-{name} 1.0)", loader(folder, name)))
        monkeypatch.setattr(workshop, "installed_plugins", lambda: Installed(found, []))
        return tools(asked)

    return use


def report(kit: Tools, file: str = BAD) -> Report:
    return check(read_setup_file(str(ROOT / file)), kit.rulebook)


def told(kit: Tools) -> list[str]:
    return [f"{problem.about}: {problem.says}" for problem in kit.problems]


# --- One from outside ----------------------------------------------------------------------------


@pytest.fixture(scope="session")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where pip has installed the outside package."""
    return install(OUTSIDE, tmp_path_factory.mktemp("outside"))


@pytest.fixture
def shadeless(tmp_path: Path) -> Path:
    text = (ROOT / GOOD).read_text(encoding="utf-8")
    path = tmp_path / "shadeless.flock.yaml"
    path.write_text(text.replace("shade: 25 %", "shade: 0 %"), encoding="utf-8")
    return path


def test_a_package_from_outside_brings_a_rule_with_a_measure_and_a_table(
    site: Path, shadeless: Path
) -> None:
    came = program("check", "--format", "json", shadeless, path=(site,))
    data = json.loads(came.out)
    assert (came.status, came.err, data["problems"]) == (0, "", [])
    (found,) = [one for one in data["setups"][0]["findings"] if one["rule"] == "trees-few"]
    assert found["grade"] == "watch"
    assert found["measured"]["name"] == "tree_shade"
    assert found["limit"] == {"at_least": 0.2, "unit": "m2", "shown": "0.2 m2"}
    assert found["sources"][0]["id"] == "shade-leaflet"
    books = [one["name"] for one in data["flockcheck"]["rulebooks"]]
    assert books == ["flockcheck_rules", "shade_trees"]


def test_a_package_from_outside_brings_a_report_format(site: Path, shadeless: Path) -> None:
    came = program("check", "--format", "lines", GOOD, shadeless, path=(site,))
    bad, good = sorted(came.out.splitlines())
    assert (came.status, came.err) == (0, "")
    assert good == f"{GOOD}: ready (nothing found)"
    assert bad.startswith(f"{shadeless}: ready (")
    assert "trees-few" in bad


def test_a_rule_from_outside_is_listed_with_its_source(site: Path) -> None:
    came = program("rules", "--topic", "trees", path=(site,))
    assert (came.status, came.err) == (0, "")
    assert "trees-few" in came.out
    assert "A leaflet about trees and hens" in came.out


def test_the_rulebook_from_outside_passes_its_proof(site: Path) -> None:
    came = program("prove", site / "shade_trees" / "rulebook", path=(site,))
    assert (came.status, came.err) == (0, "")
    assert "every one comes out as it says" in came.out


def test_nothing_of_it_is_left_when_it_is_gone(shadeless: Path) -> None:
    came = program("check", "--format", "lines", shadeless)
    assert came.status == 2
    assert came.err.startswith("flockcheck: there is no format `lines`; ")
    assert "trees-few" not in program("check", shadeless).out


def test_the_example_in_its_measure_works_out(site: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(site))
    module = __import__("shade_trees.measures", fromlist=["measures"])
    assert doctest.testmod(module) == (0, 2)


# --- Spoiled ones --------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def alone() -> tuple[Any, ...]:
    """What the built-in rules find without any plugin."""
    return report(tools()).findings


@pytest.mark.parametrize("fault", SPOILED)
def test_a_plugin_that(
    fault: str, use: Callable[..., Tools], alone: tuple[Any, ...], snapshot: SnapshotAssertion
) -> None:
    source, books = SPOILED[fault]
    kit = use(("spoiled", source, books))
    assert told(kit) == snapshot
    assert kit.problems
    for problem in kit.problems:
        assert problem.about == "plugin spoiled (flockcheck-spoiled 1.0)"
    # Each of them names the hook, but for what is no hook's: the module as a whole.
    came = report(kit)
    assert came.findings == alone
    assert came.failures == ()
    assert set(kit.gathered.reports) == set(gather().reports)


def test_who_loads_the_rules_in_python_is_warned(use: Callable[..., Tools]) -> None:
    source, books = SPOILED["raises at import"]
    use(("spoiled", source, books))
    with pytest.warns(RuntimeWarning, match="plugin spoiled .*ValueError: no leaves"):
        assert workshop.load_rulebook().rules


def test_only_the_faulty_part_of_a_plugin_is_left_out(use: Callable[..., Tools]) -> None:
    source = measured(MEASURE) + GIVES_BOOK % "trees" + GIVES_LINES % "text"
    kit = use(("half", source, book(rule=RULE)))
    assert len(kit.problems) == 1
    assert "gives a report format `text`, which is there already" in kit.problems[0].says
    assert "trunk-thin" in [one.rule for one in report(kit).findings]


def test_a_rulebook_whose_measures_are_left_out_is_left_out_and_told_too(
    use: Callable[..., Tools],
) -> None:
    source = measured(MEASURE + MEASURE.replace("trunk", "floor_load"))
    kit = use(("half", source + GIVES_BOOK % "trees", book(rule=RULE)))
    measures, rules = (problem.says for problem in kit.problems)
    assert measures.startswith("its hook flockcheck_measures gives what can't be used: measure ")
    assert rules.startswith("its rulebook trees (hook flockcheck_rulebooks) is no use: trees/trunk")
    assert "trunk" not in kit.rulebook.registry.nodes


def test_a_sound_plugin_works_beside_a_spoiled_one(use: Callable[..., Tools]) -> None:
    sound = measured(MEASURE) + GIVES_BOOK % "trees" + GIVES_LINES % "lines"
    for order in (("a", "b"), ("b", "a")):
        plugins = {
            "a": ("a", SPOILED["raises at import"][0], {}),
            "b": ("b", sound, book(rule=RULE)),
        }
        kit = use(*(plugins[name] for name in order))
        assert [problem.about for problem in kit.problems] == ["plugin a (flockcheck-a 1.0)"]
        assert "trunk-thin" in [one.rule for one in report(kit).findings]
        assert "lines" in kit.gathered.reports


def test_of_two_plugins_with_one_name_for_a_thing_the_first_keeps_it(
    use: Callable[..., Tools],
) -> None:
    source = measured(MEASURE) + GIVES_LINES % "lines"
    kit = use(("first", source, {}), ("second", source, {}))
    assert [problem.about for problem in kit.problems] == [
        "plugin second (flockcheck-second 1.0)"
    ] * 2
    assert kit.rulebook.registry.origin("trunk") == "first"


def test_two_plugins_that_each_spoil_a_built_in_rule_are_both_named(
    use: Callable[..., Tools], alone: tuple[Any, ...]
) -> None:
    source, books = SPOILED["takes the place of a rule so that two hide each other"]
    other = {
        "fence/mesh-torn.yaml": str(books["plan/out-too-young.yaml"])
        .replace("out-too-young", "mesh-torn")
        .replace("dates-out-of-order", "mesh-lets-in")
    }
    kit = use(("one", source, books), ("two", source.replace('"trees"', '"other"'), other))
    assert {problem.about[:10] for problem in kit.problems} == {"plugin one", "plugin two"}
    assert report(kit).findings == alone


def test_a_plugins_rulebook_that_is_asked_for_by_its_folder_is_held_to_what_is_asked_for(
    use: Callable[..., Tools], tmp_path: Path
) -> None:
    source, books = SPOILED["brings a rule without a measure"]
    folder = str(tmp_path / "trees" / "trees" / "rulebook")
    assert len(use(("trees", source, books)).problems) == 1
    with pytest.raises(RulebookError) as caught:
        use(("trees", source, books), asked=(folder,))
    assert caught.value.book == "trees"


def test_a_rulebook_that_is_asked_for_answers_for_its_own_mistakes(
    use: Callable[..., Tools], tmp_path: Path
) -> None:
    put(tmp_path, "own", "", book(rule="rule: ["))
    sound = measured(MEASURE) + GIVES_BOOK % "trees"
    with pytest.raises(RulebookError) as caught:
        use(("trees", sound, book(rule=RULE)), asked=(str(tmp_path / "own" / "rulebook"),))
    assert caught.value.book == "rulebook"


def test_what_a_plugin_prints_when_it_is_loaded_does_not_get_into_a_report(
    use: Callable[..., Tools], capsys: pytest.CaptureFixture[str]
) -> None:
    use(("loud", "print('hello')\n" + measured(MEASURE), {}))
    assert capsys.readouterr() == ("", "hello\n")


# --- Measures that fail on a setup ---------------------------------------------------------------

# What a measure does, and what is said of it.
FAILING = {
    "raise ValueError('no sap')": "ValueError: no sap",
    "raise SystemExit(0)": "SystemExit: 0",
    "return 'thick'": "TypeError: gave str, not a number",
    "return True": "TypeError: gave bool, not a number",
    "return float('nan')": "TypeError: gave nan, which is no finite number",
    "return -1e999": "TypeError: gave -inf, which is no finite number",
    "return pen": "TypeError: gave Pen, not a number",
    "return pen.branches": "AttributeError: the setup format has no key pen.branches",
    "return trunk(pen)": "RecursionError: maximum recursion depth exceeded",
}


@pytest.mark.parametrize("does", FAILING)
def test_a_measure_that_fails_is_named_and_its_rule_not_checked(
    does: str, use: Callable[..., Tools], alone: tuple[Any, ...]
) -> None:
    source = measured(MEASURE.replace("return 1.0", does)) + GIVES_BOOK % "trees"
    kit = use(("failing", source, book(rule=RULE)))
    came = report(kit)
    assert came.findings == alone
    assert [one.rule for one in came.not_checked if "trunk failed" in one.why] == ["trunk-thin"]
    (problem,) = failures_told([came, came, came], kit)
    assert problem.about == "measure trunk of plugin failing (flockcheck-failing 1.0)"
    assert problem.says.startswith(f"it failed on {BAD} and 2 more ({FAILING[does]}")
    assert problem.says.endswith("was not checked. Mend or uninstall the plugin")


def test_a_rule_that_fails_is_told_with_who_is_to_mend_it(use: Callable[..., Tools]) -> None:
    kit = use(("trees", measured(MEASURE) + GIVES_BOOK % "trees", book(rule=RULE)))
    came = report(kit)
    theirs = came._replace(failures=("rule trunk-thin: KeyError: 'x'",))
    ours = came._replace(
        failures=("rule lid-blows-off: KeyError: 'x'", "floor_load: KeyError: 'x'")
    )
    told = failures_told([theirs, ours], kit)
    assert [problem.about for problem in told] == [
        "rule trunk-thin of plugin trees (flockcheck-trees 1.0)",
        "rule lid-blows-off",
        "measure floor_load",
    ]
    assert told[0].says.endswith("Mend or uninstall the plugin")
    assert told[1].says.endswith("Please report it, with the setup if you can")


@pytest.mark.parametrize(
    ("gives", "does", "says"),
    [
        ("flag", "return 1", "gave int, not True or False"),
        ("word", "return 1", "gave int, not a text"),
        ("names", "return 'fox'", "gave str, not a tuple of texts"),
        ("names", "return ('fox', 1)", "gave names with int among them"),
        ("date", "return '2027-05-01'", "gave str, not a date"),
    ],
)
def test_a_measure_gives_what_it_says_it_gives(
    gives: str, does: str, says: str, use: Callable[..., Tools]
) -> None:
    source = MEASURE.replace("number", gives).replace("return 1.0", does)
    rule = RULE.replace("at_least: 2", "is: yes" if gives == "flag" else "is: x")
    if gives == "names":
        rule = RULE.replace("at_least: 2", "none: yes")
    if gives == "date":
        rule = RULE.replace("at_least: 2", "at_least: 2027-05-01")
    kit = use(("odd", measured(source) + GIVES_BOOK % "trees", book(rule=rule)))
    assert kit.problems == ()
    assert report(kit).failures == (f"trunk: TypeError: {says}",)


def test_a_measure_by_day_that_gives_a_text_on_one_of_them_fails(use: Callable[..., Tools]) -> None:
    source = '@measure("number", each="day")\ndef trunk(day): return "x" if day.day == 9 else 1.0\n'
    kit = use(("odd", measured(source) + GIVES_BOOK % "trees", book(rule=RULE)))
    assert report(kit).failures == ("trunk: TypeError: gave str, not a number",)


def test_numbers_of_another_library_are_as_good_as_pythons(use: Callable[..., Tools]) -> None:
    source = MEASURE.replace("return 1.0", "return type('Own', (float,), {})(1.0)")
    kit = use(("odd", measured(source) + GIVES_BOOK % "trees", book(rule=RULE)))
    came = report(kit)
    assert came.failures == ()
    assert "trunk-thin" in [one.rule for one in came.findings]


# --- In the program itself -----------------------------------------------------------------------


def findings(came: str) -> list[Any]:
    return [one["findings"] for one in json.loads(came)["setups"]]


@pytest.mark.parametrize("format_name", ["text", "json"])
def test_the_report_names_the_plugin_and_the_run_ends_with_2(
    format_name: str, tmp_path: Path
) -> None:
    put(tmp_path, "leafless", "raise ValueError('no leaves')")
    came = program("check", "--format", format_name, GOOD, path=(tmp_path,))
    assert (came.status, came.err) == (2, "")
    assert "plugin leafless (flockcheck-leafless 1.0)" in came.out
    if format_name == "json":
        assert findings(came.out) == findings(program("check", "--format", "json", GOOD).out)


@pytest.mark.parametrize("command", [("rules",), ("prove", "rules")])
def test_other_commands_name_the_plugin_too(command: tuple[str, ...], tmp_path: Path) -> None:
    put(tmp_path, "leafless", "raise ValueError('no leaves')")
    came = program(*command, path=(tmp_path,))
    assert came.status == 2
    assert came.err.startswith(
        "flockcheck: plugin leafless (flockcheck-leafless 1.0): it can't be "
    )
    assert came.out


def test_a_format_that_is_missing_with_its_plugin_is_told_with_the_reason(tmp_path: Path) -> None:
    put(tmp_path, "leafless", "raise ValueError('no leaves')")
    came = program("check", "--format", "lines", GOOD, path=(tmp_path,))
    plugin, missing = came.err.splitlines()
    assert "ValueError: no leaves" in plugin
    assert missing.startswith("flockcheck: there is no format `lines`; ")


@pytest.mark.parametrize(
    ("writer", "says"),
    [
        ("lambda *a, **o: 1 / 0", "it failed (ZeroDivisionError: division by zero)"),
        ("lambda *a, **o: sys.exit(0)", "it failed (SystemExit: 0)"),
        ("lambda *a, **o: None", "it gave NoneType, which is no text"),
        ("lambda: ''", "it failed (TypeError: "),
    ],
)
def test_a_format_that_fails_is_named_and_nothing_is_written(
    writer: str, says: str, tmp_path: Path
) -> None:
    put(tmp_path, "torn", hook("reports", f'{{"lines": {writer}}}'))
    output = tmp_path / "report.txt"
    came = program("check", "--format", "lines", "--output", output, GOOD, path=(tmp_path,))
    assert (came.status, came.out) == (2, "")
    head = "flockcheck: the format lines of plugin torn (flockcheck-torn 1.0) can't be used: "
    assert came.err.startswith(head + says)
    assert not output.exists()


def test_without_the_built_in_rules_nothing_is_checked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, RULES, None)
    assert gather().problems
    with pytest.raises(RulebookError, match="Install flockcheck again"):
        tools()
