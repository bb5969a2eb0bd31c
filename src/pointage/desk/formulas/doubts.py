"""What is doubtful in a recipe that was read, in words for whoever reads it."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from pointage.formula.ingredients import ingredient, ingredients
from pointage.formula.reading.typed import LineDoubt
from pointage.language import mark, say
from pointage.quantities import print_number
from pointage.shown import warmth

WORDS = {
    "bare": mark("no unit: taken as grams"),
    "count": mark("taken as {each} g each, which can be off by {off} %"),
    "degrees": mark("no °C or °F: taken as {degrees}"),
    "first": mark("of the alternatives the first is taken: {said}"),
    "flours": mark("the flours come to {said} %: taken in proportion, as 100 %"),
    "guessed dough": mark("no heading names the dough: the lines after the gap are taken as it"),
    "heading": mark("what follows the heading “{said}” is taken into the final dough"),
    "long": mark("the method is longer than {most} characters: the rest is not kept"),
    "left over": mark("{name} makes {makes} g and {takes} g is taken: made smaller here"),
    "like": mark("no table weighs a cup of it: measured as {label}"),
    "no amount": mark("no amount: left out of the formula"),
    "no density": mark("no table weighs {said} of it: left out until you give grams"),
    "no food": mark("not an ingredient: left out"),
    "no name": mark("an amount of nothing: left out"),
    "one dough": mark("several headings are of one dough: {said}"),
    "only percents": mark("only percentages are given: made as a piece of {piece} g for now"),
    "outside": mark("for the outside, the tin or the bench: left out of the dough"),
    "pieces": mark("it does not say how many pieces: taken as one"),
    "range": mark("{said}: the middle is taken"),
    "rest": mark("not understood: “{said}”"),
    "sense": mark("“{said}” can mean several things: taken as {label}"),
    "starter": mark("taken as ripe levain of equal flour and water; its flour: {label}"),
    "starter flour": mark("it does not say which flour it is fed with: taken as {label}"),
    "stiff": mark("taken as ripe stiff levain of 50 % hydration; its flour: {label}"),
    "thousands": mark("{said} is read as {taken}"),
    "too little": mark("{name} makes {makes} g and {takes} g is asked for: all of it is taken"),
    "unit": mark("how much {said} is cannot be said: left out until you give grams"),
    "unknown": mark("no ingredient of this name is known: left out"),
    "volume": mark("measured, not weighed: {said} can be off by {off} %"),
}  # fmt: skip


def doubt_words(doubt: LineDoubt) -> str:
    """A doubt in a few words, without a full stop."""
    about = {key: _shown(value) for key, value in doubt.about.items()}
    for key in ("name", "flour"):
        name = doubt.about.get(key)
        if isinstance(name, str):
            about["label"] = say(ingredient(name).label) if name in ingredients() else name
    if "celsius" in doubt.about:
        about["degrees"] = warmth(float(str(doubt.about["celsius"])))
    try:
        return say(WORDS[doubt.what], **about)
    except (KeyError, ValueError):  # of a file that somebody wrote by hand
        return doubt.what


def doubts_words(doubts: Iterable[LineDoubt]) -> str:
    """Several of them on one line; empty where there is none."""
    return "; ".join(doubt_words(each) for each in doubts)


def _shown(value: object) -> object:
    """Text as it is; a number to two places."""
    return print_number(float(value), 2) if isinstance(value, Fraction | float | int) else value
