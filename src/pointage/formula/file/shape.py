"""The tables of a formula file, as they are written. docs/formulas.md says the same in prose."""

from __future__ import annotations

from fractions import Fraction
from typing import Annotated, Literal

from pydantic import Field, PlainValidator

from pointage.bounds import MIX_WANTED_C, OVEN_C
from pointage.formula.file import values
from pointage.formula.formula import LONGEST_WORDS, MOST_PIECES, Rise
from pointage.quantities import Temperature
from pointage.toml import Quantity, TomlTable, checks, reads

DURATION = "a duration such as 20min"
Minutes = Annotated[float, reads(values.minutes)]
Hours = Annotated[float, reads(values.hours)]
RISE = "least, wanted and most rise, such as 1.4, 1.55, 1.75"

Words = Annotated[str, Field(max_length=LONGEST_WORDS)]
Rises = Annotated[Rise, PlainValidator(values.rise)]


class StageTable(TomlTable):
    """[[stage]]: what is mixed at once, the dough among them."""

    name: str = Field(min_length=1, description="a name")
    kind: Literal["levain", "soaker", "scald", "old dough", "addition", "dough"] = Field(
        description="levain, soaker, scald, old dough, addition or dough"
    )
    parts_of: dict[str, Quantity] = Field(
        {}, description='percents of other stages, such as { "First build" = 100 }'
    )
    flour: Quantity | None = Field(None, description="percent of the total flour, such as 18")
    flours: dict[str, Quantity] | None = Field(
        None, description="kinds in percent of the stage's flour, such as { wheat-white = 100 }"
    )
    water: Quantity | None = Field(None, description="percent of the stage's flour, such as 60")
    takes: dict[str, Quantity] = Field(
        {}, description="percents of the total flour, such as { oats = 10, water = 20 }"
    )
    grams: dict[str, Quantity] | None = Field(
        None, description="masses such as { wheat-white = 500, water = 350 }"
    )
    percent: dict[str, Quantity] | None = Field(
        None, description="percents of the stage's own flour, such as { wheat-white = 100 }"
    )
    when: Annotated[int, reads(values.fold)] | None = Field(
        None, description='"mix", or a fold such as "fold 2"'
    )
    seed: Annotated[Fraction, reads(values.seed)] | None = Field(
        None, description='percent of the stage\'s flour, or "fit"'
    )
    temperature: Annotated[Temperature, reads(values.mixed)] | None = Field(
        None, description="a temperature after mixing such as 25C"
    )
    place: str | None = Field(None, description="the name of a place in the kitchen")
    least: Hours | None = Field(None, description="a duration such as 2h")
    most: Hours | None = Field(None, description="a duration such as 16h")
    words: Words = Field("", description="how it is made, in the author's own words")


class ProcessTable(TomlTable):
    """[process]: how the dough is worked."""

    mix: Minutes = Field(description=DURATION)
    dough_temperature: Annotated[Temperature, reads(values.usual(MIX_WANTED_C))] = Field(
        description="a temperature such as 25C"
    )
    bulk_place: str = Field(description="the name of a place in the kitchen")
    bulk_rise: Rises = Field(description=RISE)
    folds: int = Field(0, ge=0, le=12, description="a whole number of folds, 0 to 12")
    fold_every: Minutes = Field(30.0, description=DURATION)
    fold: Minutes = Field(5.0, description=DURATION)
    divide: Minutes = Field(description=DURATION)
    bench_rest: Minutes = Field(0.0, description=DURATION)
    shaping: Minutes = Field(description=DURATION)
    shape_keeps: float = Field(ge=0, le=1, description="a share from 0 to 1, such as 0.75")
    proof_place: str = Field(description="the name of a place in the kitchen")
    proof_rise: Rises = Field(description=RISE)
    retard_place: str | None = Field(None, description="the name of a fridge in the kitchen")
    retard_rise: Rises | None = Field(None, description=RISE)
    oven: Annotated[Temperature, reads(values.usual(OVEN_C))] = Field(
        description="a temperature such as 240C"
    )
    oven_name: str | None = Field(None, description="the name of an oven in the kitchen")
    bake: Minutes | None = Field(None, description=DURATION)
    load: Minutes = Field(description=DURATION)
    cool: Minutes = Field(description=DURATION)
    shape: Literal["boule", "bâtard", "tin", "roll", "flat"] = Field(
        description="boule, bâtard, tin, roll or flat"
    )
    bake_note: str = Field("", description="a sentence")


class WordsTable(TomlTable):
    """[words]: the method in the author's own words, beside each step; all: beside none."""

    all: Words = Field("", description="the whole method, or what is about no step")
    mix: Words = Field("", description="words on the mix")
    bulk: Words = Field("", description="words on the bulk")
    fold: Words = Field("", description="words on the folds")
    divide: Words = Field("", description="words on dividing")
    rest: Words = Field("", description="words on the bench rest")
    shape: Words = Field("", description="words on shaping")
    proof: Words = Field("", description="words on the proof")
    retard: Words = Field("", description="words on the retard")
    bake: Words = Field("", description="words on the bake")
    cool: Words = Field("", description="words on cooling")


class TypedTable(TomlTable):
    """[[typed]]: a line that the formula was read from, and what is still to be settled of it."""

    line: str = Field(max_length=1000, description="a line as it was typed")
    taken: str = Field("", max_length=200, description="an ingredient or a stage")
    doubts: list[dict[str, str | float]] = Field(
        [], max_length=20, description='doubts such as [{ what = "bare" }]'
    )


class FlourTable(TomlTable):
    """[[flour]]: what is known of the very flour that the formula was written with."""

    ingredient: str = Field(min_length=1, description="a flour, such as wheat-white")
    moisture: Quantity | None = Field(None, description="percent as bought, such as 14.8")
    protein: Quantity | None = Field(None, description="percent as bought, such as 11.2")
    ash: Quantity | None = Field(None, description="percent of the dry matter, such as 0.62")
    falling_number: Quantity | None = Field(None, description="seconds, such as 250")
    absorption: Quantity | None = Field(None, description="percent of water, such as 60")
    label: str = Field("", description="where the figures are from")


class IngredientTable(TomlTable):
    """[[ingredient]]: an ingredient of one's own, so that it travels with the formula."""

    name: str = Field(min_length=1, description="a name")
    id: str = Field("", max_length=60, description="what the file's amounts may name it by")
    like: str = Field(min_length=1, description="an ingredient such as wheat-white")
    water: Quantity | None = Field(None, description="percent as bought, such as 13.5")
    protein: Quantity | None = Field(None, description="percent as bought, such as 11.2")
    ash: Quantity | None = Field(None, description="percent of the dry matter, such as 0.62")
    allergens: list[str] | None = Field(
        None, description='allergens such as ["wheat"]; [] for none, left out where nobody knows'
    )


class FormulaTable(TomlTable):
    """The whole file."""

    name: str = Field(min_length=1, description="a name")
    about: str = Field("", description="a sentence")
    put_away: bool = Field(False, description="true or false")
    removed: bool = Field(False, description="true or false")
    favourite: bool = Field(False, description="true or false")
    varies: str = Field(
        "", max_length=300, description="the name of the formula it was changed from"
    )
    because: str = Field("", max_length=600, description="why it was changed, a sentence")
    culture: str | None = Field(None, description="the name of a culture")
    pieces: int = Field(ge=1, le=MOST_PIECES, description="a whole number of pieces, such as 8")
    piece: Annotated[Fraction, reads(values.piece)] | None = Field(
        None, description="the mass of a piece of dough, such as 900g"
    )
    cautions: list[str] = Field([], description="a list of sentences")
    may_contain: Annotated[list[str], checks(values.allergens)] = Field(
        [], description='allergens such as ["nuts", "sesame"]'
    )
    author: str = Field("", max_length=300, description="a name")
    year: int | None = Field(None, ge=1, le=9999, description="a year such as 2026")
    licence: str = Field(
        "", max_length=300, description="the name or the address of a licence, such as CC BY 4.0"
    )
    total: dict[str, Quantity] | None = Field(
        None, description="percents of the flour, or masses, such as { wheat-white = 100 }"
    )
    stage: list[StageTable] = Field(
        min_length=1, max_length=40, description="[[stage]] tables, one of kind dough, 40 at most"
    )
    ingredient: list[IngredientTable] = Field(
        [], max_length=60, description="[[ingredient]] tables, 60 at most"
    )
    flour: list[FlourTable] = Field([], max_length=40, description="[[flour]] tables, 40 at most")
    words: WordsTable | None = Field(None, description="a table [words]")
    typed: list[TypedTable] = Field([], max_length=400, description="[[typed]] tables, 400 at most")
    process: ProcessTable | None = Field(None, description="a table [process]")
