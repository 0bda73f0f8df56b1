"""A key of the format remembers what it read, and nobody can tell."""

from __future__ import annotations

import tracemalloc

import pytest

from flockcheck.setup.form import Shape, leaves, shape_of
from flockcheck.setup.reader import SetupError, read_setup_text
from flockcheck.setup.scalars import Key, Unfit, read_scalar

GROUP = "flockcheck: 1\npen: {length: 3 m, width: 2 m}\npredators: [fox]\nbirds:\n  - "
GROUPS = [
    "{kind: turkey, count: 5, out: 2027-05-01, hatched: 2027-03-20}",
    "{kind: turkey, count: 5, growth: slow, out: 2027-05-01, hatched: 2027-03-20}",
    "{kind: meat chicken, count: 5, out: 2027-05-01, hatched: 2027-03-20}",
    "{kind: meat chicken, count: 5, growth: light, out: 2027-05-01, hatched: 2027-03-20}",
    "{kind: egg chicken, count: 5, growth: light, out: 2027-05-01, hatched: 2027-03-20}",
    "{kind: egg chicken, count: 5, growth: slow, out: 2027-05-01, hatched: 2027-03-20}",
    "{kind: egg chicken, count: 5, groth: light, out: 2027-05-01, hatched: 2027-03-20}",
    "{kind: [turkey], count: 5, growth: light, out: 2027-05-01}",
    "{count: 5 birds, growth: quick, out: 2027-05-40}",
]


def shape(leaf: str) -> Shape:
    found = shape_of(leaf)
    assert found is not None
    return found


def outcome(group: str) -> object:
    """What comes of a file with such a group, but for the text itself."""
    try:
        return read_setup_text(GROUP + group + "\n", "a.flock.yaml")._replace(text="")
    except SetupError as error:
        return list(error.faults)


@pytest.mark.parametrize(
    ("leaf", "text"),
    [
        ("pen.length", "8 ft"),
        ("birds.*.count", "25"),
        ("site.soil_wet", "no"),
        ("birds.*.out", "2027-05-01"),
        ("birds.*.kind", "turkey"),
        ("name", "Hazel Lane"),
    ],
)
def test_a_text_that_fits_gives_the_same_each_time(leaf: str, text: str) -> None:
    key = Key(shape(leaf))
    assert key.read(text) == key.read(text) == read_scalar(text, shape(leaf))


@pytest.mark.parametrize("text", ["8", "-8 ft", "8 kg", "900 miles", "", "long"])
def test_a_text_that_does_not_fit_is_told_each_time_in_the_same_words(text: str) -> None:
    key = Key(shape("pen.length"))
    said = []
    for _ in range(2):
        key.read("8 ft")
        with pytest.raises(Unfit) as caught:
            key.read(text)
        said.append(caught.value.says)
    with pytest.raises(Unfit) as caught:
        read_scalar(text, shape("pen.length"))
    assert said == [caught.value.says] * 2


def test_a_text_means_at_each_key_what_it_means_there() -> None:
    """Pairs of keys read the same texts, one after the other, as each alone would."""
    texts = ["2", "2 %", "2 ft", "2 kg", "2 days", "no", "none", "2027-05-01", "fox", "turkey"]

    def read(key: Key, text: str) -> object:
        try:
            return key.read(text)
        except Unfit as error:
            return error.says

    keys = {leaf: Key(shape(leaf)) for leaf in leaves() if Key(shape(leaf)).single}
    together = {text: [read(key, text) for key in keys.values()] for text in texts}
    for at, leaf in enumerate(keys):
        alone = Key(shape(leaf))
        assert [read(alone, text) for text in texts] == [together[text][at] for text in texts]


def test_any_number_of_texts_and_texts_of_any_length_take_little_memory() -> None:
    key = Key(shape("pen.length"))
    key.read("1 m")
    tracemalloc.start()
    try:
        before, _ = tracemalloc.get_traced_memory()
        for count in range(1, 5000):
            value, family = key.read(f"{1 + count / 1000} m")
            assert (value, family) == (pytest.approx(1 + count / 1000), "metric")
        for length in range(1000, 1400):
            key.read("8" + " " * length + "ft")
        after, _ = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert after - before < 60_000


def test_what_a_file_says_does_not_depend_on_what_was_read_before() -> None:
    first = [outcome(group) for group in GROUPS]
    assert [outcome(group) for group in reversed(GROUPS)] == first[::-1]
    for group, found in zip(GROUPS, first, strict=True):
        assert outcome(group) == outcome(group) == found


def test_what_a_kind_of_bird_must_have_and_may_not_have_is_told_of_that_kind_only() -> None:
    def said(at: int) -> str:
        found = outcome(GROUPS[at])
        return " / ".join(fault.says for fault in found) if isinstance(found, list) else ""

    assert "leave growth out for turkeys" in said(1)
    assert "`growth` is missing" in said(2)
    assert "light is for egg chickens" in said(3)
    assert "slow is for meat chickens" in said(5)
    assert "turkeys" not in said(3) + said(5)
    assert "`growth` is missing" not in said(0) + said(4)
