"""The setup as measures see it: sections with typed keys.

The annotations tell the type checker what each key holds, in base units (m, m2, m3, kg, N, m/s,
day, deg C; shares and slopes as fractions); a test holds them against the schema.
"""

from __future__ import annotations

from datetime import date
from typing import ClassVar

from flockcheck.setup.view import Section


class Site(Section):
    """The ground where the pen stands."""

    slope: float
    unevenness: float
    cover: str
    ground: float
    rest: float
    nitrogen_used: float
    soil_wet: bool
    open_water: float
    well: float
    house: float
    shade: float
    wild_waterfowl: bool
    other_stock: str
    last_poultry: date
    last_poultry_kind: str
    food_crop: date


class Period(Section):
    """Days with weather of their own."""

    from_: date
    to: date
    night_low: float
    day_high: float
    humidity: float
    gust: float
    snow: float
    rain: bool


class Weather(Section):
    """The worst weather that the stay is likely to meet."""

    night_low: float
    day_high: float
    humidity: float
    gust: float
    snow: float
    rain: bool
    periods: tuple[Period, ...]
    _parts: ClassVar[dict[str, type[Section]]] = {"periods": Period}


class LogEntry(Section):
    """A temperature read in the brooder."""

    date: date
    temperature: float


class Brooder(Section):
    """Where the youngest birds are kept warm."""

    heat: str
    lamp_distance: float
    lamp_supports: int
    log: tuple[LogEntry, ...]
    heat_off: date
    unheated_low: float
    _parts: ClassVar[dict[str, type[Section]]] = {"log": LogEntry}


class Roof(Section):
    """What covers the pen."""

    pitch: float
    shape: str
    cover: float
    over_rest: str
    over_rest_opening: float
    material: str
    weight: float
    insulated: bool
    fixings: int
    fixing_hold: float


class Frame(Section):
    """The beam under the roof."""

    material: str
    outside: float
    breadth: float
    wall: float
    span: float
    carries: float


class Anchors(Section):
    """What ties the pen to the ground."""

    count: int
    hold: float


class Rhythm(Section):
    """How often the pen moves from a date on."""

    from_: date
    every: float


class Moves(Section):
    """How the pen moves."""

    every: float
    step: float
    by: str
    people: int
    later: tuple[Rhythm, ...]
    uphill: bool
    runners: str
    speed: float
    birds_out: bool
    watched: bool
    _parts: ClassVar[dict[str, type[Section]]] = {"later": Rhythm}


class Pen(Section):
    """The pen itself."""

    length: float
    width: float
    height: float
    weight: float
    floor: str
    latches: str
    lid_fastened: bool
    windbreak: float
    roof: Roof
    frame: Frame
    anchors: Anchors
    perches: float
    nests: int
    moves: Moves
    _parts: ClassVar[dict[str, type[Section]]] = {
        "roof": Roof,
        "frame": Frame,
        "anchors": Anchors,
        "moves": Moves,
    }


class Group(Section):
    """Birds of one kind and hatch."""

    kind: str
    growth: str
    count: int
    hatched: date
    out: date
    purpose: str
    leaves: date
    sexes: str
    laying: float
    egg_weight: float
    bought_in: bool
    isolated: float
    vaccinated: tuple[str, ...]
    weights: tuple[tuple[float, float], ...]


class Ration(Section):
    """A feed from a date on."""

    from_: date
    protein: float
    calcium: float


class Feed(Section):
    """What the birds eat and how it is kept."""

    protein: float
    calcium: float
    form: str
    coccidiostat: bool
    dry_share: float
    always: bool
    later: tuple[Ration, ...]
    cleared_every: float
    grit: bool
    whole_grain: bool
    store: str
    visits_per_day: float
    _parts: ClassVar[dict[str, type[Section]]] = {"later": Ration}


class Feeder(Section):
    """Feeders of one form."""

    form: str
    count: int
    length: float
    sides: int
    diameter: float
    holds: float
    lip: float
    lip_follows: bool
    perch_guard: bool
    under_roof: bool


class Water(Section):
    """Where the water comes from."""

    source: str
    visits_per_day: float


class Drinker(Section):
    """Drinkers of one form."""

    form: str
    supply: str
    count: int
    length: float
    sides: int
    diameter: float
    holds: float
    lip: float
    lip_follows: bool
    run: float
    depth: float
    freeboard: float
    fill: str
    outlet: str
    perch_guard: bool
    covered: bool
    carried: bool
    empty_weight: float
    heated: bool


class Mesh(Section):
    """What closes the sides."""

    weave: str
    opening: float
    wire: float
    height: float
    lower_opening: float
    lower_height: float
    skirt: float
    ground_gap: float
    fixing_every: float
    holes: int
    inspected: date


class Guardian(Section):
    """Who or what watches."""

    kind: str
    count: int
    role: str
    age: float
    bonded: bool
    distance: float
    joules: float
    voltage: float
    height: float
    certified: bool


class Care(Section):
    """What people do each day."""

    checks_per_day: float
    closed_at_night: bool
    night_house: bool
    bedding: bool
    hands_washed: bool
    small_children: bool
    footwear: str
    sick_birds_plan: bool
    dead_birds_plan: bool


class Acceptance(Section):
    """A risk that the keeper takes knowingly."""

    rule: str
    item: str
    because: str
    until: date


class Whole(Section):
    """The whole file."""

    flockcheck: int
    name: str
    notes: str
    look_ahead: float
    standards: tuple[str, ...]
    site: Site
    weather: Weather
    brooder: Brooder
    pen: Pen
    birds: tuple[Group, ...]
    feed: Feed
    feeders: tuple[Feeder, ...]
    water: Water
    drinkers: tuple[Drinker, ...]
    mesh: Mesh
    predators: tuple[str, ...]
    guardians: tuple[Guardian, ...]
    pets: tuple[str, ...]
    care: Care
    accepted: tuple[Acceptance, ...]
    _parts: ClassVar[dict[str, type[Section]]] = {
        "site": Site,
        "weather": Weather,
        "brooder": Brooder,
        "pen": Pen,
        "birds": Group,
        "feed": Feed,
        "feeders": Feeder,
        "water": Water,
        "drinkers": Drinker,
        "mesh": Mesh,
        "guardians": Guardian,
        "care": Care,
        "accepted": Acceptance,
    }


# The words by which measures, rules and tables name one item of a list, and the list's key.
ITEMS = {
    "group": "birds",
    "feeder": "feeders",
    "drinker": "drinkers",
    "guardian": "guardians",
    "predator": "predators",
}
# The words for a part of the file that is not a list.
PARTS = ("site", "weather", "brooder", "pen", "feed", "water", "mesh", "care")
