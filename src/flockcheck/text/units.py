"""Finding a unit by its name and a dimension by its word; the error for what is none."""

from __future__ import annotations

from flockcheck.text.unit_table import DIMENSIONS, Dimension, Unit

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Mapping


class QuantityError(ValueError):
    """A text that is no quantity of the dimension asked for.

    `says` is what was read and what is wrong with it, `would_do` what could stand there instead;
    both are plain words that go into a longer sentence ("...; it takes {would_do}").
    """

    def __init__(self, says: str, would_do: str) -> None:
        super().__init__(says, would_do)
        self.says = says
        self.would_do = would_do

    def __str__(self) -> str:
        return f"{self.says}; it takes {self.would_do}"


# Letters of any case, and the signs that word processors and phones put in place of plain ones.
_ALIKE = str.maketrans(
    "ABCDEFGHIJKLMNOPQRSTUVWXYZ\u2019\u2032\u201d\u2033\u00ba\u00b2\u00b3",
    "abcdefghijklmnopqrstuvwxyz''\"\"\u00b023",
)
_found: dict[str, dict[str, Unit]] = {}


def spelled(name: str) -> str:
    """The form under which a unit's name is looked up: `Sq Ft` is `sq ft`, `m²` is `m2`."""
    return name.translate(_ALIKE)


def units_of(dimension: str) -> Mapping[str, Unit]:
    """Every spelling of every unit of a dimension, as `spelled` gives it.

    Raises ValueError where there is no such dimension.
    """
    units = _found.get(dimension)
    if units is None:
        units = _found[dimension] = {
            spelled(name): unit
            for unit in dimension_called(dimension).units
            for name in unit.spellings
        }
    return units


def dimension_called(name: str) -> Dimension:
    """The dimension of that name; ValueError, naming those that exist, where there is none."""
    try:
        return DIMENSIONS[name]
    except KeyError:
        known = ", ".join(DIMENSIONS)
        raise ValueError(f"no dimension is called `{name}`; there are {known}") from None


def base_unit(dimension: str) -> str:
    """The text of a dimension's base unit: `m` for length, `1` for share, count and number.

    Raises ValueError where there is no such dimension.
    """
    return dimension_called(dimension).base


def dimension_of(word: str) -> str:
    """The dimension that a word names, by itself or by its base unit: `kg/m2` is a load.

    `1` is a number (a share and a count must be named). Raises ValueError where it names none.
    """
    if word in DIMENSIONS:
        return word
    if word == "1":
        return "number"
    for name, dimension in DIMENSIONS.items():
        if dimension.base == word:
            return name
    raise ValueError(
        f"`{word}` is no dimension and no base unit; there are "
        + ", ".join(f"{name} ({dimension.base})" for name, dimension in DIMENSIONS.items())
    )
