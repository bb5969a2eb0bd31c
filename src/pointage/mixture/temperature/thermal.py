"""How a mixture stores and conducts heat, and follows its surroundings where no vessel is named."""

from __future__ import annotations

from functools import cache, lru_cache

from pointage.data import load
from pointage.heat.vessel import (
    Filling,
    Follow,
    Lid,
    Shell,
    VesselForm,
    follow,
)
from pointage.mixture.mixture import Mixture
from pointage.science.composition import Composition, foam_conductivity, food_conductivity

CONDUCTS_AT_C = 20.0
"""Between fridge and warm place the conductivity of dough changes by less than 5 %."""
USUAL_RISE = 1.5
USUAL_LITRES = 2.6  # of a tub for each kilogram
USUAL_TARE = 0.09  # kg of a plastic tub for each of its litres (ours)

# Shares of dry flour, which hardly matter: all that is not water conducts much alike. White flour,
# from memory of food tables.
_DRY = Composition(protein=0.12, fat=0.015, carbohydrate=0.83, fibre=0.03, ash=0.005)


def stand_name(vessel: str, place: str) -> str:
    """The name under which is learned how a vessel warms in a place: "Tub 2 in Fridge"."""
    return f"{vessel} in {place}" if vessel else place


def filling(mixture: Mixture, rise: float = USUAL_RISE) -> Filling:
    """The mixture, stood at `rise` times its volume, as what is in a vessel.

    Its heat is that of its parts (`heat_balance`), its conductivity that of its composition (Choi &
    Okos) in a foam (Maxwell & Eucken), whose gas is what it has risen by and the air worked in.
    """
    litres = mixture.volume * mixture.mass / 1000 * max(rise, 1.0)
    air = float(load("parameters/kinetics.toml")["dough"]["air"])
    gas = 1.0 - (1.0 - air) / max(rise, 1.0)
    walls = _conductivity(round(mixture.free_water, 2))
    return Filling(litres, mixture.heat_capacity, foam_conductivity(walls, gas))


def usual_follow(mixture: Mixture) -> Follow:
    """How it follows its surroundings in a lidded plastic tub of its size, in still air."""
    kilograms = mixture.mass / 1000
    each = filling(mixture)
    return _in_a_tub(
        float(f"{kilograms:.2g}"),
        round(each.litres / kilograms, 2),
        round(each.heat_capacity / mixture.mass, 1),
        round(each.conductivity, 2),
    )


@cache
def _conductivity(water: float) -> float:
    dry = 1.0 - water
    parts = {name: dry * getattr(_DRY, name) for name in Composition.__dataclass_fields__}
    return food_conductivity(Composition(**{**parts, "water": water}), CONDUCTS_AT_C)


@lru_cache(maxsize=512)
def _in_a_tub(kilograms: float, litres: float, heat: float, conductivity: float) -> Follow:
    """By the kilogram and rounded, so that much the same mixture is calculated once."""
    tub = USUAL_LITRES * kilograms
    shell = Shell(VesselForm.TUB, tub, "plastic", USUAL_TARE * tub, Lid.LOOSE)
    return follow(shell, Filling(litres * kilograms, 1000 * heat * kilograms, conductivity))
