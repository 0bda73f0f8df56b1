"""Small tables, for the tests of tables and of those who read them."""

from __future__ import annotations

from types import SimpleNamespace as Of
from typing import Any

from flockcheck.setup.view import Missing
from flockcheck.tables import Row, Table


def row(where: dict[str, tuple[str, ...]], *points: tuple[float, ...], **values: Any) -> Row:
    if points:
        xs, *columns = ([float(x) for x in column] for column in zip(*points, strict=True))
        return Row(
            where, xs, dict(zip(("weight", "feed"), columns, strict=False)), {"practice": "x"}
        )
    return Row(where, [], {column: [value] for column, value in values.items()}, {"practice": "x"})


def table(*rows: Row, **changes: Any) -> Table:
    along = "age" if rows[0].xs else ""
    units = dict.fromkeys(rows[0].ys, "mass")
    made = Table("growth", "weights", (), along, "straight", "hold", units, list(rows))
    return made._replace(**changes)


GROWTH = table(
    row({"group.kind": ("turkey",)}, (0, 1), (10, 3)),
    row({"group.kind": ("meat chicken",), "group.growth": ("fast", "medium")}, (0, 10), (10, 30)),
    row({"group.kind": ("meat chicken",)}, (0, 100), (10, 300), (20, 350)),
    by=("group.kind", "group.growth"),
)
FAST = Of(kind="meat chicken", growth="fast")
SLOW = Of(kind="meat chicken", growth="slow")


class Unwritten:
    """A group of which only the kind was written."""

    def __init__(self, kind: str) -> None:
        self.kind = kind

    @property
    def growth(self) -> str:
        raise Missing("birds.0.growth")


# --- Which row -----------------------------------------------------------------------------------
