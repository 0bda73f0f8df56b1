"""Citations in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flockcheck.rulebook.model import Source

PRACTICE = "Common practice, no source."
WORKED_OUT = "; worked out from it"


def cite_words(
    cite: Mapping[str, Any], sources: Mapping[str, Source], *, brief: bool = False
) -> str:
    """One citation as a sentence: who, what, where in it, and how it was seen.

    `brief` leaves out how a derived figure was worked out.
    """
    if "practice" in cite:
        return PRACTICE
    source = sources.get(str(cite["id"]))
    if source is None:
        named = str(cite["id"])
    else:
        year = f" ({source.year})" if source.year else ""
        named = f"{source.issuer[:1].upper()}{source.issuer[1:]}, {source.title}{year}"
    where = f", {cite['where']}" if cite.get("where") else ""
    return f"{named}{where}{_mark(cite, brief)}."


def _mark(cite: Mapping[str, Any], brief: bool) -> str:
    if cite.get("recalled"):
        return "; figure from memory"
    if cite.get("seen"):
        return "; seen second hand"
    if cite.get("derived"):
        return WORKED_OUT if brief else f"; derived from {cite['derived']}"
    return ""
