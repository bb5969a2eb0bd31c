"""What a pour is called."""

from __future__ import annotations

from pointage.formula.ingredients import ingredients
from pointage.formula.ladder import Pour, PourKind, PourState
from pointage.language import mark, say

_STATES = {PourState.RIPE: mark("ripe"), PourState.KEPT: mark("kept")}


def pour_label(pour: Pour) -> str:
    """ "White wheat flour", "Plover, ripe"; an ingredient that is gone, by its identifier."""
    name = pour.name
    if pour.kind is PourKind.INGREDIENT:
        known = ingredients().get(name)
        name = name if known is None else say(known.label)
    return f"{name}, {say(_STATES[pour.state])}" if pour.state in _STATES else name
