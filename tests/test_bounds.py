"""The one table of what quantities can be. Its limits are our own choice; its rules are tested."""

from __future__ import annotations

import re
from fractions import Fraction
from math import inf, nan
from pathlib import Path

import pytest

from pointage import bounds
from pointage.bounds import TABLE, Bound
from pointage.errors import InputError

ENDLESS = pytest.param(10**400, id="endless")
SRC = Path(__file__).parents[1] / "src/pointage"


@pytest.mark.parametrize("bound", TABLE, ids=lambda each: each.expected)
def test_an_entry_is_in_order_and_says_so(bound: Bound) -> None:
    assert bound.low < bound.high
    assert bound.low <= max(bound.usual_low, bound.low) < min(bound.usual_high, bound.high)
    assert bound.source
    assert re.fullmatch(r"\S.* (from|above) \S+( g)? (to|and up to) \S+.*", bound.expected)
    middle = (max(bound.usual_low, bound.low) + min(bound.usual_high, bound.high)) / 2
    assert bound.check(middle, "x") == middle
    assert bound.doubt(middle) is None
    assert bound.check(bound.high, "x") == bound.high
    assert bound.holds(bound.low) is not bound.above
    exact = [Fraction(str(each)) for each in (bound.low, bound.high)]
    assert [bound.holds(each) for each in exact] == [not bound.above, True]
    if bound.example:
        assert bound.doubt(bound.read(bound.example, "x")) is None


@pytest.mark.parametrize("bound", TABLE, ids=lambda each: each.expected)
@pytest.mark.parametrize("value", [nan, inf, -inf, 1e23, -1e23, ENDLESS, True, None, "1", [1.0]])
def test_what_cannot_be_is_refused_in_a_line(bound: Bound, value: object) -> None:
    assert bound.doubt(value) is None
    with pytest.raises(InputError) as caught:
        bound.check(value, "field")
    assert caught.value.field == "field"
    assert bound.expected in str(caught.value)
    assert "\n" not in str(caught.value)


def test_what_is_possible_but_unusual_is_asked_about() -> None:
    assert bounds.RISE.doubt(7.5) == "a rise of 7.5 is rare"
    assert bounds.RISE.doubt(0.5) == "a rise of 0.5 is rare"
    assert bounds.RISE.doubt(1.6) is None
    assert bounds.RISE.doubt(40) is None  # that is refused


@pytest.mark.parametrize(
    ("bound", "text", "value"),
    [
        (bounds.RISE, "1.6", 1.6),
        (bounds.RISE, "1,6", 1.6),
        (bounds.MIXTURE_C, "77F", 25.0),  # (77 − 32) · 5 / 9
        (bounds.MIXTURE_C, "25", 25.0),
        (bounds.WEIGHED_G, "1lb", 453.59237),  # exact by definition of the pound
        (bounds.HEIGHT_MM, "6.2cm", 62.0),
        (bounds.HEIGHT_MM, "0", 0.0),
        (bounds.VOLUME_ML, "1.2l", 1200.0),
        (bounds.VOLUME_ML, "850", 850.0),
        (bounds.BAKING_MIN, "42", 42.0),
        (bounds.BAKING_MIN, "1h", 60.0),
        (bounds.FORECAST_H, "90min", 1.5),
        (bounds.ALTITUDE_M, "1000ft", 304.8),  # exact by definition of the foot
        (bounds.FRICTION_K, "3.6F", 2.0),
        (bounds.HYDRATION, "100%", 100.0),
    ],
)
def test_a_quantity_is_read_in_its_unit(bound: Bound, text: str, value: float) -> None:
    assert bound.read(text, "x") == pytest.approx(value, abs=1e-12)


def test_grams_are_read_exactly() -> None:
    assert bounds.PART_G.grams("0.1g", "x") == Fraction(1, 10)
    with pytest.raises(InputError, match="above 0 and up to 1000 kg"):
        bounds.PART_G.grams("0g", "x")


@pytest.mark.parametrize("text", ["", "lots", "1.6 °C", "1,600", "9" * 400, "44", "−"])
def test_what_is_no_rise_says_what_one_is(text: str) -> None:
    with pytest.raises(
        InputError, match=r"^value: .* expected a rise from 0\.3 to 10, such as 1\.6"
    ):
        bounds.RISE.read(text, "value")


THEIRS = (
    "cli/calculators/bake.py",
    "cli/calculators/forecast.py",
    "cli/bakes/plan.py",
    "cli/cultures/raising.py",
    "cli/formulas/scale.py",
    "daybook/edges.py",
    "daybook/bodies.py",
    "daybook/readings.py",
    "daybook/store/sensors.py",
    "daybook/archive/merge_samples.py",
    "desk/bakes/plan.py",
    "desk/bakes/record.py",
    "desk/calculators/bake.py",
    "desk/calculators/flour.py",
    "desk/calculators/water.py",
    "desk/calculators/water_page.py",
    "desk/formulas/label.py",
    "desk/formulas/sheets.py",
    "desk/larder/recorded.py",
    "formula/aim.py",
    "kitchen/file/oven.py",
    "kitchen/file/mixer.py",
    "kitchen/file/values.py",
    "mixture/learning/observation.py",
    "web/screens/bench/routes.py",
    "web/screens/culture/routes.py",
    "web/screens/flour/forms.py",
    "web/screens/formulas/routes.py",
    "web/screens/larder/forms.py",
    "web/screens/water/routes.py",
    "web/screens/week/wish.py",
    "web/words/asked.py",
)
COMPARED = re.compile(r"<=? *\w+(\.\w+)* *<=? *-?\d*[1-9]|= \(-?\d[\d_.]*, -?\d[\d_.]*\)")


@pytest.mark.parametrize("module", THEIRS)
def test_who_reads_these_quantities_has_no_limits_of_its_own(module: str) -> None:
    found = [line for line in (SRC / module).read_text().splitlines() if COMPARED.search(line)]
    assert found == []


def test_the_pattern_finds_limits() -> None:
    assert COMPARED.search("if not 0.3 <= value <= 8.0:")
    assert COMPARED.search("RISES = (0.5, 8.0)")
    assert not COMPARED.search("if low <= value <= high:")
