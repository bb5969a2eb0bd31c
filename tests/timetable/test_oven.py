"""How long a formula's pieces bake, when it says and when it does not."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.wording import remark_words
from pointage.errors import InputError
from pointage.formula.file.read import read_formula
from pointage.formula.file.write import write_formula
from pointage.formula.formula import Formula, Process
from pointage.heat.baking import bake
from pointage.heat.loaf import BreadType
from pointage.kitchen.file.read import read_kitchen
from pointage.quantities import Temperature
from pointage.timetable.oven import (
    bake_minutes,
    baked_through,
    bread_type,
    oven_bake,
)

HALL = read_kitchen(demonstration_text(), datetime(2026, 11, 25, tzinfo=UTC))
TEXTS = demonstration_formulas()


def formula(slug: str, *, bake: bool = True) -> tuple[Formula, Process]:
    lines = TEXTS[slug].splitlines()
    kept = [line for line in lines if bake or not line.startswith("bake =")]
    assert len(kept) == len(lines) - (0 if bake else 1)
    read = read_formula("\n".join(kept), f"{slug}.toml")
    assert read.process is not None
    return read, read.process


def minutes(slug: str, *, bake: bool) -> float:
    read, process = formula(slug, bake=bake)
    return bake_minutes(read, process, HALL, read.piece_g, read.pieces)


def test_given_minutes_stand() -> None:
    read, process = formula("harbour-loaf")
    odd = replace(process, bake_minutes=7.0)
    assert bake_minutes(read, odd, HALL, read.piece_g, read.pieces) == 7.0


@pytest.mark.parametrize("slug", sorted(TEXTS))
def test_without_them_the_oven_tells_about_what_a_baker_wrote(slug: str) -> None:
    calculated = minutes(slug, bake=False)
    assert calculated == int(calculated)
    assert calculated == pytest.approx(minutes(slug, bake=True), rel=0.35)


def test_they_are_enough_for_the_core() -> None:
    read, process = formula("harbour-loaf", bake=False)
    what = oven_bake(read, process, HALL, read.piece_g, read.pieces)
    assert what.start_c == 5.0  # it may be retarded
    assert what.loaves == 8
    found = bake_minutes(read, process, HALL, read.piece_g, read.pieces)
    assert 0 <= found - bake(what).minutes < 1


def test_types() -> None:
    found = {slug: bread_type(formula(slug)[0]) for slug in ("harbour-loaf", "tinned-rye")}
    assert found == {"harbour-loaf": BreadType.LEAN, "tinned-rye": BreadType.RYE}
    assert bread_type(formula("seeded-rolls")[0]) is BreadType.SOFT


def test_the_note_tells_core_and_weight() -> None:
    read, process = formula("harbour-loaf")
    remark = baked_through(oven_bake(read, process, HALL, read.piece_g, 8), 42.0)
    assert remark_words(remark, HALL.zone).startswith(
        "Done at 97 °C in the core; a piece then weighs about 7"
    )


def test_an_oven_too_cool_for_its_dough_is_told() -> None:
    read, process = formula("harbour-loaf", bake=False)
    cool = replace(process, oven=Temperature(96.0))
    with pytest.raises(InputError, match="Harbour loaf, process, oven"):
        bake_minutes(read, cool, HALL, read.piece_g, read.pieces)


def test_a_formula_without_bake_is_written_without_it() -> None:
    read, _ = formula("harbour-loaf", bake=False)
    again = read_formula(write_formula(read), "harbour-loaf.toml")
    assert again.process is not None
    assert again.process.bake_minutes is None


def test_the_kitchens_oven_is_the_one_that_is_used() -> None:
    text = demonstration_text().replace(
        'preheat = "60min"', 'preheat = "60min"\nsurface = "sheet"\noffset = "-10C"\nsteam = "4min"'
    )
    kitchen = read_kitchen(text, datetime(2026, 11, 25, tzinfo=UTC))
    read, process = formula("harbour-loaf")
    what = oven_bake(read, process, kitchen, read.piece_g, 1)
    assert (what.stands, what.offset_k, what.steam_minutes) == ("sheet", -10.0, 4.0)
