"""Write a formula down as a formula file; `read_formula` gives the same formula back.

Numbers are written exactly: as decimals where they end, else as "34 4/19". Which side the amounts
are written from is chosen by which reads best, unless it is asked for.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from enum import StrEnum
from fractions import Fraction

from pointage.formula.formula import (
    MARKS,
    WORDS,
    Formula,
    IngredientPercents,
    Process,
    Stage,
    StageKind,
)
from pointage.formula.ingredients import ingredients, split
from pointage.formula.own.ingredient import OwnIngredient, as_table, own_ingredient
from pointage.formula.reading.typed import LineDoubt, TypedLine
from pointage.mixture.flours import FIGURES, FlourFigures
from pointage.quantities import Temperature

NEAT_DECIMALS = 3
MOST_DECIMALS = 12

Parts = Mapping[str, Fraction]


class WrittenSide(StrEnum):
    """From which side a formula's amounts are written: docs/formulas.md."""

    TOTAL = "total"
    GRAMS = "grams"
    PERCENT = "percent"


def write_formula(formula: Formula, side: WrittenSide | None = None) -> str:
    """The text of `formula` as a formula file, and always the same text for the same formula.

    side: the total formula in percent, grams in every stage, or each stage in percent of its own
    flour; None for the total unless only grams are round. For every side
    `read_formula(write_formula(f)) == f`, for a formula within the bounds of what is read.
    """
    side = side or _best(formula)
    lines = _head(formula)
    if side is WrittenSide.TOTAL:
        lines += ["", "[total]"]
        lines += [_line(name, _number(formula.total[name])) for name in _sorted(formula.total)]
    for stage in formula.stages:
        lines += ["", "[[stage]]", *_stage(formula, stage, side)]
    for own in filter(None, map(own_ingredient, sorted(formula.total))):
        lines += ["", *own_lines(own)]
    for name in sorted(formula.flours):
        lines += ["", "[[flour]]", *_flour(name, formula.flours[name])]
    if formula.process is not None:
        lines += ["", "[process]", *_process(formula.process)]
    if formula.words:
        lines += ["", "[words]"]
        lines += [_line(key, _text(formula.words[key])) for key in WORDS if key in formula.words]
    for typed in formula.typed:
        lines += ["", "[[typed]]", *_typed(typed)]
    return "\n".join(lines) + "\n"


def _head(formula: Formula) -> list[str]:
    """What is said of the whole."""
    rights = formula.rights
    texts = {
        "about": formula.about,
        "varies": formula.varies,
        "because": formula.because,
        "culture": formula.culture or "",
    }
    lists = {"cautions": formula.cautions, "may_contain": formula.may_contain}
    lines = [_line("name", _text(formula.name))]
    for key, text in texts.items():
        lines += [_line(key, _text(text))] if text else []
        if key == "about":
            marks = (mark for mark in MARKS if getattr(formula, mark))
            lines += [_line(mark, "true") for mark in marks]
    lines += [_line("pieces", str(formula.pieces)), _line("piece", _grams(formula.piece_g))]
    for key, each in lists.items():
        lines += [_line(key, f"[{', '.join(map(_text, each))}]")] if each else []
    lines += [_line("author", _text(rights.author))] if rights.author else []
    lines += [_line("year", rights.year)] if rights.year else []
    lines += [_line("licence", _text(rights.licence))] if rights.licence else []
    return lines


def own_lines(own: OwnIngredient) -> list[str]:
    """The table of an ingredient of one's own."""
    lines = ["[[ingredient]]"]
    for key, value in as_table(own).items():
        if isinstance(value, str):
            lines.append(_line(key, _text(value)))
        elif isinstance(value, float):
            lines.append(_line(key, _float(value)))
        else:
            lines.append(_line(key, f"[{', '.join(map(_text, value))}]"))
    return lines


def _typed(typed: TypedLine) -> Iterable[str]:
    yield _line("line", _text(typed.line))
    if typed.taken:
        yield _line("taken", _text(typed.taken))
    if typed.doubts:
        yield _line("doubts", f"[{', '.join(map(_doubt, typed.doubts))}]")


def _doubt(doubt: LineDoubt) -> str:
    rows = {"what": doubt.what, **doubt.plain().about}
    parts = (
        f"{_key(key)} = {_text(value) if isinstance(value, str) else _float(float(str(value)))}"
        for key, value in rows.items()
    )
    return f"{{ {', '.join(parts)} }}"


def _best(formula: Formula) -> WrittenSide:
    numbers = [part for stage in formula.stages for part in stage.ingredients.values()]
    gram = _gram(formula)
    if any(not _neat(part) for part in numbers) and all(_neat(part * gram) for part in numbers):
        return WrittenSide.GRAMS
    return WrittenSide.TOTAL


def _stage(formula: Formula, stage: Stage, side: WrittenSide) -> list[str]:
    lines = [_line("name", _text(stage.name)), _line("kind", _text(stage.kind.value))]
    is_dough = stage.kind is StageKind.DOUGH
    if stage.parts_of and not is_dough and side is not WrittenSide.PERCENT:
        parts = {name: 100 * share for name, share in stage.parts_of.items()}
        lines.append(_line("parts_of", _table(parts)))
    if side is WrittenSide.GRAMS:
        gram = _gram(formula)
        lines.append(_line("grams", _table({n: p * gram for n, p in stage.ingredients.items()})))
    elif side is WrittenSide.PERCENT:
        lines.append(_line("percent", _table(_own_percents(formula, stage))))
    elif not is_dough:
        lines += _of_total(formula, stage)
    if stage.seed is not None:
        lines.append(_line("seed", _number(100 * stage.seed)))
    elif stage.kind is StageKind.LEVAIN and stage in formula.builds[:1]:
        lines.append(_line("seed", _text("fit")))
    if stage.temperature is not None:
        lines.append(_line("temperature", _warmth(stage.temperature)))
    if stage.place is not None:
        lines.append(_line("place", _text(stage.place)))
    if stage.least_hours:
        lines.append(_line("least", _text(f"{_float(stage.least_hours)}h")))
    if stage.most_hours != stage.least_hours:
        lines.append(_line("most", _text(f"{_float(stage.most_hours)}h")))
    if stage.kind is StageKind.ADDITION:
        lines.append(_line("when", _text(f"fold {stage.fold}" if stage.fold else "mix")))
    if stage.words:
        lines.append(_line("words", _text(stage.words)))
    return lines


def _of_total(formula: Formula, stage: Stage) -> list[str]:
    """What a stage takes of the total formula: in the trade's way where that comes out round."""
    whole = formula.whole(stage)
    if stage.kind is StageKind.OLD_DOUGH and not stage.parts_of:
        piece = {name: part * whole.flour / 100 for name, part in formula.total.items()}
        if dict(stage.ingredients) == piece:
            return [_line("flour", _number(whole.flour))]
    flours = {name: part for name, part in stage.ingredients.items() if split(name).flour}
    fresh = sum(flours.values(), Fraction())
    loose = {name: part for name, part in stage.ingredients.items() if name not in flours}
    if fresh:
        blend = {name: 100 * part / fresh for name, part in flours.items()}
        hydration = 100 * whole.ingredients.get("water", Fraction()) / whole.flour
        if all(map(_neat, (whole.flour, hydration, *blend.values()))):
            lines = [_line("flour", _number(whole.flour)), _line("flours", _table(blend))]
            if loose.pop("water", None):
                lines.append(_line("water", _number(hydration)))
            return [*lines, _line("takes", _table(loose))] if loose else lines
    return [_line("takes", _table(stage.ingredients))] if stage.ingredients else []


def _own_percents(formula: Formula, stage: Stage) -> dict[str, Fraction]:
    """A stage in percent of its own fresh flour, or of all of it where it has none."""
    masses = dict(stage.ingredients)
    for name, share in stage.parts_of.items():
        masses[name] = share * formula.whole(formula.stage(name)).mass
    per = IngredientPercents(stage.ingredients).flour or sum(masses.values(), Fraction())
    return {name: 100 * mass / per for name, mass in masses.items()}


def _flour(name: str, own: FlourFigures) -> Iterable[str]:
    yield _line("ingredient", _text(name))
    for figure in FIGURES:
        if (value := getattr(own, figure)) is not None:
            yield _line(figure, _float(value))
    if own.label:
        yield _line("label", _text(own.label))


def _process(process: Process) -> Iterable[str]:
    yield _line("mix", _minutes(process.mix_minutes))
    yield _line("dough_temperature", _warmth(process.dough_temperature))
    yield _line("bulk_place", _text(process.bulk_place))
    yield _line("bulk_rise", str(list(process.bulk_rise)))
    yield _line("folds", str(process.folds))
    yield _line("fold_every", _minutes(process.fold_every_minutes))
    yield _line("fold", _minutes(process.fold_minutes))
    yield _line("divide", _minutes(process.divide_minutes))
    yield _line("bench_rest", _minutes(process.bench_rest_minutes))
    yield _line("shaping", _minutes(process.shape_minutes))
    yield _line("shape_keeps", _float(process.shape_keeps))
    yield _line("proof_place", _text(process.proof_place))
    yield _line("proof_rise", str(list(process.proof_rise)))
    if process.retard_place is not None and process.retard_rise is not None:
        yield _line("retard_place", _text(process.retard_place))
        yield _line("retard_rise", str(list(process.retard_rise)))
    yield _line("oven", _warmth(process.oven))
    if process.oven_name:
        yield _line("oven_name", _text(process.oven_name))
    if process.bake_minutes is not None:
        yield _line("bake", _minutes(process.bake_minutes))
    yield _line("load", _minutes(process.load_minutes))
    yield _line("cool", _minutes(process.cool_minutes))
    yield _line("shape", _text(process.shape))
    if process.bake_note:
        yield _line("bake_note", _text(process.bake_note))


def _warmth(temperature: Temperature) -> str:
    """In °C, or in °F where only there it is a round number: as it was typed, most likely."""
    fahrenheit = round(temperature.celsius * 9 / 5 + 32, 6)
    if not _is_round(temperature.celsius) and _is_round(fahrenheit):
        return _text(f"{_float(fahrenheit)}F")
    return _text(f"{_float(temperature.celsius)}C")


def _is_round(number: float) -> bool:
    return abs(number * 10 - round(number * 10)) < 1e-6


def _line(key: str, value: str) -> str:
    return f"{key} = {value}"


def _table(parts: Parts) -> str:
    rows = ", ".join(f"{_key(name)} = {_number(parts[name])}" for name in _sorted(parts))
    return f"{{ {rows} }}"


def _sorted(parts: Parts) -> list[str]:
    """Flours first, then what there is most of: the same order however a formula came about."""

    def place(name: str) -> tuple[bool, Fraction, str]:
        is_flour = name in ingredients() and bool(split(name).flour)
        return not is_flour, -parts[name], name

    return sorted(parts, key=place)


def _key(name: str) -> str:
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else _text(name)


def _text(words: str) -> str:
    # JSON's escapes are TOML's, but that TOML wants the delete character escaped as well.
    return json.dumps(words, ensure_ascii=False).replace("\x7f", "\\u007f")


def _decimals(number: Fraction) -> int | None:
    """How many decimals it takes to write `number`, None where they do not end soon."""
    return next((n for n in range(MOST_DECIMALS + 1) if (number * 10**n).denominator == 1), None)


def _neat(number: Fraction) -> bool:
    decimals = _decimals(number)
    return decimals is not None and decimals <= NEAT_DECIMALS


def _plain(number: Fraction) -> str:
    """Exact text of a number that is not negative."""
    decimals = _decimals(number)
    if decimals is None:
        whole, rest = divmod(number, 1)
        return f"{whole} {rest}" if whole else f"{rest}"
    digits = str(int(number * 10**decimals)).zfill(decimals + 1)
    return f"{digits[:-decimals]}.{digits[-decimals:]}" if decimals else digits


def _number(number: Fraction) -> str:
    plain = _plain(number)
    return _text(plain) if "/" in plain else plain


def _grams(number: Fraction) -> str:
    plain = _plain(number)
    return _text(plain) if "/" in plain else _text(f"{plain}g")


def _minutes(minutes: float) -> str:
    return _text(f"{_float(minutes)}min")


def _float(number: float) -> str:
    return str(int(number)) if number == int(number) else repr(number)


def _gram(formula: Formula) -> Fraction:
    """Grams for each percent of the flour, in the batch the formula is usually made for."""
    return formula.pieces * formula.piece_g / sum(formula.total.values(), Fraction())
