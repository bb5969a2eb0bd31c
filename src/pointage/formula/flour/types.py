"""National types of flour: what ash a type number means, and which type an ash is nearest to."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pointage.data import load
from pointage.errors import InputError
from pointage.language import say


@dataclass(frozen=True, slots=True)
class FlourType:
    """A type: ash in percent of dry matter; None for an end that the rule leaves open.

    protein: percent of dry matter, at least, where the rule asks for it.
    """

    country: str
    grain: str
    name: str
    source: str
    least: float | None = None
    most: float | None = None
    protein: float | None = None

    @property
    def middle(self) -> float:
        """An ash to calculate with: the middle, or the one end that there is."""
        ends = [end for end in (self.least, self.most) if end is not None]
        return sum(ends) / len(ends)

    def off(self, ash: float) -> float:
        """How far `ash` is outside, 0 inside."""
        below = 0.0 if self.least is None else max(self.least - ash, 0.0)
        above = 0.0 if self.most is None else max(ash - self.most, 0.0)
        return below + above


def flour_types() -> tuple[FlourType, ...]:
    """Every type, by country and grain, finest first."""
    return tuple(_types())


def _types() -> Iterator[FlourType]:
    for nation in load("flour-types.toml").values():
        for grain in ("wheat", "rye"):
            for name, limits in nation.get(grain, {}).items():
                yield FlourType(nation["country"], grain, name, nation["source"], **limits)


def flour_type(name: str, grain: str = "wheat", field: str = "type") -> FlourType:
    """The type called `name`, such as T65, 1050 or 00. Raises InputError naming what there is."""
    known = [each for each in flour_types() if each.grain == grain]
    for each in known:
        if each.name.casefold() == name.strip().casefold():
            return each
    raise InputError(
        field, repr(name), say("one of {names}", names=", ".join(each.name for each in known))
    )


def types_of_ash(ash_dry: float, grain: str = "wheat") -> tuple[FlourType, ...]:
    """For each country the type whose ash is nearest, the finest that fits first.

    ash_dry: percent of dry matter. Between two types it is the nearer; `off` says by how much.
    """
    best: dict[str, FlourType] = {}
    for each in flour_types():
        known = best.get(each.country)
        if each.grain == grain and (known is None or each.off(ash_dry) < known.off(ash_dry)):
            best[each.country] = each
    return tuple(best.values())
