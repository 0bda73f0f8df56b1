"""The built-in rulebook: this folder, given through the same hook as anyone's."""

from pathlib import Path

import pluggy

_given = pluggy.HookimplMarker("flockcheck")


@_given
def flockcheck_rulebooks() -> list[tuple[str, Path]]:
    """The name and folder of this rulebook."""
    return [("flockcheck_rules", Path(__file__).parent)]
