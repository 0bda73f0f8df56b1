"""The page about plugins shows a package that is really there, whole and as it is."""

from __future__ import annotations

import re

import pytest

from flockcheck.hooks import Hooks
from tests.plugin_cases import OUTSIDE, ROOT

PAGE = (ROOT / "docs" / "plugins.md").read_text(encoding="utf-8")
SHOWN = dict(re.findall(r"<!-- file: (\S+) -->\n```\w+\n(.*?)```\n", PAGE, re.DOTALL))
FILES = sorted(
    str(path.relative_to(OUTSIDE))
    for path in OUTSIDE.rglob("*")
    if path.is_file() and "__pycache__" not in path.parts
)


@pytest.mark.parametrize("file", FILES)
def test_a_file_of_the_package_stands_on_the_page_as_it_is(file: str) -> None:
    assert SHOWN[file] == (OUTSIDE / file).read_text(encoding="utf-8")


def test_the_page_shows_no_file_that_is_not_there() -> None:
    assert sorted(SHOWN) == FILES
    assert PAGE.count("```python") + PAGE.count("```yaml") + PAGE.count("```toml") == len(FILES)


def test_the_page_lists_each_file_in_its_place() -> None:
    listing = PAGE.partition("    flockcheck-shade-trees/\n")[2].partition("\n\n")[0]
    # Two spaces more for each folder deeper, where a folder of one file stands with it.
    found, folders = [], [""]
    for line in listing.splitlines():
        depth = (len(line) - len(line.lstrip())) // 2 - 3
        name = line.strip()
        del folders[depth + 1 :]
        if name.endswith("/"):
            folders.append(folders[-1] + name)
        else:
            found.append(folders[-1] + name)
    assert sorted(found) == FILES


def test_the_page_names_each_hook() -> None:
    hooks = [name for name in vars(Hooks) if name.startswith("flockcheck_")]
    assert len(hooks) == 3
    for hook in hooks:
        assert f"| `{hook}` |" in PAGE
