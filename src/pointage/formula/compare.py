"""Two formulas, or two revisions of one, side by side: what changed in percent and what follows."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from pointage.formula.flour.figures import figures_words
from pointage.formula.formula import Formula
from pointage.formula.ingredients import ingredient
from pointage.language import mark, say, written

Reading = float | str | None


@dataclass(frozen=True, slots=True)
class PercentChange:
    """An ingredient's percent of the total flour before and after; None where there is none of it.

    stage: the one it is put to, "" for the total formula.
    """

    stage: str
    name: str
    before: Fraction | None
    after: Fraction | None

    @property
    def difference(self) -> Fraction:
        """By how many percent of the flour there is more of it."""
        return (self.after or Fraction()) - (self.before or Fraction())


@dataclass(frozen=True, slots=True)
class Consequence:
    """A property of the whole before and after, in its unit; None where it is not known.

    name: in English, to be translated where it is shown.
    """

    name: str
    unit: str
    before: Reading
    after: Reading

    @property
    def is_changed(self) -> bool:
        return self.before != self.after


@dataclass(frozen=True, slots=True)
class Comparison:
    """Every row of both total formulas, the rows of the stages that changed, and what follows."""

    before: str
    after: str
    total: tuple[PercentChange, ...]
    stages: tuple[PercentChange, ...]
    consequences: tuple[Consequence, ...]

    @property
    def is_same(self) -> bool:
        """Whether nothing changed, in percent or in consequence."""
        changed = any(each.difference for each in self.total) or self.stages
        return not changed and not any(each.is_changed for each in self.consequences)


@dataclass(frozen=True, slots=True)
class AskedConsequence:
    """A consequence that others calculate of a formula: by the engine, or by the stores' prices."""

    name: str
    unit: str
    answer: Callable[[Formula], float | None]


def compare(before: Formula, after: Formula, asked: Sequence[AskedConsequence] = ()) -> Comparison:
    """`before` and `after` side by side; `asked` adds consequences to those of the percentages.

    Units: percent of the total flour; those of the consequences are with them.
    """
    every = [
        *(Consequence(name, unit, answer(before), answer(after)) for name, unit, answer in _OWN),
        *(Consequence(a.name, a.unit, a.answer(before), a.answer(after)) for a in asked),
    ]
    whole = _changes("", before.total, after.total)
    return Comparison(
        before.name,
        after.name,
        tuple(whole),
        tuple(_stage_changes(before, after)),
        tuple(each for each in every if (each.before, each.after) != (None, None)),
    )


def _stage_changes(before: Formula, after: Formula) -> list[PercentChange]:
    old = {each.name: each.ingredients for each in before.stages}
    new = {each.name: each.ingredients for each in after.stages}
    found = []
    for stage in dict.fromkeys([*old, *new]):
        found += [
            each
            for each in _changes(stage, old.get(stage, {}), new.get(stage, {}))
            if each.difference
        ]
    return found


def _changes(
    stage: str, before: Mapping[str, Fraction], after: Mapping[str, Fraction]
) -> list[PercentChange]:
    names = dict.fromkeys([*before, *after])
    return [PercentChange(stage, name, before.get(name), after.get(name)) for name in names]


def _percent(share: Fraction) -> float:
    return round(float(100 * share), 2)


def _flours(formula: Formula) -> str:
    kinds = [name for name in formula.total if ingredient(name).kind == "flour"]
    return ", ".join(
        f"{say(ingredient(name).label)} {written(f'{float(formula.total[name]):.3g}')}"
        for name in kinds
    )


def _own_figures(formula: Formula) -> str | None:
    known = formula.flours.items()
    words = (f"{say(ingredient(name).label)}: {figures_words(own)}" for name, own in known)
    return "; ".join(words) or None


def _dough_c(formula: Formula) -> float | None:
    return None if formula.process is None else formula.process.dough_temperature.celsius


def _oven_c(formula: Formula) -> float | None:
    return None if formula.process is None else formula.process.oven.celsius


def _levain(formula: Formula) -> float | None:
    return None if formula.levain is None else _percent(formula.whole(formula.levain).hydration)


_OWN: tuple[tuple[str, str, Callable[[Formula], Reading]], ...] = (
    (mark("flours"), "", _flours),
    (mark("flours by their own figures"), "", _own_figures),
    (mark("hydration"), "%", lambda each: _percent(each.hydration)),
    (mark("hydration as poured"), "%", lambda each: _percent(each.hydrations.poured)),
    (mark("dough yield"), "", lambda each: round(float(each.dough_yield), 2)),
    (mark("prefermented flour"), "%", lambda each: _percent(each.prefermented_flour)),
    (mark("levain hydration"), "%", _levain),
    (mark("salt"), "%", lambda each: round(float(each.total.get("salt", 0)), 2)),
    (mark("piece"), "g", lambda each: round(float(each.piece_g), 1)),
    (mark("dough temperature"), "°C", _dough_c),
    (mark("oven"), "°C", _oven_c),
)
