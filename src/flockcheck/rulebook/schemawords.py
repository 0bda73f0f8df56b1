"""What a JSON Schema finds wrong with a rulebook file, in plain words at the right line."""

from __future__ import annotations

from typing import Any

from flockcheck.setup.reader import nearest
from flockcheck.text.document import Mapping, Mark, Node, Sequence, plain
from flockcheck.text.records import NamedTuple


class Complaint(NamedTuple):
    """One thing that a schema refuses: where, at which key, and why."""

    mark: Mark
    key: str
    says: str


def complaints(validator: Any, node: Node) -> list[Complaint]:
    """What a validator of jsonschema refuses in a file's nodes, each place once."""
    from jsonschema.exceptions import best_match

    found: dict[tuple[int, str], Complaint] = {}
    meant: set[str] = set()
    for error in validator.iter_errors(plain(node)):
        deepest = best_match([error]) or error
        path = [str(part) for part in deepest.absolute_path]
        one = Complaint(_mark_at(node, path), ".".join(path), _words(deepest))
        if deepest.validator == "additionalProperties":
            one, near = _extra_key(node, path, deepest)
            meant.add(f"`{near}` is missing")
        found.setdefault((one.mark.line, one.key), one)
    # A key that is missing because it is misspelt is one mistake, not two.
    return [one for one in found.values() if one.says not in meant]


def _at(node: Node, path: list[str]) -> tuple[Node, Mark]:
    """What a path of keys and positions leads to and where it stands, or as far as it goes."""
    mark = node.start
    for part in path:
        if isinstance(node, Mapping) and part in node.entries:
            mark, node = node.keys[part], node.entries[part]
        elif isinstance(node, Sequence) and part.isdigit() and int(part) < len(node.items):
            node = node.items[int(part)]
            mark = node.start
        else:
            break
    return node, mark


def _mark_at(node: Node, path: list[str]) -> Mark:
    return _at(node, path)[1]


def _extra_key(node: Node, path: list[str], error: Any) -> tuple[Complaint, str | None]:
    """A key that the schema does not know, at its own line, and the one that was meant."""
    known = list(error.schema.get("properties", {}))
    extra = next(str(key) for key in error.instance if key not in known)
    near = nearest(extra, known)
    hint = f"did you mean `{near}`?" if near else f"the keys are {', '.join(known)}"
    inside = [*path, extra]
    says = f"there is no such key; {hint}"
    return Complaint(_mark_at(node, inside), ".".join(inside), says), near


def _words(error: Any) -> str:
    """A schema's complaint in plain words."""
    keyword, wanted = error.validator, error.validator_value
    about = str(error.schema.get("description") or "")
    if keyword == "required":
        lacking = [key for key in wanted if key not in error.instance]
        return f"`{lacking[0] if lacking else '?'}` is missing"
    if keyword in ("enum", "const"):
        known = [str(one) for one in (wanted if keyword == "enum" else [wanted])]
        near = nearest(str(error.instance), known)
        hint = f"did you mean `{near}`?" if near else f"it takes {', '.join(known)}"
        return f"`{error.instance}` does not fit; {hint}"
    if keyword == "type":
        read = f"`{error.instance}`"
        if not isinstance(error.instance, str):
            read = "a list" if isinstance(error.instance, list) else "what has keys of its own"
        kinds = [wanted] if isinstance(wanted, str) else wanted
        forms = {"object": "keys of its own", "array": "a list", "string": "one value"}
        takes = " or ".join(forms.get(kind, kind) for kind in kinds)
        return f"{read} does not fit; it takes {takes}"
    if keyword == "pattern":
        return f"`{error.instance}` does not fit. {about}".rstrip(" .")
    return about.rstrip(".") or str(error.message)
