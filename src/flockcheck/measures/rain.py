"""What the rain reaches: the feed, and the place where the birds sleep."""

from __future__ import annotations

from flockcheck.measures.graph.spec import measure
from flockcheck.measures.unwritten import value_or
from flockcheck.setup.sections import Care, Feeder, Pen


@measure("flag")
def feed_sheltered(feeder: Feeder, pen: Pen) -> bool:
    """Whether a feeder stands where no rain reaches it.

    As the keeper says of it; where that is not written, a pen without any roof says no.

    >>> from types import SimpleNamespace as Of
    >>> feed_sheltered(Of(under_roof=True), Of(roof=Of(cover=0.6)))
    True
    """
    written = value_or(feeder, "under_roof", None)
    if written is None and value_or(pen.roof, "cover", None) == 0:
        return False
    return feeder.under_roof


@measure("share")
def dry_floor(pen: Pen, care: Care) -> float:
    """The share of the floor on which the birds can sleep out of the rain: what the roof covers.

    All of it where they sleep in a house with solid walls. One of the two is asked for only where
    the other leaves it open.

    >>> from types import SimpleNamespace as Of
    >>> dry_floor(Of(roof=Of(cover=0.6)), Of(night_house=False))
    0.6
    >>> dry_floor(Of(roof=Of(cover=0.6)), Of(night_house=True))
    1.0
    """
    cover: float | None = value_or(pen.roof, "cover", None)
    if cover is not None and cover >= 1:
        return 1.0
    if value_or(care, "night_house", False):
        return 1.0
    if cover is None:
        return pen.roof.cover
    return 1.0 if care.night_house else cover
