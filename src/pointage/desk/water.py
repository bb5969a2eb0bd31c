"""Which water makes a mix the wanted temperature: by heat balance, and by the trade's factors."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from math import ceil, floor

from pointage.errors import InputError
from pointage.formula.ingredients import ingredients, split
from pointage.quantities import parse_difference, parse_mass, parse_temperature, print_number
from pointage.science.factor_method import factor_water_temperature
from pointage.science.heat_balance import (
    HEAT_CAPACITY,
    LATENT_HEAT_OF_ICE,
    VESSEL_HEAT_CAPACITY,
    Part,
    ice_needed,
    mix_temperature,
    water_temperature,
)

WATER = HEAT_CAPACITY["water"]
ALL_ICE_C = -LATENT_HEAT_OF_ICE / WATER
"""The water temperature that a mix would need for all of its water to be ice at 0 °C."""

COLD_TAP_C = 4.0
WARM_C = 45.0  # yeast is harmed above: common practice, no source
HOT_C = 60.0
MOST_MASS_G = 1_000_000
AGREE_K = 0.5

PREFERMENTS = ("seed", "levain")

# Words for parts that are no ingredient of a formula, as shares of their mass. A seed, a levain and
# a soaker are taken as flour and water in equal parts.
_HALF_AND_HALF = {"flour": 0.5, "water": 0.5}
_MADE_OF = {
    "flour": {"flour": 1.0},
    "seed": _HALF_AND_HALF,
    "levain": _HALF_AND_HALF,
    "soaker": _HALF_AND_HALF,
}


@dataclass(frozen=True, slots=True)
class Given:
    """A part or vessel as it was given: what it is, grams, °C."""

    kind: str
    grams: Fraction
    celsius: float


@dataclass(frozen=True, slots=True)
class WaterAnswer:
    """The water's temperature in °C by both methods, the ice in grams, and what to know of them.

    factor_method_c is None without flour among the parts; ice_g is 0 when no tap is named. `why`
    says in a sentence how the methods come to differ.
    """

    water_g: Fraction
    water_temperature_c: float
    factor_method_c: float | None
    ice_g: float
    warnings: tuple[str, ...]
    why: str

    def as_json(self) -> dict[str, object]:
        """One JSON object; temperatures to 0.01 °C and ice to 0.1 g."""
        factor = self.factor_method_c
        return {
            "water_temperature_c": round(self.water_temperature_c, 2),
            "factor_method_c": None if factor is None else round(factor, 2),
            "ice_g": round(self.ice_g, 1),
            "warnings": list(self.warnings),
            "why": self.why,
        }


def water_for(
    target: str,
    water: str,
    parts: Sequence[str],
    *,
    vessel: str | None = None,
    friction: str = "0C",
    tap: str | None = None,
    room: str | None = None,
) -> WaterAnswer:
    """The water for a mix, each quantity as a person writes it ("25C", "600g", "flour:600g@18C").

    Raises InputError naming the option when a quantity cannot be read, is out of its range, or when
    no water makes the target; then it says which target can be reached.
    """
    wanted_c = _celsius(target, "--target", 1.0, 100.0)
    water_g = _grams(water, "--water")
    if not parts:
        raise InputError("--part", "none", "at least one, such as flour:600g@18C")
    given = [_read_given(text, "--part", _part_kinds()) for text in parts]
    vessel_given = _read_given(vessel, "--vessel", VESSEL_HEAT_CAPACITY) if vessel else None
    gained_k = parse_difference(friction, "--friction").kelvin
    if not 0.0 <= gained_k <= 30.0:
        raise InputError("--friction", friction, "a difference from 0C to 30C")
    tap_c = None if tap is None else _celsius(tap, "--tap", 0.0, 100.0)
    room_c = None if room is None else _celsius(room, "--room", -30.0, 60.0)

    things = [_thing(each, heat_capacity(each.kind)) for each in given]
    if vessel_given:
        things.append(_thing(vessel_given, VESSEL_HEAT_CAPACITY[vessel_given.kind]))
    water_kg = float(water_g) / 1000
    needed = water_temperature(things, water_kg, WATER, wanted_c, gained_k)
    _refuse_unreachable(target, needed, things, water_kg, gained_k)

    ice = 0.0 if tap_c is None else 1000 * ice_needed(water_kg, tap_c, needed, WATER)
    factor = _by_factors(given, wanted_c, gained_k, room_c)
    return WaterAnswer(
        water_g=water_g,
        water_temperature_c=needed,
        factor_method_c=factor,
        ice_g=ice,
        warnings=_warnings(needed, tap_c),
        why=_why(needed, factor, given, vessel_given is not None),
    )


def heat_capacity(kind: str) -> float:
    """kJ/(kg·K) of a kind of part, from the same figures as the fermenting mixture."""
    return sum(share * HEAT_CAPACITY[name] for name, share in _made_of(kind).items())


def _made_of(kind: str) -> dict[str, float]:
    if kind in _MADE_OF:
        return _MADE_OF[kind]
    return {name: float(share) for name, share in split(kind)._asdict().items() if share}


def _part_kinds() -> list[str]:
    return [*_MADE_OF, *ingredients()]


def _thing(given: Given, capacity: float) -> Part:
    return Part(float(given.grams) / 1000, capacity, given.celsius)


def _read_given(text: str, field: str, kinds: Sequence[str] | dict[str, float]) -> Given:
    example = "flour:600g@18C" if field == "--part" else "glass:900g@18C"
    kind, colon, rest = text.partition(":")
    mass, at, temperature = rest.partition("@")
    kind = kind.strip().lower()
    if not (colon and at):
        raise InputError(field, repr(text), f"kind, mass and temperature, such as {example}")
    if kind not in kinds:
        near = get_close_matches(kind, kinds, n=3) or list(kinds)
        raise InputError(field, repr(text), "a kind such as " + ", ".join(near))
    grams = _grams(mass, field)
    # A dry part may come from the freezer; a wet one that is frozen would have to thaw.
    wet = field == "--part" and "water" in _made_of(kind)
    return Given(kind, grams, _celsius(temperature, field, 0.0 if wet else -30.0, 100.0))


def _grams(text: str, field: str) -> Fraction:
    grams = parse_mass(text, field)
    if not 0 < grams <= MOST_MASS_G:
        raise InputError(field, repr(text), "a mass above 0 g and up to 1000 kg")
    return grams


def _celsius(text: str, field: str, low: float, high: float) -> float:
    celsius = parse_temperature(text, field).celsius
    if not low <= celsius <= high:
        raise InputError(field, repr(text), f"a temperature from {low:g}C to {high:g}C")
    return celsius


def _refuse_unreachable(
    target: str, needed: float, things: Sequence[Part], water_kg: float, gained_k: float
) -> None:
    def reached(water_c: float) -> float:
        return mix_temperature([*things, Part(water_kg, WATER, water_c)], gained_k)

    if needed > HOT_C:
        nearest = print_number(floor(reached(HOT_C) * 10) / 10)
        why = f"it would take water at {needed:.0f} °C, and above {HOT_C:.0f} °C it kills yeast"
        raise InputError("--target", target, f"{nearest}C or less, or more water: {why}")
    if needed < ALL_ICE_C:
        nearest = print_number(ceil(reached(ALL_ICE_C) * 10) / 10)
        why = "it would take more ice than there is water"
        raise InputError("--target", target, f"{nearest}C or more, or colder parts: {why}")


def _by_factors(
    given: Sequence[Given], wanted_c: float, friction: float, room_c: float | None
) -> float | None:
    flour_c = _mean_celsius([g for g in given if _made_of(g.kind) == {"flour": 1.0}])
    if flour_c is None:
        return None
    preferment_c = _mean_celsius([g for g in given if g.kind in PREFERMENTS])
    room = flour_c if room_c is None else room_c
    return factor_water_temperature(wanted_c, flour_c, room, friction, preferment_c)


def _mean_celsius(given: Sequence[Given]) -> float | None:
    grams = sum(g.grams for g in given)
    return sum(float(g.grams / grams) * g.celsius for g in given) if given else None


def _warnings(needed: float, tap_c: float | None) -> tuple[str, ...]:
    told = []
    if needed > WARM_C:
        told.append(
            f"water above {WARM_C:.0f} °C harms yeast where it meets it (common practice): "
            "mix it with the flour first, or warm the flour"
        )
    if needed < COLD_TAP_C and tap_c is None:
        told.append(f"water below {COLD_TAP_C:.0f} °C wants ice: give --tap to have it weighed")
    if needed < 0.0:
        told.append(
            "no water is below 0 °C: the figure stands for water and ice together, and all of the "
            "ice must melt in the mix"
        )
    return tuple(told)


def _why(needed: float, factor: float | None, given: Sequence[Given], vessel: bool) -> str:
    if factor is None:
        return "The factor method needs flour among the parts, so there is only the heat balance."
    levain = ", the levain" if any(g.kind in PREFERMENTS for g in given) else ""
    also = " and the vessel" if vessel else ""
    counts = f"The factor method counts the flour, the room{levain} and friction as alike"
    weighs = (
        f"the heat balance weighs each part{also} by mass and heat capacity and leaves out the room"
    )
    gap = needed - factor
    if abs(gap) < AGREE_K:
        return f"{counts}; {weighs}; here they agree within {AGREE_K:g} °C."
    way = "warmer" if gap > 0 else "colder"
    return f"{counts}; {weighs}, which makes the water {abs(gap):.1f} °C {way} here."
