"""What vessels are made of."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from pointage.data import load


@dataclass(frozen=True, slots=True)
class Material:
    """W/(m·K), kJ/(kg·K), a share, and mm of wall as such vessels usually have it."""

    conductivity: float
    heat_capacity: float
    emissivity: float
    wall_mm: float


@cache
def materials() -> dict[str, Material]:
    """Every known material by name; data/parameters/materials.toml has their sources."""
    return {name: Material(**row) for name, row in load("parameters/materials.toml").items()}


def heat_capacities() -> dict[str, float]:
    """kJ/(kg·K) of every material, by name."""
    return {name: each.heat_capacity for name, each in materials().items()}
