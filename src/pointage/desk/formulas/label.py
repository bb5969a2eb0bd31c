"""What a bread contains: figures per 100 g and per serving, allergens, ingredients and cautions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from pointage.bounds import PIECE_G, SERVING_G
from pointage.data import load
from pointage.desk.wording.lists import all_of
from pointage.errors import Faults, InputError
from pointage.formula.file.read import read_formula
from pointage.formula.flour.figures import OWN_SOURCE, figures_words
from pointage.formula.formula import Formula
from pointage.formula.ingredients import ingredient
from pointage.formula.label.allergens import (
    allergens_of,
    checked,
    declared,
    named,
    with_gluten,
)
from pointage.formula.label.nutrition import (
    UNITS,
    Amount,
    Nutrients,
    baked,
    contents,
    usual_loss,
    with_eu_energy,
)
from pointage.formula.label.rounding import (
    PanelFigure,
    Style,
    label_lines,
    round_for_label,
)
from pointage.language import mark, say
from pointage.mixture.flours import FlourFigures, Flours
from pointage.quantities import print_number, split_number

HUNDRED = Fraction(100)

NOT_SAFE = mark("Fermenting does not make gluten grains safe: not for people with coeliac disease.")
FOOD_LAW = mark(
    "Calculated from tables, not measured. Before you sell it, follow your local "
    "food law, which decides what a label must say."
)
NOT_EATEN = mark(
    "What the culture consumes is not subtracted, so sugars and energy are slightly "
    "too high; salt is what went in."
)


@dataclass(frozen=True, slots=True)
class PanelRow:
    """A line as it is printed: "at least" and all. share: percent of the daily value, or None."""

    line: PanelFigure
    per_100_g: str
    per_serving: str
    share: str | None


@dataclass(frozen=True, slots=True)
class Listed:
    """An ingredient in its place by weight. allergens: what the law wants named of it."""

    name: str
    label: str
    percent: float
    allergens: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class LabelAnswer:
    """A label. percents of `listed` are of the bread (EU) or of the dough (US).

    loss_given: whether the loss in the oven was given, or is the usual one for such a piece.
    """

    name: str
    slug: str
    style: Style
    pieces: int
    piece_g: Fraction
    loss: Fraction
    loss_given: bool
    serving_g: Fraction
    per_100_g: Nutrients
    per_serving: Nutrients
    panel: tuple[PanelRow, ...]
    listed: tuple[Listed, ...]
    contains: tuple[str, ...]
    may_contain: tuple[str, ...]
    cautions: tuple[str, ...]

    @property
    def bread_g(self) -> Fraction:
        """Grams of a baked piece."""
        return self.piece_g * (1 - self.loss)

    @property
    def servings(self) -> str:
        """How many servings a piece has, rounded as the law has it where it does."""
        return round_for_label(Style.US, "servings", self.bread_g / self.serving_g).text

    @property
    def per_piece(self) -> Nutrients:
        """The contents of a baked piece."""
        return self.per_100_g.per(self.bread_g)

    def as_json(self) -> dict[str, Any]:
        """Figures as they are calculated, by name and unit; the panel as it is printed."""
        return {
            "name": self.name,
            "style": self.style.value,
            "loss": _number(self.loss),
            "loss_from": "as given" if self.loss_given else "common practice for such a piece",
            "pieces": self.pieces,
            "piece_g": _number(self.piece_g),
            "bread_g": _number(self.bread_g),
            "serving_g": _number(self.serving_g),
            "per_100_g": _figures(self.per_100_g),
            "per_serving": _figures(self.per_serving),
            "per_piece": _figures(self.per_piece),
            "panel": [
                {
                    "figure": row.line.figure,
                    "name": row.line.name,
                    "unit": row.line.unit,
                    "per_100_g": row.per_100_g,
                    "per_serving": row.per_serving,
                    "daily_value_percent": row.share,
                }
                for row in self.panel
            ],
            "ingredients": [
                {
                    "name": each.name,
                    "label": each.label,
                    "percent": round(each.percent, 2),
                    "allergens": list(each.allergens),
                    "source": each.source,
                }
                for each in self.listed
            ],
            "allergens": list(self.contains),
            "may_contain": list(self.may_contain),
            "cautions": list(self.cautions),
        }


def label_formula(text: str, source: str, **asked: Any) -> LabelAnswer:
    """The label of the formula in `text`; `source` is the file's name, for errors."""
    return label(read_formula(text, source), **asked)


def label(
    formula: Formula,
    *,
    style: str = "us",
    serving: str | None = None,
    loss: str | None = None,
    pieces: int | None = None,
    piece: str | None = None,
    may_contain: Sequence[str] = (),
    flours: Flours | None = None,
) -> LabelAnswer:
    """What the bread of `formula` contains.

    style: us or eu. serving, piece: masses, the law's and the formula's own where None; piece is
    of dough. loss: what the oven takes, such as "12%"; the usual for such a piece where None.
    may_contain: words of data/label/allergens.toml, besides those of the formula. flours: figures
    of the sacks in use; the formula's own stand before them.
    Raises InputError, fields "style", "serving", "loss", "piece" and "may-contain".
    """
    whose, own_g, own_loss, serving_g, barred = read_asked(style, serving, loss, piece, may_contain)
    piece_g = own_g or formula.piece_g
    shape = "boule" if formula.process is None else formula.process.shape
    lost = usual_loss(shape, piece_g) if own_loss is None else own_loss

    own = {**(flours or {}), **formula.flours}
    bread = baked(contents(formula.total, own), lost)
    if whose is Style.EU:
        bread = with_eu_energy(bread)
    per_100, per_serving = bread.per(HUNDRED), bread.per(serving_g)
    words = allergens_of(formula.total)
    spoken = (*formula.may_contain, *barred)
    return LabelAnswer(
        name=formula.name,
        slug=formula.slug,
        style=whose,
        pieces=formula.pieces if pieces is None else pieces,
        piece_g=piece_g,
        loss=lost,
        loss_given=own_loss is not None,
        serving_g=serving_g,
        per_100_g=per_100,
        per_serving=per_serving,
        panel=tuple(_row(whose, line, per_100, per_serving) for line in label_lines(whose)),
        listed=_listed(formula.total, lost, whose, own),
        contains=declared(words, whose),
        may_contain=named(each for each in spoken if each not in words),
        cautions=_cautions(formula, words, per_100, whose),
    )


def read_asked(
    style: str,
    serving: str | None,
    loss: str | None,
    piece: str | None,
    may_contain: Sequence[str],
) -> tuple[Style, Fraction | None, Fraction | None, Fraction, tuple[str, ...]]:
    """What `label` is asked: style, piece, loss, serving and allergens. Raises its InputErrors."""
    faults = Faults()
    take = faults.take
    whose = take(_style, style)
    piece_g = faults.maybe(PIECE_G.grams, piece, "piece")
    own_loss = None if loss is None or not loss.strip() else take(_share, loss)
    grams = serving or take(_usual_serving, whose)
    serving_g = take(SERVING_G.grams, grams, "serving")
    barred = take(checked, may_contain, "may-contain")
    faults.check()
    return whose, piece_g, own_loss, serving_g, barred


def _style(text: str) -> Style:
    try:
        return Style(text.strip().casefold())
    except ValueError:
        raise InputError("style", repr(text), say("us or eu")) from None


def _usual_serving(style: Style) -> str:
    return str(load(f"label/{style.value}.toml")["serving"])


def _share(text: str) -> Fraction:
    expected = say("what the oven takes of the dough, such as 12%")
    number, unit = split_number(text, "loss", expected)
    if unit not in ("", "%") or not 0 <= number < HUNDRED:
        raise InputError("loss", repr(text), expected)
    return number / 100


def _row(style: Style, line: PanelFigure, per_100: Nutrients, per_serving: Nutrients) -> PanelRow:
    serving = per_serving.amounts[line.figure]
    share = None
    if line.daily is not None and line.percent is not None:
        percent = serving * (100 / Fraction(str(line.daily)))
        share = _printed(style, line.percent, percent, "%")
    return PanelRow(
        line,
        _printed(style, line.rule, per_100.amounts[line.figure], line.unit),
        _printed(style, line.rule, serving, line.unit),
        share,
    )


def _printed(style: Style, rule: str, amount: Amount, unit: str) -> str:
    """The amount as the law prints it; "at least" or "not known" where a figure is missing."""
    found = round_for_label(style, rule, amount.known)
    text = f"{found.text} {unit}"
    if not amount.missing:
        return text
    return say("at least {amount}", amount=text) if found.value else say("not known")


def _listed(
    total: Mapping[str, Fraction], loss: Fraction, style: Style, own: Flours
) -> tuple[Listed, ...]:
    """By weight, most first. European law counts the water that is left in the bread, American law
    what went in."""
    weights = dict(total)
    mass = sum(weights.values(), Fraction())
    if style is Style.EU and "water" in weights:
        weights["water"] = max(weights["water"] - loss * mass, Fraction())
        mass = sum(weights.values(), Fraction())
    order = sorted(weights, key=lambda name: (-weights[name], name))
    return tuple(
        Listed(
            name,
            say(ingredient(name).label),
            float(100 * weights[name] / mass),
            declared(ingredient(name).allergens, style),
            _source(name, own.get(name)),
        )
        for name in order
        if weights[name]
    )


def _source(name: str, own: FlourFigures | None) -> str:
    source = say(ingredient(name).source)
    if not own:
        return source
    return say(
        "{source}; by {label}: {figures}",
        source=source,
        label=own.label or say(OWN_SOURCE),
        figures=figures_words(own),
    )


def _cautions(
    formula: Formula, words: Sequence[str], per_100: Nutrients, style: Style
) -> tuple[str, ...]:
    found = [say(NOT_SAFE)] if with_gluten(words) else []
    found += [say(FOOD_LAW), say(NOT_EATEN)]
    unsure = [say(it.label).casefold() for it in map(ingredient, formula.total) if not it.seen]
    if unsure:
        names = ", ".join(unsure)
        found.append(
            say(
                "From memory or our own estimate, so check them before you print: {names}.",
                names=names,
            )
        )
    for line in label_lines(style):
        missing = per_100.amounts[line.figure].missing
        if missing:
            names = all_of(say(ingredient(name).label).casefold() for name in missing)
            found.append(
                say(
                    "{figure} in {names} is not known, so the sum is at least what is shown.",
                    figure=say(line.name),
                    names=names,
                )
            )
    return tuple(found)


def _figures(food: Nutrients) -> dict[str, Any]:
    """By figure and unit, unrounded but for the sixth place; at_least: what is missing, of whom."""
    keys = {
        name: f"{name.removesuffix('_kj')}_{unit.replace('µ', 'u').lower()}"
        for name, unit in UNITS.items()
    }
    figures: dict[str, Any] = {keys[name]: _number(food.amounts[name].known) for name in UNITS}
    gaps = {keys[name]: list(food.amounts[name].missing) for name in UNITS}
    figures["at_least"] = {key: names for key, names in gaps.items() if names}
    return figures


def _number(value: Fraction) -> float:
    return round(float(value), 6)


def percent_text(share: Fraction) -> str:
    """As "12 %"."""
    return f"{print_number(float(100 * share))} %"
