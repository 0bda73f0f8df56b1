"""What is said of a key that is not there, of one in a wrong form, and of one that is missing.

Imported where something is wrong: a good file needs none of these words.
"""

from __future__ import annotations

import re

from flockcheck.setup.form import Shape, leaves
from flockcheck.setup.scalars import listed, nearest
from flockcheck.text.document import Mapping, Node, Scalar, Sequence, quoted


def wrong_form(node: Node, name: str, expected: str) -> str:
    """What is said of the key `name` that holds something of another form than `expected`."""
    read = {Scalar: "one value", Sequence: "a list", Mapping: "keys"}[type(node)]
    if isinstance(node, Scalar):
        glued = re.match(r"[a-z_]+(?=:\S)", node.text)
        if glued:
            return f"`{name}`: a space is missing after the `:` of `{glued[0]}`"
        read = quoted(node.text) if node.text.strip() else "nothing below it"
    return f"`{name}` has {read}; it takes {expected}"


def unknown_key(key: str, properties: dict[str, Shape], path: str) -> tuple[str, str]:
    """What is said of a key that isn't there, and the key it surely is, if a sign is missing."""
    lower, _, glued = key.partition(":")
    lower = re.sub(r"[\s-]+", "_", lower.strip().lower())
    if glued and lower in properties:
        return f"a space is missing after the `:` of `{lower}`", lower
    near = lower if lower in properties else nearest(lower, list(properties))
    homes = [_home(leaf) for leaf in leaves() if leaf.rpartition(".")[2] == lower]
    says = f"there is no key {quoted(key)}"
    if near:
        says += f"; did you mean `{near}`?"
    elif homes:
        says += f"{_within(path)}; it belongs to {listed(dict.fromkeys(homes))}"
    else:
        says += f"{_within(path)}; the keys are {listed(properties)}"
    return says, ""


def missing_from(path: str, name: str) -> str:
    """Where a key is missing from; an entry of a list is the one in the line that is shown."""
    if not path:
        return ""
    return f" from this entry of `{name}`" if path[-1].isdigit() else f" from `{path}`"


def words_in_brackets(own: str, shape: Shape) -> str:
    """How a list of words is written: with the keeper's own, where that is what was left out."""
    if re.fullmatch(r"[\w -]+(, ?[\w -]+)*", own) and len(own) < 60:
        return f"a list in brackets: [{own}]"
    example = shape["enum"][0] if "enum" in shape else "eu-organic"
    return f"a list in brackets, such as [{example}], or [] for none"


def _home(leaf: str) -> str:
    """What a key belongs to, as a keeper calls it."""
    return leaf.rpartition(".")[0].replace(".*", "") or "the top of the file"


def _within(path: str) -> str:
    home = re.sub(r"\.[0-9]+", "", path)
    return f" in `{home}`" if home else " at the top of the file"
