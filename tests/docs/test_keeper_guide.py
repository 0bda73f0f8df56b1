"""The keepers' guide is run: its commands in order, its output and its changes of the file.

A block marked `console` has commands after `$` with what they print below them, `yaml` a part of
the file named in the comment above it, `diff` lines of that file to be replaced. `...` stands for
anything, and alone on a line for any number of lines.
"""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from flockcheck.cli import cli
from tests.little_cases import ROOT

PAGE = (ROOT / "docs" / "keeper-guide.md").read_text(encoding="utf-8")
BLOCK = re.compile(r"(?:^<!-- (.*?) -->\n)?^```(console|yaml|diff)\n(.*?)^```$", re.M | re.S)


def fits(expected: str, real: str) -> bool:
    """Whether a text is as the page has it."""
    pattern = "".join(
        r"(?:.*\n)*?" if line == "..." else re.escape(line).replace(r"\.\.\.", ".*?") + r"\n"
        for line in expected.splitlines()
    )
    return re.fullmatch(pattern, real) is not None


def run_commands(block: str) -> None:
    for part in re.split(r"^\$ ", block, flags=re.M)[1:]:
        command, _, expected = part.partition("\n")
        name, *args = shlex.split(command)
        assert name == "flockcheck"
        result = CliRunner().invoke(cli, args, prog_name="flockcheck")
        assert "Traceback" not in result.output
        assert fits(expected, result.output), f"{command}\n\n{result.output}"


def change(file: Path, block: str) -> None:
    """Replace the first line that begins with each `-` line by the `+` line below it."""
    lines = file.read_text(encoding="utf-8").splitlines()
    changes = block.splitlines()
    for old, new in zip(changes[::2], changes[1::2], strict=True):
        assert (old[0], new[0]) == ("-", "+")
        at = next(at for at, line in enumerate(lines) if line.startswith(old[1:]))
        lines[at] = new[1:]
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")


def test_the_guide_says_what_the_program_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    blocks = BLOCK.findall(PAGE)
    assert [kind for _, kind, _ in blocks].count("console") >= 5
    for name, kind, text in blocks:
        if kind == "console":
            run_commands(text)
        elif kind == "yaml":
            real = (tmp_path / name).read_text(encoding="utf-8")
            assert fits(text, real), f"{name}\n\n{real}"
        else:
            change(tmp_path / name, text)


def test_the_page_is_plain() -> None:
    assert max(len(line) for line in PAGE.splitlines()) <= 105
    for link in re.findall(r"\]\(([a-z-]+\.md)\)", PAGE):
        assert (ROOT / "docs" / link).exists()


def test_completion_is_documented_for_each_shell() -> None:
    page = (ROOT / "docs" / "shell-completion.md").read_text(encoding="utf-8")
    for shell in ("bash", "zsh", "fish"):
        assert f"_FLOCKCHECK_COMPLETE={shell}_source flockcheck" in page


@pytest.mark.parametrize(
    ("expected", "real", "same"),
    [
        ("a\n...\nb\n", "a\nx\ny\nb\n", True),
        ("a\n...\nb\n", "a\nb\n", True),
        ("a ... c\n", "a b c\n", True),
        ("a\n", "a\nb\n", False),
        ("a.\n", "ab\n", False),
    ],
)
def test_dots_stand_for_anything_and_nothing_else_does(
    expected: str, real: str, same: bool
) -> None:
    assert fits(expected, real) == same
