"""One record of a flour: what the engine derives of it, and what a sack's own figures change."""

from __future__ import annotations

from datetime import UTC, datetime
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import pointage.data
from pointage.culture.mature import mature
from pointage.data import listed, load
from pointage.errors import InputError
from pointage.formula.flour.types import flour_type
from pointage.mixture.course import Course
from pointage.mixture.flours import (
    FlourFigures,
    FlourRecord,
    blend,
    figures_of,
    flour_kinds,
    flour_record,
)
from pointage.mixture.hold import hold
from pointage.mixture.mixture import (
    Mixture,
    buffering,
    mix,
    raw,
)
from pointage.mixture.state import S
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.traits import median_traits

ONE = median_traits()
AT = datetime(2026, 1, 1, tzinfo=UTC)
FLOURS = [
    name
    for path in listed("ingredients")
    for name, given in load(path).items()
    if given.get("kind") == "flour"
]

figures = st.builds(
    FlourFigures,
    moisture=st.none() | st.floats(8, 18),
    ash=st.none() | st.floats(0.3, 2.5),
    falling_number=st.none() | st.floats(62, 600),
)


def course(own: FlourFigures | None, kind: str = "wheat-white", hours: float = 24.0) -> Course:
    """A fifth of seed in its prime, flour by its own figures and as much water, at 25 °C."""
    fresh = raw({kind: 100.0}, 100.0, celsius=25.0, record=flour_record(kind, own))
    seed = mature({kind: 1.0}, 1.0, ONE).scaled(20.0)
    return hold(mix([seed, fresh]), Constant(25.0), AT, hours, ONE)


def test_ash_stands_in_one_table_alone() -> None:
    for name, kind in load("parameters/flours.toml").items():
        assert "ash" not in kind, name
        assert name in FLOURS
    # No other file of data holds an ash for a flour but the ranges of the national types.
    holding = [
        path.name
        for path in files(pointage.data).joinpath("parameters").iterdir()
        if path.name.endswith(".toml") and "\nash =" in path.read_text("utf-8")
    ]
    assert holding == []
    assert len(FLOURS) == len(set(FLOURS))


@pytest.mark.parametrize("name", FLOURS)
def test_ash_of_dry_matter_is_what_was_bought_over_its_dry_matter(name: str) -> None:
    given = next(load(path)[name] for path in listed("ingredients") if name in load(path))
    ash, water = given["grams"]["ash"], given["grams"]["water"]
    assert flour_record(name).ash_dry == pytest.approx(100 * ash / (100 - water))
    assert flour_record(name).moisture == pytest.approx(water / 100)


@pytest.mark.parametrize(
    ("name", "grain", "type_"),
    [
        # The national rules' ranges of ash, percent of dry matter (data/flour-types.toml).
        ("wheat-white", "wheat", "550"),
        ("wheat-t65", "wheat", "T65"),
        ("wheat-t80", "wheat", "T80"),
        ("wheat-t110", "wheat", "T110"),
        ("wheat-812", "wheat", "812"),
        ("wheat-1050", "wheat", "1050"),
        ("wheat-whole", "wheat", "T150"),
        ("rye-white", "rye", "815"),
        ("rye-1150", "rye", "1150"),
        ("rye-whole", "rye", "1740"),
    ],
)
def test_a_flour_that_has_a_type_has_its_ash(name: str, grain: str, type_: str) -> None:
    assert flour_type(type_, grain).off(flour_record(name).ash_dry) == 0


@pytest.mark.parametrize("name", flour_kinds())
def test_a_kind_at_its_own_falling_number_has_its_own_enzymes(name: str) -> None:
    table, known = load("parameters/flours.toml")[name], flour_record(name)
    assert known.enzymes == table["enzymes"]
    assert known.maltose == known.dry * table["maltose"]
    assert known.sugar == known.dry * table["sugar"]


@given(st.sampled_from(FLOURS), st.floats(62, 600), st.floats(62, 600))
def test_the_higher_the_falling_number_the_slower_the_enzymes(
    name: str, one: float, other: float
) -> None:
    low, high = (flour_record(name, FlourFigures(falling_number=s)) for s in sorted((one, other)))
    assert low.enzymes >= high.enzymes > 0
    assert low.maltose >= high.maltose > 0


def test_enzymes_go_by_the_liquefaction_number() -> None:
    # By hand: LN = 6000 / (FN − 50) is 24 at 300 s, 48 at 175 s: twice the amylase.
    usual = flour_record("wheat-white")
    lively = flour_record("wheat-white", FlourFigures(falling_number=175))
    assert lively.enzymes == pytest.approx(2 * usual.enzymes)
    assert lively.maltose == pytest.approx(2**0.2 * usual.maltose)


@pytest.mark.parametrize("name", FLOURS)
def test_figures_that_are_the_record_s_change_nothing(name: str) -> None:
    known = figures_of(name)
    same = FlourFigures(known.moisture, known.protein, known.ash, known.falling_number)
    assert flour_record(name, same) == flour_record(name)
    assert flour_record(name, FlourFigures(label="nothing known")) == flour_record(name)


def test_a_course_of_the_record_s_own_figures_is_the_course() -> None:
    known = figures_of("wheat-white")
    same = FlourFigures(known.moisture, None, known.ash, known.falling_number)
    assert np.array_equal(course(same).states, course(None).states)


def ashes(mixture: Mixture) -> dict[str, float]:
    """Grams of ash, of water in all and of simple sugar and maltose, and the enzymes' grams."""
    record = mixture.record
    assert record is not None
    return {
        "ash": mixture.flour * record.ash,
        "water": mixture.free_water * mixture.mass,
        "sugars": float(mixture.states[0, [S.SUGAR, S.MALTOSE]].sum()) * mixture.mass,
        "enzymes": mixture.flour * record.enzymes,
        "buffer": buffering(mixture) * mixture.mass,
        "heat": mixture.heat_capacity,
    }


@given(
    st.lists(
        st.tuples(st.sampled_from(flour_kinds()), figures, st.floats(1, 500), st.floats(0, 400)),
        min_size=1,
        max_size=4,
    )
)
def test_mixing_conserves_what_the_flours_bring(
    parts: list[tuple[str, FlourFigures, float, float]],
) -> None:
    mixtures = [
        raw({name: grams}, water, record=flour_record(name, own))
        for name, own, grams, water in parts
    ]
    whole, apart = ashes(mix(mixtures)), [ashes(each) for each in mixtures]
    for what, amount in whole.items():
        assert amount == pytest.approx(sum(each[what] for each in apart), rel=1e-9)


@given(figures, figures, st.floats(0.05, 0.95))
def test_a_blend_of_sacks_lies_between_them(
    one: FlourFigures, other: FlourFigures, share: float
) -> None:
    found = blend(
        {"wheat-white": share, "rye-whole": 1 - share}, {"wheat-white": one, "rye-whole": other}
    )
    ends = flour_record("wheat-white", one), flour_record("rye-whole", other)
    for figure in FlourRecord.__dataclass_fields__:
        low, high = sorted(getattr(each, figure) for each in ends)
        assert low - 1e-9 * abs(low) <= getattr(found, figure) <= high + 1e-9 * abs(high)


# The directions are common practice, no source; the sizes are ours.


def test_more_ash_slows_the_fall_of_the_ph() -> None:
    plain, rich = course(None), course(FlourFigures(ash=0.9))
    assert float(rich.sour_h()[0]) > float(plain.sour_h()[0]) + 0.5
    later = plain.hours >= 1
    assert (rich.ph[0, later] > plain.ph[0, later]).all()


def test_a_low_falling_number_brings_more_sugar_sooner() -> None:
    sound, sprouted = (
        course(FlourFigures(falling_number=400)),
        course(FlourFigures(falling_number=120)),
    )
    early = (sound.hours >= 0.5) & (sound.hours <= 12)
    sugars = [each.states[0, early, S.SUGAR] for each in (sound, sprouted)]
    assert (sugars[1] > 1.2 * sugars[0]).all()
    assert float(sprouted.sour_h()[0]) < float(sound.sour_h()[0])
    assert float(sprouted.peak_h()[0]) < float(sound.peak_h()[0])


def test_a_damper_flour_brings_water() -> None:
    usual = raw({"wheat-white": 100.0}, 65.0)
    damp = raw({"wheat-white": 100.0}, 65.0, record=flour_record("wheat-white", FlourFigures(15.5)))
    # By hand: 15.5 − 13.36 = 2.14 g of 100 more; each gram of water in dry matter's place.
    assert (damp.free_water - usual.free_water) * 165 == pytest.approx(2.14)
    assert damp.heat_capacity > usual.heat_capacity


@pytest.mark.parametrize(
    ("figure", "value", "line"),
    [
        (
            "ash",
            12,
            "ash: 12 cannot be used; expected an ash in percent of the dry matter, from 0.2 to 4",
        ),
        (
            "falling_number",
            20,
            "falling_number: 20 cannot be used; expected a falling number from 62 to 600 s",
        ),
        (
            "moisture",
            60,
            "moisture: 60 cannot be used; "
            "expected a moisture in percent of the flour as bought, from 4 to 20",
        ),
    ],
)
def test_what_no_flour_has_is_refused_in_one_line(figure: str, value: float, line: str) -> None:
    with pytest.raises(InputError) as error:
        FlourFigures(**{figure: value})  # type: ignore[arg-type]
    assert str(error.value) == line


def test_an_unknown_flour_is_named_with_its_neighbours() -> None:
    with pytest.raises(InputError, match=r"flour: 'rye-hole' cannot be used; .* rye-whole"):
        flour_record("rye-hole")
