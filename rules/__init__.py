"""The built-in rulebook: this folder, given through the same hook as anyone's."""

import os

import pluggy

_given = pluggy.HookimplMarker("flockcheck")


@_given
def flockcheck_rulebooks() -> list[tuple[str, str]]:
    """The name and folder of this rulebook."""
    return [("flockcheck_rules", os.path.dirname(__file__))]
