"""What to say to someone whose quantity could not be read.

Nothing here decides whether a text is read: `quantities.py` does, and hands its reader over, so
that whatever is offered as a mended text is known to be read. Only failed texts come here.
"""

from __future__ import annotations

import re

from flockcheck.text.unit_table import DIMENSIONS, PAIRS, Dimension
from flockcheck.text.units import QuantityError, spelled, units_of

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    # Text and dimension to (value in base units, dimension, family), or None.
    Reader = Callable[[str, str], tuple[float, str, str] | None]


def misread(text: str, dimension: str, read: Reader) -> QuantityError:
    """The error for a text that `read` does not take as a quantity of the dimension."""
    kind = DIMENSIONS[dimension]
    text = " ".join(text.split())
    if not text:
        return QuantityError("nothing is written", _usual(kind))
    if len(text) > _LONGEST:
        return QuantityError(f"{_quoted(text)} is too long", _usual(kind))
    error = _slip(text, dimension, read) or _range(text, dimension, read)
    if error:
        return error
    start = _START.match(text)
    if start is None:
        return QuantityError(f"{_quoted(text)} does not begin with a number", _usual(kind))
    number, rest = start[0].rstrip(), text[start.end() :].lstrip()
    bare = read(number, "number")
    if bare is None:
        return _number_fault(text, number, rest, dimension, read)
    if not rest:
        return QuantityError(
            f"{_quoted(text)} has no unit", _with_units(number, bare[0], dimension)
        )
    return (
        _special_unit(text, number, spelled(rest), dimension)
        or _other_dimension(text, rest, kind)
        or _joined(text, dimension, read)
        or _unknown_unit(text, number, rest, dimension, read)
    )


def misread_unit(unit: str, dimension: str) -> QuantityError:
    """The error for a unit that no column of the dimension can be in."""
    kind = DIMENSIONS[dimension]
    offers = either(name or kind.base for name in kind.offer if name != "deg")
    unit = " ".join(unit.split())
    if not unit:
        return QuantityError("no unit is given", offers)
    if spelled(unit) in units_of(dimension):
        return QuantityError(f"{_quoted(unit)} is no multiple of {kind.phrase}", offers)
    others = _phrases_of(unit)
    if others:
        return QuantityError(f"{_quoted(unit)} measures {others}, not {kind.phrase}", offers)
    return QuantityError(f"no unit is called {_quoted(unit)}", _near(unit, dimension) or offers)


def either(choices: Iterable[str]) -> str:
    """The choices as one phrase: `12 ft, 12 in or 12 m`."""
    *most, last = choices
    return f"{', '.join(most)} or {last}" if most else last


def _usual(kind: Dimension) -> str:
    return f"{kind.phrase} such as {kind.such_as}"


def _quoted(text: str) -> str:
    """The text as a message shows it: on one line, of bounded length."""
    shown = "".join(sign if sign.isprintable() else "?" for sign in text[:41])
    return f"`{shown[:37]}...`" if len(shown) > 40 else f"`{shown}`"


def _with_units(number: str, value: float, dimension: str) -> str:
    """A bare number with each unit that would do."""
    offers = []
    for name in DIMENSIONS[dimension].offer:
        unit = units_of(dimension)[spelled(name)]
        if name == "%" and 0 < value <= 1:
            # Half may have been meant by 0.5, or half a percent; only the keeper knows.
            offers.append(f"{100 * value:.6g} %")
        offers.append(f"{number} {unit.name if 0 < abs(value) <= 1 else unit.many}")
    return either(offers)


def _fraction_written_out(found: re.Match[str]) -> str:
    import unicodedata

    return " " + unicodedata.normalize("NFKC", found[0].strip()).replace("\u2044", "/")


def _power_written_out(found: re.Match[str]) -> str:
    return f"{float(found[0]):.12f}".rstrip("0").rstrip(".")


# Past this nobody meant a quantity, and the searches below, some of which try every split of a
# text, stay short.
_LONGEST = 60
_START = re.compile(r"[-\u2212]?\.?[0-9][0-9 ./]*")

# Slips of the hand: what is found, what should stand there, what is wrong. One is named only where
# the mended text is read.
_SLIPS: tuple[tuple[str, str | Callable[[re.Match[str]], str], str], ...] = (
    ("(?<=[0-9]),(?=[0-9])", ".", "has a comma in its number"),
    ("(?<=[0-9])[ _'\u2019](?=[0-9]{3}(?![0-9/]))", "", "has its thousands set apart"),
    ("^(?:[-\u2010-\u2015\u2212]|minus) ?(?=[0-9.])", "-", "has no plain minus before its number"),
    (r"^\+ ?(?=[0-9.])", "", "has a plus sign"),
    (" ?[\u00bc-\u00be\u2150-\u215e]", _fraction_written_out, "has a fraction in one sign"),
    ("\u2044", "/", "has a fraction in one sign"),
    (" ?- ?(?=[0-9]+/)", " ", "has a hyphen before its fraction"),
    ("(?<=[0-9]) ?/ ?(?=[0-9])", "/", "has spaces in its fraction"),
    (r"^([0-9.]+) ?[:/] ?([0-9.]+)$", r"\1 in \2", "does not say that it is a fall over a run"),
    (r"(?<=[a-z'\"])(?: ?, ?| ?& ?| and )(?=[0-9.])", " ", "has more than a space in the middle"),
    (r"(?<=[0-9])\.(?![0-9])", "", "has a point after its number"),
    (" per (?!cent)", "/", "has `per` in its unit"),
    (
        r"^-?[0-9]+(?:\.[0-9]+)?e[-+]?[0-9]{1,2}(?![0-9])",
        _power_written_out,
        "has a number with an exponent",
    ),
    ("^[^-\u22120-9.]+", "", "does not begin with a number"),
)


def _slip(text: str, dimension: str, read: Reader) -> QuantityError | None:
    """A text that one change of signs would mend."""
    if re.match("[-\u2212]?[1-9][0-9]{0,2}(?:,[0-9]{3})+(?![0-9])", text):
        whole, decimal = text.replace(",", ""), text.replace(",", ".")
        if read(whole, dimension):
            says = f"{_quoted(text)} has a comma in its number"
            if read(decimal, dimension):
                return QuantityError(says, f"{whole}, or {decimal} if the comma begins decimals")
            return QuantityError(says, whole)
    for found, instead, wrong in _SLIPS:
        mended = re.sub(found, instead, text, flags=re.IGNORECASE).strip()
        if mended != text and read(mended, dimension):
            return QuantityError(f"{_quoted(text)} {wrong}", mended)
    if dimension in PAIRS and re.search("[a-z'\"\u2019\u2032] ?[0-9][0-9 ./]*$", text, re.I):
        mended = f"{text} {PAIRS[dimension][1]}"
        if read(mended, dimension):
            return QuantityError(f"{_quoted(text)} has no unit after its second number", mended)
    return None


def _range(text: str, dimension: str, read: Reader) -> QuantityError | None:
    """Two numbers where one is due: `2-3 ft`, `10 lb to 12 lb`."""
    parts = re.fullmatch(
        "([-\u2212]?[0-9 ./]+)([^0-9]*?) ?(?:-|\u2013|to) ?([-\u2212]?[0-9 ./]+)([^0-9].*)", text
    )
    if parts is None:
        return None
    least = f"{parts[1].strip()} {(parts[2] or parts[4]).strip()}"
    most = f"{parts[3].strip()} {parts[4].strip()}"
    if read(least, dimension) and read(most, dimension):
        return QuantityError(f"{_quoted(text)} is a range", f"one figure: {least} or {most}")
    return None


def _number_fault(text: str, number: str, rest: str, dimension: str, read: Reader) -> QuantityError:
    """A number that is not read, whatever its unit."""
    usual = _usual(DIMENSIONS[dimension])
    fraction = re.fullmatch("([-\u2212]?)(?:([0-9]+) )?([0-9]+)/([0-9]+)", number)
    if fraction and not int(fraction[4]):
        return QuantityError(f"{_quoted(text)} divides by 0", usual)
    if re.search("[0-9]{10}", number) or re.search("[.][0-9]{21}", number):
        return QuantityError(f"{_quoted(text)} has more digits than are read", usual)
    if fraction and fraction[2]:
        size = int(fraction[2]) + int(fraction[3]) / int(fraction[4])
        decimal = f"{fraction[1]}{size:.4f}".rstrip("0").rstrip(".")
        decimal += f" {rest}" if rest else ""
        says = f"{_quoted(text)} has a fraction that does not go with a whole number"
        return QuantityError(says, decimal if read(decimal, dimension) else usual)
    return QuantityError(f"`{number}` is no number", usual)


def _special_unit(text: str, number: str, unit: str, dimension: str) -> QuantityError | None:
    """What follows the number has a fault of its own, most of them in one dimension."""
    kind, quoted = DIMENSIONS[dimension], _quoted(text)
    if unit.startswith(","):
        return QuantityError(f"{quoted} has a comma in its number", _usual(kind))
    if re.match("e[-+]?[0-9]", unit):
        return QuantityError(f"{quoted} has a number with an exponent", _usual(kind))
    if dimension == "time" and unit in {"m", "mo", "mos", "mth", "mths", "month", "months"}:
        length = "is a length, or months, which" if unit == "m" else "is not exact: months"
        says = f"{quoted} {length} differ in their days"
        return QuantityError(says, f"days or weeks, such as {_days_of(number)}")
    if dimension == "temperature" and unit in units_of("slope") and unit not in units_of("share"):
        return QuantityError(f"{quoted} leaves open which degrees", f"{number} C or {number} F")
    if dimension == "slope" and unit in units_of("slope"):
        would_do = f"{kind.phrase} under 90 deg, such as {kind.such_as}"
        return QuantityError(f"{quoted} is upright or past it", would_do)
    if dimension == "slope" and unit.startswith("in "):
        return QuantityError(f"{quoted} is no fall over a run of 1 or more", _usual(kind))
    if dimension == "force" and unit in units_of("mass") and f"{unit}f" in units_of(dimension):
        return QuantityError(f"{quoted} is a weight, not a force", f"{number} {unit}f")
    return None


def _days_of(months: str) -> str:
    try:
        days = round(float(months) * 365.25 / 12)
    except ValueError:
        days = 0
    return f"{days} days" if days > 1 else "91 days"


def _phrases_of(unit: str) -> str:
    """What a unit measures, in words: `a slope or a share`; empty for an unknown unit."""
    # Whatever is a step of temperature is a temperature as well, and one of them is enough to say.
    phrases = [
        kind.phrase
        for dimension, kind in DIMENSIONS.items()
        if dimension != "temperature step" and unit and spelled(unit) in units_of(dimension)
    ]
    return either(phrases) if phrases else ""


def _other_dimension(text: str, unit: str, kind: Dimension) -> QuantityError | None:
    others = _phrases_of(unit)
    if not others:
        return None
    return QuantityError(f"{_quoted(text)} is {others}, not {kind.phrase}", _usual(kind))


def _joined(text: str, dimension: str, read: Reader) -> QuantityError | None:
    """Two measures in one text that are not read as one: `1 m 20 cm`, `6 ft 14 in`."""
    parts = re.fullmatch("([0-9 ./]+)([^0-9.]+)([0-9 ./]+)([^0-9. ].*)", text)
    if parts is None:
        return None
    first, second = parts[1] + parts[2], parts[3] + parts[4]
    first_read, second_read = read(first, dimension), read(second, dimension)
    units = units_of(dimension)
    unit = units.get(spelled(parts[4]))
    large = units.get(spelled(parts[2].strip()))
    if not (first_read and second_read and unit and large) or unit.offset:
        return None
    total = f"{(first_read[0] + second_read[0]) / unit.factor:.6g} {parts[4]}"
    says = f"{_quoted(text)} is two measures"
    if dimension in PAIRS and PAIRS[dimension][:2] == (large.name, unit.name):
        many = PAIRS[dimension][2]
        says = f"{_quoted(text)} needs whole {large.many} and fewer than {many} {unit.many}"
    return QuantityError(says, total if read(total, dimension) else _usual(DIMENSIONS[dimension]))


def _unknown_unit(text: str, number: str, rest: str, dimension: str, read: Reader) -> QuantityError:
    kind = DIMENSIONS[dimension]
    if "" in units_of(dimension):
        return QuantityError(f"{_quoted(text)} has more than a number", number)
    near = _near(rest, dimension)
    if number != "1" and f"{near}s" in units_of(dimension):
        near += "s"
    mended = f"{number} {near}"
    would_do = mended if read(mended, dimension) else _usual(kind)
    return QuantityError(f"no unit is called {_quoted(rest)}", would_do)


def _near(unit: str, dimension: str) -> str:
    """The spelling nearest to `unit` among those of the dimension; empty where none is near."""
    # Imported late: at start-up it would cost more than this whole package.
    import difflib

    names = {spelled(name): name for each in DIMENSIONS[dimension].units for name in each.spellings}
    near = difflib.get_close_matches(spelled(unit), names, 1, 0.7)
    return names[near[0]] if near else ""
