"""A batch in cups and spoons, for those who ask."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from pointage.errors import InputError
from pointage.formula.ingredients import ingredients
from pointage.formula.volumes import in_measures
from pointage.language import mark

TRUTH = mark("Go by the grams: a cup holds more or less, depending on how it is filled.")


@dataclass(frozen=True, slots=True)
class MeasuredRow:
    """An ingredient as a measure; off is how far that can be wrong, percent.

    Without a density measure, off and source are None: it wants weighing.
    """

    name: str
    measure: str | None
    off: float | None
    source: str | None

    def as_json(self) -> dict[str, Any]:
        """The same by name."""
        return {
            "name": self.name,
            "measure": self.measure,
            "off_percent": self.off,
            "density_source": self.source,
        }


def measured(grams: Mapping[str, Fraction]) -> tuple[MeasuredRow, ...]:
    """Each of `grams` that is an ingredient with some mass, in the order given."""
    found = []
    for name, mass in grams.items():
        if name not in ingredients() or mass <= 0:
            continue
        try:
            it = in_measures(name, mass)
        except InputError:
            found.append(MeasuredRow(name, None, None, None))
        else:
            found.append(MeasuredRow(name, it.text, it.off, it.source))
    return tuple(found)
