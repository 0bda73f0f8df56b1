"""The wheel's build: the ordinary one, with the rulebook compiled beside its rules.

Nobody should wait for a compiler when checking a setup, so the wheel carries what it would make.
"""

import sys
from pathlib import Path

from setuptools.build_meta import *  # noqa: F403  (this module is the build's backend)
from setuptools.command.build_py import build_py

ROOT = Path(__file__).resolve().parent.parent


class BuildPy(build_py):
    """Copies the packages, then compiles the built-in rulebook into the copy."""

    def run(self) -> None:
        """Build, and compile unless the install is an editable one."""
        super().run()
        if self.editable_mode:
            return
        sys.path[:0] = [str(ROOT / "src")]
        from flockcheck import __version__
        from flockcheck.plugins import gather, registry_of
        from flockcheck.rulebook.book import COMPILED, compiled_text

        sys.path[:0] = [str(Path(self.build_lib).resolve())]
        rules = Path(self.build_lib) / "flockcheck_rules"
        text = compiled_text(str(rules), "flockcheck_rules", registry_of(gather()), __version__)
        (rules / COMPILED).write_text(text, encoding="utf-8")
