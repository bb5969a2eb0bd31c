"""The body of a loaf: from its mass and shape to the one-dimensional body that stands for it.

A loaf is warmed from all sides, but along its shortest way to the core. It is taken as a body whose
area grows with a power of the distance from the core: power 0 is a slab, 1 a cylinder, 2 a sphere.
Power and radius are chosen so that the body has the loaf's own volume and surface and the loaf's
slowest mode of conduction (so a cube has a power of nearly 4: its corners add surface, and its core
is slow for that surface). What it leaves out: which side is up, and that corners dry first.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from pointage.data import load


class LoafShape(StrEnum):
    """The shapes that are known."""

    BOULE = "boule"
    BATARD = "bâtard"
    TIN = "tin"
    ROLL = "roll"
    FLAT = "flat"


class BreadType(StrEnum):
    """lean: wheat and water; soft: enriched; rye: rye or whole grain for the most part."""

    LEAN = "lean"
    SOFT = "soft"
    RYE = "rye"


@dataclass(frozen=True, slots=True)
class LoafBody:
    """What conducts: kg, m³, m² of surface, m from core to surface, and the power of its area."""

    mass_kg: float
    volume_m3: float
    surface_m2: float
    radius_m: float
    power: float
    base_share: float = 0.0

    @staticmethod
    def of(mass_kg: float, volume_m3: float, surface_m2: float, slowness: float) -> LoafBody:
        """The body with this volume and surface whose slowest mode decays as that of the loaf.

        slowness: the square λ of the first root, 1/m²: at a surface held cold the core decays as
        exp(−λ·α·t). Source of the idea: the geometry index of Smith, Nelson & Henrickson 1967
        (from memory); the body of a power is ours.
        """
        wanted = slowness * (volume_m3 / surface_m2) ** 2

        def excess(power: float) -> float:
            return (first_root(power) / (power + 1)) ** 2 - wanted

        before, power = 1.0, 2.0
        for _ in range(30):  # secant: it is smooth, and falls all the way
            rise = (excess(power) - excess(before)) / (power - before)
            before, power = power, max(power - excess(power) / rise, -0.4)
            if abs(power - before) < 1e-9:
                break
        return LoafBody(mass_kg, volume_m3, surface_m2, (power + 1) * volume_m3 / surface_m2, power)


@cache
def first_root(power: float) -> float:
    """The first ζ at which a body of this power, its surface held cold, has a mode: J_ν(ζ) = 0.

    ν = (power − 1)/2: π/2 for a slab, 2.405 for a cylinder, π for a sphere; by the power series.
    """

    def mode(z: float) -> float:
        total = term = 1.0
        k = 0
        while abs(term) > 1e-12:
            k += 1
            term *= -z * z / (4 * k * (k + (power - 1) / 2))
            total += term
        return total

    low, high = 1.0, 2.0 + power
    while high - low > 1e-10:
        middle = (low + high) / 2
        low, high = (middle, high) if mode(middle) > 0 else (low, middle)
    return low


@cache
def loaf_body(mass_kg: float, shape: LoafShape, bread: BreadType) -> LoafBody:
    """The body of a loaf of `mass_kg` of dough (kg, above 0) as it bakes."""
    parameters = load("parameters/baking.toml")
    volume = mass_kg / parameters["type"][bread]["density"]
    form = parameters["shape"][shape]
    # Half of the height, width and length of a loaf one high, then of this one.
    unit = {"brick": 1.0, "ellipsoid": math.pi / 6, "disc": math.pi / 4}[form["form"]]
    c = 0.5 * (volume / (unit * form["width"] * form["length"])) ** (1 / 3)
    a, b = c * form["length"], c * form["width"]
    surface, slowness = _FORMS[form["form"]](a, b, c)
    body = LoafBody.of(mass_kg, volume, surface, slowness)
    return LoafBody(
        body.mass_kg, body.volume_m3, body.surface_m2, body.radius_m, body.power, form["base"]
    )


def brick(a: float, b: float, c: float) -> tuple[float, float]:
    """Surface and slowness of a brick with these half edges: exact."""
    slowness = (math.pi / 2) ** 2 * (1 / a**2 + 1 / b**2 + 1 / c**2)
    return 8 * (a * b + b * c + c * a), slowness


def disc(a: float, _b: float, c: float) -> tuple[float, float]:
    """Surface and slowness of a disc of radius a and half height c: exact."""
    slowness = (first_root(1.0) / a) ** 2 + (math.pi / 2 / c) ** 2
    return 2 * math.pi * a * (a + 2 * c), slowness


def ellipsoid(a: float, b: float, c: float) -> tuple[float, float]:
    """Surface and slowness of an ellipsoid with these half axes, c the shortest.

    Surface within 1.1 % (Thomsen's formula, from memory); slowness by the geometry index
    G = 1/4 + 3/8·(c/a)² + 3/8·(c/b)², exact for sphere and slab, 7 % high for a long cylinder.
    """
    p = 1.6075
    mean = ((a * b) ** p + (b * c) ** p + (c * a) ** p) / 3
    index = 0.25 + 0.375 * (c / a) ** 2 + 0.375 * (c / b) ** 2
    return 4 * math.pi * mean ** (1 / p), index * (math.pi / c) ** 2


_FORMS = {"brick": brick, "disc": disc, "ellipsoid": ellipsoid}
