"""Whether plugins are installed: quick where none is, and honest wherever one may be."""

from __future__ import annotations

import importlib.metadata
import os
import subprocess
import sys
import zipfile
from importlib.machinery import PathFinder
from importlib.metadata import DistributionFinder, PathDistribution
from pathlib import Path
from typing import Any

import pytest

from flockcheck.installed import installed_plugins, may_have_plugins
from tests.plugin_cases import ROOT

OURS = "[console_scripts]\nx = y:z\n\n[flockcheck]\ntrees = trees\n"
BUILT_IN = "[console_scripts]\nflockcheck = flockcheck.__main__:main\n\n[flockcheck]\nrules = {}\n"
ABOUT = "Metadata-Version: 2.1\nName: {}\nVersion: 1.0\n"


@pytest.fixture
def site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The only folder on the path, with no finder but Python's own."""
    monkeypatch.setattr(sys, "path", [str(tmp_path)])
    # A library may have loaded the backport of importlib.metadata, which takes this from Python's.
    found = staticmethod(importlib.metadata.MetadataPathFinder.find_distributions)
    monkeypatch.setattr(PathFinder, "find_distributions", found, raising=False)
    others = [one for one in sys.meta_path if not hasattr(one, "find_distributions")]
    monkeypatch.setattr(sys, "meta_path", [*others, PathFinder])
    return tmp_path


def put(
    folder: Path, points: str | bytes | None, name: str = "trees", about: str = "PKG-INFO"
) -> None:
    folder.mkdir(parents=True)
    folder.joinpath(about).write_text(ABOUT.format(name))
    if points is not None:
        data = points if isinstance(points, bytes) else points.encode()
        folder.joinpath("entry_points.txt").write_bytes(data)


def names() -> list[str]:
    return [name for name, _ in installed_plugins().plugins]


def is_asked(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """Calls of what is slow."""
    calls: list[Any] = []
    real = importlib.metadata.entry_points

    def asked(**how: Any) -> Any:
        calls.append(how)
        return real(**how)

    monkeypatch.setattr(importlib.metadata, "entry_points", asked)
    return calls


# --- Where one is --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "folder", ["trees-1.0.dist-info", "trees-1.0.egg-info", "trees.egg-info", "Trees-1.0.DIST-INFO"]
)
def test_a_plugin_is_found_in_a_folder_of_metadata(folder: str, site: Path) -> None:
    put(site / folder, OURS, about="METADATA" if "dist" in folder.lower() else "PKG-INFO")
    assert names() == ["trees (trees 1.0)"]


def test_a_plugin_whose_name_begins_with_ours_is_found(site: Path) -> None:
    put(site / "flockcheck-trees-1.0.egg-info", OURS, "flockcheck-trees")
    assert names() == ["trees (flockcheck-trees 1.0)"]


def test_a_plugin_in_an_egg_on_the_path_is_found(
    site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(site / "trees-1.0-py3.11.egg" / "EGG-INFO", OURS)
    monkeypatch.setattr(sys, "path", [str(site / "trees-1.0-py3.11.egg")])
    assert names() == ["trees (trees 1.0)"]


def test_a_plugin_in_a_zip_on_the_path_is_found(
    site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    archive = site / "trees.zip"
    with zipfile.ZipFile(archive, "w") as file:
        file.writestr("trees-1.0.dist-info/METADATA", ABOUT.format("trees"))
        file.writestr("trees-1.0.dist-info/entry_points.txt", OURS)
    monkeypatch.setattr(sys, "path", [str(archive)])
    assert names() == ["trees (trees 1.0)"]


def test_a_plugin_in_the_folder_where_one_stands_is_found(
    site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(site / "trees-1.0.dist-info", OURS, about="METADATA")
    monkeypatch.chdir(site)
    monkeypatch.setattr(sys, "path", [""])
    assert names() == ["trees (trees 1.0)"]


def test_a_plugin_that_another_finder_knows_is_found(
    site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(site / "elsewhere" / "trees-1.0.dist-info", OURS, about="METADATA")

    class Finder(DistributionFinder):
        def find_spec(self, *args: Any, **options: Any) -> None:
            return None

        def find_distributions(self, context: Any = None) -> list[PathDistribution]:
            return [PathDistribution(site / "elsewhere" / "trees-1.0.dist-info")]

    monkeypatch.setattr(sys, "meta_path", [*sys.meta_path, Finder()])
    assert names() == ["trees (trees 1.0)"]


def test_a_package_that_was_installed_to_be_edited_is_found(site: Path) -> None:
    # Such an install leaves the metadata in place, beside a file that points to the sources.
    put(site / "trees-1.0.dist-info", OURS, about="METADATA")
    site.joinpath("__editable__.trees-1.0.pth").write_text("/somewhere/src\n")
    assert names() == ["trees (trees 1.0)"]


def test_plugins_come_in_the_order_of_their_names(site: Path) -> None:
    for name in ("b", "c", "a"):
        put(site / f"{name}.egg-info", f"[flockcheck]\n{name} = trees\n", name)
    assert names() == ["a (a 1.0)", "b (b 1.0)", "c (c 1.0)"]


# --- Where none is -------------------------------------------------------------------------------


def test_without_plugins_no_distribution_is_asked(
    site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(site / "flockcheck-0.1.0.dist-info", BUILT_IN.format("flockcheck_rules"), "flockcheck")
    put(site / "flockcheck.egg-info", BUILT_IN.format(" flockcheck_rules "), "flockcheck")
    put(site / "other-1.0.dist-info", "[console_scripts]\nflockcheck = a:b\n", "other")
    put(site / "bare-1.0.dist-info", None, "bare")
    site.joinpath("old-1.0.egg-info").write_text(ABOUT.format("old"))
    calls = is_asked(monkeypatch)
    assert names() == []
    assert calls == []


@pytest.mark.parametrize("entry", ["nowhere", "nowhere/deeper", "a\0b", "x" * 300])
def test_an_entry_of_the_path_that_leads_nowhere_is_passed_over(
    entry: str, site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "path", [str(site / entry)])
    assert not may_have_plugins()


@pytest.mark.parametrize("entry", [7, None])
def test_an_entry_of_the_path_that_is_no_text_is_passed_over(
    entry: Any, site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "path", [entry])
    assert not may_have_plugins()


def test_folders_and_lists_that_may_not_be_read_are_passed_over(
    site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put(site / "trees-1.0.dist-info", OURS, about="METADATA")

    def refuse(*_: Any, **__: Any) -> Any:
        raise PermissionError(13, "no")

    with monkeypatch.context() as patch:
        patch.setattr("builtins.open", refuse)
        assert not may_have_plugins()
    with monkeypatch.context() as patch:
        patch.setattr(os, "listdir", refuse)
        assert not may_have_plugins()


def test_a_start_without_plugins_does_not_import_what_is_slow() -> None:
    code = (
        "import sys; from flockcheck.installed import installed_plugins; installed_plugins();"
        "sys.exit('importlib.metadata' in sys.modules)"
    )
    if may_have_plugins():
        pytest.skip("a plugin is installed here")
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")


# --- Spoiled lists -------------------------------------------------------------------------------


def test_a_spoiled_list_of_someone_else_hides_no_plugin(site: Path) -> None:
    put(site / "trees-1.0.dist-info", OURS, about="METADATA")
    put(site / "torn-1.0.dist-info", "[console_scripts]\nno equals sign\n", "torn", "METADATA")
    put(site / "odd-1.0.dist-info", b"[console_scripts]\nx = \xff\n", "odd", "METADATA")
    found = installed_plugins()
    assert [name for name, _ in found.plugins] == ["trees (trees 1.0)"]
    assert found.problems == []


@pytest.mark.parametrize("points", ["[flockcheck]\nno equals sign\n", b"[flockcheck]\nx = \xff\n"])
def test_a_spoiled_list_with_our_group_is_named(points: str | bytes, site: Path) -> None:
    put(site / "trees-1.0.dist-info", OURS, about="METADATA")
    put(site / "torn-1.0.dist-info", points, "torn", "METADATA")
    found = installed_plugins()
    assert [name for name, _ in found.plugins] == ["trees (trees 1.0)"]
    (problem,) = found.problems
    assert problem.about == "distribution torn"
    assert problem.says.startswith("its list of entry points can't be read (")
    assert problem.says.endswith("). Install it again, or uninstall it")


def test_an_entry_point_without_a_module_is_told_when_it_is_loaded(site: Path) -> None:
    put(site / "trees-1.0.dist-info", "[flockcheck]\ntrees = not a name\n", about="METADATA")
    ((name, load),) = installed_plugins().plugins
    assert name == "trees (trees 1.0)"
    with pytest.raises(AttributeError):
        load()
