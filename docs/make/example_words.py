"""An example of a rule in plain words: `with 90 birds: mend from 12 May`.

Only the commonest keys have a phrase of their own; any other is said by its name.
"""

from __future__ import annotations

import re
from datetime import date
from typing import Any

from flockcheck.checkup.examples import LEFT_OUT, Example
from flockcheck.checkup.wording import day_words, listed
from flockcheck.setup.form import general, shape_of
from flockcheck.text.document import plain, read_nodes

# Keys as the beginning or end of a phrase. {} is the value, a date in words where it is one.
PHRASES = {
    "birds.*.count": "{} birds",
    "birds.*.growth": "birds of {} growth",
    "birds.*.hatched": "birds hatched on {}",
    "birds.*.isolated": "newcomers kept apart for {}",
    "birds.*.kind": "{}s",
    "birds.*.leaves": "birds that leave on {}",
    "birds.*.out": "birds that move out on {}",
    "birds.*.purpose": "birds kept for {}",
    "birds.*.sexes": "{} birds",
    "birds.*.vaccinated": "vaccination against {}",
    "birds.*.weights": "weighings of their own ({})",
    "drinkers.*.count": "{} drinkers",
    "drinkers.*.diameter": "a drinker {} across",
    "drinkers.*.empty_weight": "a drinker of {} empty",
    "drinkers.*.form": "drinkers of the form {}",
    "drinkers.*.freeboard": "a freeboard of {}",
    "drinkers.*.holds": "a drinker that holds {}",
    "drinkers.*.outlet": "the outlet {}",
    "drinkers.*.run": "a run of {} to the outlet",
    "feeders.*.holds": "a feeder that holds {}",
    "feeders.*.length": "a feeder {} long",
    "guardians.*.height": "a net {} high",
    "guardians.*.joules": "{} joules in the net",
    "guardians.*.voltage": "{} on the net",
    "mesh.opening": "mesh with openings of {}",
    "mesh.skirt": "a skirt of {}",
    "mesh.wire": "wire of {}",
    "mesh.height": "mesh {} high",
    "mesh.ground_gap": "a gap of {} under the rail",
    "pen.height": "a pen {} high",
    "pen.length": "a pen {} long",
    "pen.width": "a pen {} wide",
    "pen.weight": "a pen of {}",
    "pen.perches": "{} of perch",
    "pen.windbreak": "{} of the sides closed to the wind",
    "pen.moves.later": "another rhythm of moves ({})",
    "pen.moves.runners": "{} under the rails",
    "pen.moves.speed": "moves at {}",
    "pen.moves.step": "a step of {}",
    "pen.roof.cover": "{} of the floor roofed",
    "pen.roof.material": "a roof of {}",
    "pen.frame.span": "a span of {}",
    "site.ground": "{} of ground",
    "site.house": "the house {} away",
    "site.well": "a well {} away",
    "site.open_water": "open water {} away",
    "site.rest": "a rest of {}",
    "site.shade": "{} shade on the ground",
    "site.slope": "a slope of {}",
    "site.unevenness": "hollows of {}",
    "site.nitrogen_used": "{} of nitrogen spread already",
    "weather.gust": "gusts of {}",
    "weather.day_high": "days of {}",
    "weather.night_low": "nights of {}",
    "weather.snow": "{} of snow",
    "weather.periods": "weather of its own for some days ({})",
    "brooder.heat": "heat by {}",
    "brooder.heat_off": "the heat turned off on {}",
    "brooder.unheated_low": "a lowest night without heat of {}",
    "care.checks_per_day": "{} checks a day",
    "care.footwear": "{} footwear",
    "feed.cleared_every": "feed cleared every {}",
    "feed.form": "{} feed",
    "feed.visits_per_day": "{} visits a day to the feed",
    "look_ahead": "a look {} ahead",
    "mesh.holes": "{} holes in the mesh",
    "mesh.inspected": "mesh looked over on {}",
    "mesh.weave": "{} mesh",
    "mesh.fixing_every": "mesh fixed every {}",
    "pen.frame.material": "a frame of {}",
    "pen.latches": "{} latches",
    "pen.moves.by": "moves by {}",
    "pen.moves.every": "a move every {}",
    "pen.moves.people": "{} people to move it",
    "pen.nests": "{} nests",
    "pen.roof.fixings": "{} fixings of the roof",
    "pen.roof.over_rest": "{} over the rest",
    "pen.floor": "the floor {}",
    "pets": "{} about the place",
    "predators": "only {} about",
    "site.food_crop": "a food crop on {}",
    "site.last_poultry": "the last poultry there on {}",
    "site.other_stock": "{} in the field",
    "site.cover": "ground cover {}",
    "water.source": "{} water",
    "water.visits_per_day": "{} visits a day to the water",
}
# What a key is called where its own name would say little.
NOUNS = {
    "birds.*.growth": "the birds' growth class",
    "birds.*.leaves": "the day they leave",
    "birds.*.vaccinated": "vaccinations",
    "drinkers.*.holds": "what the drinker holds",
    "drinkers.*.lip_follows": "whether the drinker's lip is raised",
    "feeders.*.lip_follows": "whether the feeder's lip is raised",
    "care.night_house": "a night house",
    "pen.moves.every": "how often the pen moves",
    "pen.anchors": "anchors",
    "mesh.fixing_every": "the distance of the mesh's fixings",
    "mesh.inspected": "when the mesh was looked over",
    "guardians": "guardians",
    "site.well": "the distance to a well",
    "site.house": "the distance to the house",
    "site.open_water": "the distance to open water",
    "site.last_poultry": "when poultry was there last",
    "pen.windbreak": "the share of the sides closed to the wind",
    "pen.roof.cover": "the share of the floor roofed",
    "weather.gust": "gusts",
}
# Keys that are yes or no: how each is said.
FLAGS = {
    "birds.*.bought_in": ("birds bought in", "birds of your own hatching"),
    "care.bedding": ("bedding", "no bedding"),
    "care.closed_at_night": ("the pen closed at night", "the pen left open at night"),
    "care.dead_birds_plan": ("a plan for dead birds", "no plan for dead birds"),
    "care.hands_washed": ("hands washed", "hands not washed"),
    "care.night_house": ("a night house", "no night house"),
    "care.sick_birds_plan": ("a place for sick birds", "no place for sick birds"),
    "care.small_children": ("small children about", "no small children about"),
    "drinkers.*.carried": ("the drinker carried full", "the drinker filled where it stands"),
    "drinkers.*.covered": ("the drinker covered", "the drinker open"),
    "drinkers.*.heated": ("the drinker heated", "the drinker not heated"),
    "drinkers.*.lip_follows": (
        "the drinker's lip kept at their backs",
        "the drinker's lip left as it is",
    ),
    "drinkers.*.perch_guard": ("a guard on the drinker", "no guard on the drinker"),
    "feed.always": ("feed always there", "feed given as meals"),
    "feed.coccidiostat": ("a coccidiostat in the feed", "no coccidiostat in the feed"),
    "feed.grit": ("grit", "no grit"),
    "feed.whole_grain": ("whole grain", "no whole grain"),
    "feeders.*.lip_follows": (
        "the feeder's lip kept at their backs",
        "the feeder's lip left as it is",
    ),
    "feeders.*.perch_guard": ("a guard on the feeder", "no guard on the feeder"),
    "feeders.*.under_roof": ("the feeder under the roof", "the feeder out in the rain"),
    "guardians.*.certified": ("a certified energiser", "an energiser that is not certified"),
    "pen.lid_fastened": ("the lid fastened", "the lid not fastened"),
    "pen.moves.birds_out": ("the birds out during moves", "the birds inside during moves"),
    "pen.moves.uphill": ("moves uphill", "no moves uphill"),
    "pen.moves.watched": ("someone to watch the rail", "nobody to watch the rail"),
    "pen.roof.insulated": ("an insulated roof", "a roof that is not insulated"),
    "site.soil_wet": ("wet soil", "dry soil"),
    "site.wild_waterfowl": ("wild waterfowl about", "no wild waterfowl about"),
    "weather.rain": ("rain", "no rain"),
}
# Things that are counted, and one of them.
SINGLE = {
    "birds": "bird",
    "checks": "check",
    "drinkers": "drinker",
    "holes": "hole",
    "nests": "nest",
    "people": "person",
    "visits": "visit",
}
# Sections whose name says nothing that the key itself does not.
UNSAID = {"weather", "site", "care", "moves"}
ONE_OF = {
    "birds": "birds",
    "feeders": "feeder",
    "drinkers": "drinker",
    "guardians": "guardian",
}


def example_words(example: Example) -> str:
    """An example as one line, without a full stop."""
    changes = [changed(path, value) for path, value in example.changes.items()]
    setup = f"with {listed(changes)}" if changes else "the base setup as it is"
    return f"{setup}: {found(example)}"


def found(example: Example) -> str:
    """What a rule finds then: grade, days, and about which item."""
    words = example.finds
    if example.standard:
        words = f"{example.standard} is {words}"
    elif words in ("not checked", "not asked", "nothing"):
        words = {"nothing": "nothing is found"}.get(words, words)
    if example.first and example.first == example.last:
        words += f" on {day(example.first)}"
    else:
        words += f" from {day(example.first)}" if example.first else ""
        words += f" to {day(example.last)}" if example.last else ""
    if example.on:
        words += f" on {day(example.on)}"
    if example.item:
        words += f", about {item(example.item)}"
    if example.needs:
        part = "" if example.finds == "not checked" else ", but a part is not checked"
        words += f"{part}, for want of {listed([f'`{general(key)}`' for key in example.needs])}"
    return words.replace(".*", "")


def day(text: str) -> str:
    """A date in words; the examples' year is left out where it is that of the base setup."""
    when = date.fromisoformat(text)
    return day_words(when, year=when.year != 2027)


def item(name: str) -> str:
    """A place in the setup, such as `drinkers.1`, as its second drinker; a predator as it is."""
    word, _, at = name.rpartition(".")
    if not at.isdigit():
        return name
    ordinal = ("first", "second", "third", "fourth", "fifth", "sixth")[int(at)]
    return f"the {ordinal} {'group' if word == 'birds' else ONE_OF.get(word, 'entry')}"


def changed(path: str, value: Any) -> str:
    """One change of the base setup as part of a sentence."""
    shape = general(path)
    whose = ""
    if at := re.match(r"(.*?)\.([1-9])(\.|$)", path):
        whose = f" ({item(f'{at[1]}.{at[2]}')})"
    if value == LEFT_OUT:
        return f"{noun(shape)} not written{whose}"
    if isinstance(value, str) and value.startswith(("[", "{")):
        value = plain(read_nodes(value))
    if shape in FLAGS and value in ("yes", "no"):
        return FLAGS[shape][value == "no"] + whose
    if isinstance(value, dict) and re.fullmatch(r"\w+\.\d+", path):
        return f"a{item(path).removeprefix('the')} ({pairs(value)})"
    if isinstance(value, dict) and not shape_is_map(shape):
        return f"{noun(shape)}{whose} written as: {pairs(value)}"
    if isinstance(value, list) and not value:
        return f"no {noun(shape).removeprefix('the ')}{whose}"
    told = said(value)
    if told == "1" and shape in PHRASES:
        return singular(PHRASES[shape].format(told)) + whose
    if shape in PHRASES:
        return PHRASES[shape].format(told) + whose
    if isinstance(value, list) and isinstance(value[0], dict):
        return f"{noun(shape)} ({told}){whose}"
    return f"{noun(shape)} {told}{whose}"


def shape_is_map(path: str) -> bool:
    """Whether a key's value is pairs that have no names of their own, as weighings are."""
    shape = shape_of(path)
    return bool(shape and "propertyNames" in shape)


def singular(phrase: str) -> str:
    """A phrase of several things, for one of them."""
    for many, one in SINGLE.items():
        if phrase.startswith(f"1 {many}"):
            return f"1 {one}" + phrase[len(many) + 2 :]
    return phrase


def noun(path: str) -> str:
    """A key by its name in plain words: the night low, the drinker's freeboard."""
    if path in NOUNS:
        return NOUNS[path]
    parts = [part for part in path.split(".") if part != "*"]
    words = [part.replace("_", " ") for part in parts]
    if len(words) > 1 and words[0] in UNSAID:
        words = words[1:]
    if path.partition(".")[0] in ONE_OF and len(parts) > 1:
        owner = ONE_OF[parts[0]]
        possessive = f"{owner}'" if owner.endswith("s") else f"{owner}'s"
        return f"the {possessive} {' '.join(words[1:])}"
    return f"the {' '.join(word for word in words if word not in UNSAID or len(words) == 1)}"


def said(value: Any) -> str:
    """A value as it stands in a sentence."""
    if isinstance(value, list):
        if any(isinstance(one, dict) for one in value):
            return "; ".join(pairs(one) for one in value)
        return listed([said(one) for one in value])
    if isinstance(value, dict):
        return pairs(value)
    text = str(value)
    return day(text) if re.fullmatch(r"\d{4}-\d\d-\d\d", text) else text


def pairs(value: dict[str, Any]) -> str:
    """The keys of a map with their values: kind egg chicken, count 8."""
    return ", ".join(f"{key.replace('_', ' ')} {said(inner)}" for key, inner in value.items())
