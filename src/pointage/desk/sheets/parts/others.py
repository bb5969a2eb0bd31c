"""What the ingredients beside flour, water and salt do to hydration and to the forecast."""

from __future__ import annotations

from collections.abc import Iterator

from pointage.desk.wording.lists import all_of
from pointage.formula.formula import Formula
from pointage.formula.ingredients import Ingredient, ingredient
from pointage.language import mark, say, within
from pointage.quantities import print_number

EFFECTS = {
    "dairy": mark(
        "{names}: counts as neither flour nor water. Fat softens the crumb; the forecast takes no "
        "account of it."
    ),
    "grain": mark(
        "{names}: counts as neither flour nor water, and does nothing in the forecast. Unsoaked it "
        "drinks from the dough, which is not calculated."
    ),
    "seed": mark(
        "{names}: counts as neither flour nor water, and does nothing in the forecast. Unsoaked it "
        "drinks a little from the dough, which is not calculated."
    ),
    "spice": mark("{names}: does nothing to the hydration or in the forecast."),
    "fruit": mark(
        "{names}: its water is not counted, and it does nothing in the forecast. Dried it drinks "
        "from the dough; fresh it wets it; its sugar feeds the yeast. None of that is calculated."
    ),
    "sweetener": mark(
        "{names}: its water is not counted. A little hurries the dough, and much slows it; the "
        "forecast takes no account of either, so go by the rise."
    ),
    "malt": mark(
        "{names}: its enzymes are not in the forecast. The dough works a little quicker, and the "
        "crust browns more."
    ),
    "fat": mark(
        "{names}: does nothing to the hydration. Much of it slows the rise, which the forecast "
        "takes no account of."
    ),
    "yeast": mark(
        "{names}: baker's yeast is not in the forecast. The dough is ready sooner than it says."
    ),
    "leavening": mark(
        "{names}: does nothing to the hydration. It raises the dough by itself in the bowl and in "
        "the oven, which the forecast takes no account of; fermenting goes on beside it."
    ),
}
"""By kind of ingredient: common practice, no source, and what the engine does."""


def others(formula: Formula) -> tuple[str, ...]:
    """A sentence for each kind that the formula has."""
    return tuple(_others([ingredient(name) for name in formula.total]))


def _others(found: list[Ingredient]) -> Iterator[str]:
    for it in found:
        if it.kind == "liquid":
            yield say(
                "{name}: {share} % of it counts as water. The rest does nothing in the forecast.",
                name=say(it.label),
                share=print_number(it.water, 0),
            )
    for kind, words in EFFECTS.items():
        names = [say(it.label) for it in found if it.kind == kind]
        if names:
            first, *rest = names
            yield say(words, names=all_of((first, *map(within, rest))))
