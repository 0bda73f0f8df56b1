"""The units that our files may use, by dimension, and the unit in which each size is shown.

Factors are exact by definition of the unit (inch, pound, US and imperial gallon, knot and standard
gravity are all defined in metric), so each is written out, or as one quotient or product of such
figures. The acre is 4840 square yards of the international yard. A year is 365.25 days.
`docs/units.md` is made from this table; `tests/outside` holds every factor against a units library.
"""

from __future__ import annotations

from typing import Final

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Mapping


class Unit:
    """One unit: what it is called, and how a number in it turns into the base unit.

    `value in base units = number * factor + offset`. A factor of 0 marks the one unit that is no
    multiple (degrees of slope, whose base is a tangent). `family` is "us", "metric" or "" (both
    use it), `also` the other spellings that are read, `many` the name shown beside other than one.
    """

    # A plain class, which only mypy keeps from changes: named tuples would double the start-up.
    __slots__ = ("also", "factor", "family", "many", "name", "offset")

    def __init__(
        self,
        name: str,
        factor: float,
        family: str = "",
        also: tuple[str, ...] = (),
        many: str = "",
        offset: float = 0.0,
    ) -> None:
        self.name: Final = name
        self.factor: Final = factor
        self.family: Final = family
        self.also: Final = also
        self.many: Final = many or name
        self.offset: Final = offset

    @property
    def spellings(self) -> tuple[str, ...]:
        """The name and every other spelling."""
        return (self.name, *self.also)


class Dimension:
    """What can be measured, in which units.

    `base` is the text of the base unit, `phrase` and `such_as` name the dimension and give examples
    in messages, `offer` holds the units named to someone who wrote a bare number. `metric` and `us`
    say how a size is shown: units from small to large, each with the base value from which the
    next one takes over (0 for the last). Without `us`, everyone shows it alike.
    """

    __slots__ = ("base", "metric", "offer", "phrase", "such_as", "units", "us")

    def __init__(
        self,
        base: str,
        phrase: str,
        such_as: str,
        units: tuple[Unit, ...],
        offer: tuple[str, ...],
        metric: tuple[tuple[str, float], ...],
        us: tuple[tuple[str, float], ...] = (),
    ) -> None:
        self.base: Final = base
        self.phrase: Final = phrase
        self.such_as: Final = such_as
        self.units: Final = units
        self.offer: Final = offer
        self.metric: Final = metric
        self.us: Final = us or metric


_PERCENT = Unit("%", 0.01, "", ("percent", "per cent"))
_CELSIUS = ("°C", "deg C", "degrees C", "celsius")
_FAHRENHEIT = ("°F", "deg F", "degrees F", "fahrenheit")
_SQUARE_METRE = ("square metre", "square metres", "square meter", "square meters")
_CUBIC_METRE = ("cubic metre", "cubic metres", "cubic meter", "cubic meters")
_BARE = (Unit("", 1.0),)

DIMENSIONS: Mapping[str, Dimension] = {
    "length": Dimension(
        "m",
        "a length",
        "12 ft or 3.6 m",
        (
            Unit("mm", 0.001, "metric", ("millimetre", "millimetres", "millimeter", "millimeters")),
            Unit("cm", 0.01, "metric", ("centimetre", "centimetres", "centimeter", "centimeters")),
            Unit("m", 1.0, "metric", ("metre", "metres", "meter", "meters")),
            Unit("km", 1000.0, "metric", ("kilometre", "kilometres", "kilometer", "kilometers")),
            Unit("in", 0.0254, "us", ("inch", "inches", '"')),
            Unit("ft", 0.3048, "us", ("foot", "feet", "'")),
            Unit("yd", 0.9144, "us", ("yds", "yard", "yards")),
            Unit("mile", 1609.344, "us", ("mi", "miles"), "miles"),
        ),
        ("ft", "in", "m", "cm"),
        (("mm", 0.1), ("cm", 1.0), ("m", 0)),
        (("in", 0.9144), ("ft", 0)),
    ),
    "area": Dimension(
        "m2",
        "an area",
        "120 sq ft or 11 m2",
        (
            Unit("cm2", 0.0001, "metric", ("sq cm",)),
            Unit("m2", 1.0, "metric", ("sq m", "sqm", *_SQUARE_METRE)),
            Unit("ha", 10000.0, "metric", ("hectare", "hectares")),
            Unit("sq in", 0.00064516, "us", ("in2", "square inch", "square inches")),
            Unit("sq ft", 0.09290304, "us", ("sqft", "ft2", "square foot", "square feet")),
            Unit("sq yd", 0.83612736, "us", ("yd2", "square yard", "square yards")),
            Unit("acre", 4046.8564224, "us", ("acres", "ac"), "acres"),
        ),
        ("sq ft", "acre", "m2", "ha"),
        (("cm2", 0.01), ("m2", 1000.0), ("ha", 0)),
        (("sq in", 0.009290304), ("sq ft", 404.68564224), ("acre", 0)),
    ),
    "volume": Dimension(
        "m3",
        "a volume",
        "5 gal or 19 l",
        (
            Unit("ml", 1e-6, "metric", ("millilitre", "millilitres", "milliliter", "milliliters")),
            Unit("cl", 1e-5, "metric", ("centilitre", "centilitres", "centiliter", "centiliters")),
            Unit("l", 0.001, "metric", ("litre", "litres", "liter", "liters")),
            Unit("m3", 1.0, "metric", _CUBIC_METRE),
            Unit("fl oz", 2.95735295625e-5, "us", ("fluid ounce", "fluid ounces")),
            Unit("pt", 0.000473176473, "us", ("pint", "pints")),
            Unit("qt", 0.000946352946, "us", ("qts", "quart", "quarts")),
            Unit("gal", 0.003785411784, "us", ("gals", "gallon", "gallons", "US gal")),
            # Who measures in imperial gallons would misread a US one, so is answered in litres.
            Unit("imp pt", 0.00056826125, "metric", ("imp pint", "imp pints")),
            Unit("imp qt", 0.0011365225, "metric", ("imp quart", "imp quarts")),
            Unit("imp gal", 0.00454609, "metric", ("imp gallon", "imp gallons")),
        ),
        ("gal", "qt", "l", "ml"),
        (("ml", 0.001), ("l", 0)),
        (("fl oz", 0.000473176473), ("gal", 0)),
    ),
    "mass": Dimension(
        "kg",
        "a weight",
        "98 lb or 45 kg",
        (
            Unit("g", 0.001, "metric", ("gram", "grams", "gramme", "grammes")),
            Unit("kg", 1.0, "metric", ("kilo", "kilos", "kilogram", "kilograms", "kilogramme")),
            Unit("oz", 0.028349523125, "us", ("ounce", "ounces")),
            Unit("lb", 0.45359237, "us", ("lbs", "pound", "pounds")),
        ),
        ("lb", "oz", "kg", "g"),
        (("g", 1.0), ("kg", 0)),
        (("oz", 0.45359237), ("lb", 0)),
    ),
    "force": Dimension(
        "N",
        "a force",
        "90 lbf or 400 N",
        (
            Unit("N", 1.0, "metric", ("newton", "newtons")),
            Unit("kN", 1000.0, "metric", ("kilonewton", "kilonewtons")),
            Unit("kgf", 9.80665, "metric"),
            Unit("lbf", 4.4482216152605, "us"),
        ),
        ("lbf", "N", "kgf"),
        (("N", 0),),
        (("lbf", 0),),
    ),
    "pressure": Dimension(
        "Pa",
        "a pressure",
        "15 psi or 100 kPa",
        (
            Unit("Pa", 1.0, "metric"),
            Unit("kPa", 1e3, "metric"),
            Unit("MPa", 1e6, "metric"),
            Unit("GPa", 1e9, "metric"),
            Unit("psi", 4.4482216152605 / 0.00064516, "us"),
            Unit("lbf/sq ft", 4.4482216152605 / 0.09290304, "us", ("lbf/ft2", "psf")),
        ),
        ("psi", "kPa", "Pa"),
        (("Pa", 1e3), ("kPa", 1e6), ("MPa", 1e9), ("GPa", 0)),
        (("lbf/sq ft", 4.4482216152605 / 0.00064516), ("psi", 0)),
    ),
    "speed": Dimension(
        "m/s",
        "a speed",
        "35 mph or 14 m/s",
        (
            Unit("m/s", 1.0, "metric"),
            Unit("km/h", 1 / 3.6, "metric", ("kmh", "km/hr", "kph")),
            Unit("mph", 0.44704, "us", ("miles/hour", "miles an hour", "miles per hour")),
            Unit("ft/s", 0.3048, "us"),
            Unit("kn", 1852 / 3600, "", ("kt", "kts", "knot", "knots")),
        ),
        ("mph", "m/s", "km/h"),
        (("m/s", 0),),
        (("mph", 0),),
    ),
    "time": Dimension(
        "day",
        "a time",
        "1 day or 12 weeks",
        (
            Unit("minute", 1 / 1440, "", ("min", "mins", "minutes"), "minutes"),
            Unit("hour", 1 / 24, "", ("h", "hr", "hrs", "hours"), "hours"),
            Unit("day", 1.0, "", ("d", "days"), "days"),
            Unit("week", 7.0, "", ("wk", "wks", "weeks"), "weeks"),
            Unit("year", 365.25, "", ("yr", "yrs", "years"), "years"),
        ),
        ("day", "week", "hour", "year"),
        (("minute", 1 / 24), ("hour", 1.0), ("day", 730.5), ("year", 0)),
    ),
    "temperature": Dimension(
        "deg C",
        "a temperature",
        "36 F or 2 C",
        (
            Unit("C", 1.0, "metric", _CELSIUS),
            Unit("F", 5 / 9, "us", _FAHRENHEIT, offset=-160 / 9),
        ),
        ("F", "C"),
        (("C", 0),),
        (("F", 0),),
    ),
    "temperature step": Dimension(
        "deg C step",
        "a difference of temperatures",
        "9 F or 5 C",
        (
            Unit("C", 1.0, "metric", _CELSIUS),
            Unit("F", 5 / 9, "us", _FAHRENHEIT),
        ),
        ("F", "C"),
        (("C", 0),),
        (("F", 0),),
    ),
    "slope": Dimension(
        "slope",
        "a slope",
        "5 %, 3 deg or 1 in 16",
        (_PERCENT, Unit("deg", 0.0, "", ("degree", "degrees", "°"))),
        ("%", "deg"),
        (("%", 0),),
    ),
    "share": Dimension("1", "a share", "60 %", (_PERCENT,), ("%",), (("%", 0),)),
    "count": Dimension("1", "a number", "36", _BARE, ("",), (("", 0),)),
    "number": Dimension("1", "a number", "0.5", _BARE, ("",), (("", 0),)),
    "load": Dimension(
        "kg/m2",
        "a load on the floor",
        "3 lb/sq ft or 15 kg/m2",
        (
            Unit("kg/m2", 1.0, "metric", ("kg/sq m",)),
            Unit("lb/sq ft", 0.45359237 / 0.09290304, "us", ("lb/sqft", "lb/ft2", "lbs/sq ft")),
        ),
        ("lb/sq ft", "kg/m2"),
        (("kg/m2", 0),),
        (("lb/sq ft", 0),),
    ),
    "spread": Dimension(
        "kg/ha",
        "an amount on the ground",
        "36 lb/acre or 40 kg/ha",
        (
            Unit("kg/ha", 1.0, "metric", ("kg/hectare",)),
            Unit("lb/acre", 0.45359237 / 0.40468564224, "us", ("lb/ac", "lbs/acre")),
        ),
        ("lb/acre", "kg/ha"),
        (("kg/ha", 0),),
        (("lb/acre", 0),),
    ),
    "feed rate": Dimension(
        "kg/day",
        "an amount of feed a day",
        "0.25 lb/day or 110 g/day",
        (
            Unit("g/day", 0.001, "metric", ("g/d",)),
            Unit("kg/day", 1.0, "metric", ("kg/d",)),
            Unit("oz/day", 0.028349523125, "us", ("oz/d",)),
            Unit("lb/day", 0.45359237, "us", ("lb/d", "lbs/day")),
        ),
        ("lb/day", "kg/day", "g/day"),
        (("g/day", 1.0), ("kg/day", 0)),
        (("oz/day", 0.45359237), ("lb/day", 0)),
    ),
    "water rate": Dimension(
        "m3/day",
        "an amount of water a day",
        "2 gal/day or 250 ml/day",
        (
            Unit("ml/day", 1e-6, "metric", ("ml/d",)),
            Unit("l/day", 0.001, "metric", ("l/d",)),
            Unit("m3/day", 1.0, "metric", ("m3/d",)),
            Unit("fl oz/day", 2.95735295625e-5, "us", ("fl oz/d",)),
            Unit("gal/day", 0.003785411784, "us", ("gal/d",)),
        ),
        ("gal/day", "l/day", "ml/day"),
        (("ml/day", 0.001), ("l/day", 0)),
        (("fl oz/day", 0.000473176473), ("gal/day", 0)),
    ),
    "voltage": Dimension(
        "V",
        "a voltage",
        "6 kV",
        (
            Unit("V", 1.0, "", ("volt", "volts")),
            Unit("kV", 1000.0, "", ("kilovolt", "kilovolts")),
        ),
        ("kV", "V"),
        (("V", 1000.0), ("kV", 0)),
    ),
    "energy": Dimension(
        "J", "an energy", "0.5 J", (Unit("J", 1.0, "", ("joule", "joules")),), ("J",), (("J", 0),)
    ),
}

# One measure in two units: the large one whole, then the small one, of which so many make a large.
PAIRS: Mapping[str, tuple[str, str, int]] = {
    "length": ("ft", "in", 12),
    "mass": ("lb", "oz", 16),
    "time": ("week", "day", 7),
}
