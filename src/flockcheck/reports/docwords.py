"""What a measure's docstring tells a newcomer besides its first sentence."""

from __future__ import annotations

import re

# A sentence that tells when there is no value.
_NONE = re.compile(r"^(None|Not known|Below zero|Raises|Never below)\b")
_NONE_INSIDE = re.compile(r",? (?:and )?None (?:while|on|where|of|before|without)\b[^.;]*")
_SEE = re.compile(r" \(see `\w+`\)")
_SENTENCE = re.compile(r"(?<=[.;:])\s+(?=[A-Z0-9])")
# The column at which a docstring's prose begins.
_MARGIN = 4


def formula_of(doc: str | None) -> str:
    """The line that stands by itself, further in than the prose: a formula. Empty where none is."""
    for line in _prose(doc):
        if line.startswith(" " * (_MARGIN + 1)):
            return " ".join(line.split())
    return ""


def how_of(doc: str | None) -> str:
    """How a measure is worked out, in the words of its docstring.

    The first sentence, which says what it gives, is left out, and so are the example with what
    leads up to it and what is said of days on which there is no value.
    """
    lines = [line for line in _prose(doc) if not line.startswith(" " * (_MARGIN + 1))]
    text = " ".join(" ".join(lines).split())
    sentences = _SENTENCE.split(text)[1:]
    if sentences and sentences[-1].endswith(":"):
        sentences.pop()
    told = " ".join(one for one in sentences if not _NONE.match(one))
    return _SEE.sub("", _NONE_INSIDE.sub("", told)).replace("`", "")


def _prose(doc: str | None) -> list[str]:
    """The lines above the example."""
    found: list[str] = []
    for line in (doc or "").splitlines():
        if line.lstrip().startswith(">>>"):
            break
        found.append(line)
    return found
