"""The trade's factor method for the water's temperature, and the trade's rule for ice."""

from __future__ import annotations


def factor_water_temperature(
    wanted: float, flour: float, room: float, friction: float, preferment: float | None = None
) -> float:
    """Water temperature by factors: factor × wanted − (flour + room + preferment) − friction.

    The factor is the number of things that meet: 3 without a preferment, 4 with one.

    Units: every temperature in °C, or every one in °F; friction in degrees of the same scale.
    Range: a rule of thumb that weighs nothing: it is near for doughs of usual hydration in a room
    near the wanted temperature, and further out the further the parts are from each other.
    Source: common practice; worked examples in a trade magazine (June 2018) and a baking school's
    course sheet (2009) stand in the tests.
    """
    if preferment is None:
        return 3.0 * wanted - (flour + room) - friction
    return 4.0 * wanted - (flour + room + preferment) - friction


def rule_of_ice(water: float, tap: float, wanted: float, fahrenheit: bool = False) -> float:
    """Ice as a part of the water, by the trade's rule: water × (tap − wanted) / (tap + 80).

    The 80 stands for ice's latent heat over water's heat capacity; in °F it is 112.

    Units: water in any unit of mass, which is the answer's; °C, or °F when `fahrenheit`.
    Range: tap warmer than wanted; 0 otherwise.
    Source: common practice, from memory; 333.6/4.18 = 79.8 K, and 79.8 × 1.8 − 32 = 111.6 in °F.
    """
    if wanted >= tap:
        return 0.0
    return water * (tap - wanted) / (tap + (112.0 if fahrenheit else 80.0))
