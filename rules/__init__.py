"""The built-in rulebook: this folder, given by the same hook as anyone's."""

import os


def flockcheck_rulebooks() -> list[tuple[str, str]]:
    """The name and folder of this rulebook."""
    return [("flockcheck_rules", os.path.dirname(__file__))]
