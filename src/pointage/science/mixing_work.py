"""The heat that mixing works into a dough, by the way it is mixed."""

from __future__ import annotations

from pointage.errors import RangeError
from pointage.language import mark

# kJ per kg of dough and minute. No table of these is printed anywhere that we know, so they are
# common practice, no source: set so that with the flour's heat of wetting they give the trade's
# frictions, 22 to 28 °F for 3 minutes slow and 4 fast in a spiral or 8 in a planetary mixer. What
# can be compared: high-speed mixing puts in 11 Wh/kg, 40 kJ/kg, within 2 to 4 minutes
# (Chorleywood process, from memory), which is 10 to 20 a minute.
MIXING_WORK = {
    "hand": 0.10,
    "hand-folds": 0.03,
    "spiral-slow": 0.6,
    "spiral-fast": 1.5,
    "planetary": 1.0,
    "food-processor": 13.0,
}
LONGEST_MIN = 120.0


def mixing_heat(method: str, minutes: float) -> float:
    """Heat that so many minutes of mixing work into a dough: the work of the method, times minutes.

    Units: minutes in; kJ per kg of dough out.
    Range: 0 to 120 minutes, RangeError outside; a method of MIXING_WORK. A bowl filled to its usual
    measure: less dough takes up more.
    Source: common practice, no source; see MIXING_WORK.
    """
    if not 0.0 <= minutes <= LONGEST_MIN:
        raise RangeError("mixing", minutes, 0.0, LONGEST_MIN, mark("minutes"))
    return MIXING_WORK[method] * minutes
