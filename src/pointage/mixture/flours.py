"""Flour as a fermenting mixture meets it: one record of each, from the tables and a sack's sheet.

What can be measured of a flour (moisture, ash, falling number) is in its ingredient record in
data/ingredients/; what only the engine asks for is in data/parameters/flours.toml, by the kind that
the flour ferments as. A sack's own figures stand before those of the record.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from difflib import get_close_matches
from functools import cache, lru_cache

from pointage import bounds
from pointage.bounds import Bound
from pointage.data import load
from pointage.data.records import Record, records, until_changed
from pointage.errors import InputError
from pointage.language import say
from pointage.science.flour_analysis import amylase_ratio, on_basis

# least, most and what would be right; beyond them a finger slipped. Moisture: the heat of wetting
# is known to 20 %. Falling number: 62 s is the instrument's own stirring; above 600 s
# flours read alike. The rest: common practice, no source.
LIMITS: Mapping[str, Bound] = {
    "moisture": bounds.MOISTURE,
    "protein": bounds.PROTEIN,
    "ash": bounds.ASH,
    "falling_number": bounds.FALLING_NUMBER,
    "absorption": bounds.ABSORPTION,
}
FIGURES = tuple(LIMITS)

# Maltose set free goes with the amylase to this power. Ours: between our own white wheat (5.5 %,
# 300 s) and whole rye (6.5 %, 160 s) it is ln(6.5/5.5) / ln(250/110) = 0.2.
MALTOSE_POWER = 0.2


def checked_figure(figure: str, value: float, field: str) -> float:
    """`value` where it can be that figure of a flour. Raises InputError, `field`."""
    return LIMITS[figure].check(value, field)


@dataclass(frozen=True, slots=True)
class FlourFigures:
    """What is known of one sack of a flour beyond its record; None where nothing is.

    moisture, protein: percent as bought. ash: percent of the dry matter. falling_number: seconds.
    absorption: farinograph water, percent of the flour at 14 % moisture. label: where they are
    from, such as "mill's sheet of the May sack". Raises InputError, field by figure.
    """

    moisture: float | None = None
    protein: float | None = None
    ash: float | None = None
    falling_number: float | None = None
    absorption: float | None = None
    label: str = ""

    def __post_init__(self) -> None:
        for figure in FIGURES:
            value = getattr(self, figure)
            if value is not None:
                checked_figure(figure, value, figure)

    def __bool__(self) -> bool:
        """Whether any figure is known."""
        return any(getattr(self, figure) is not None for figure in FIGURES)


Flours = Mapping[str, FlourFigures]
"""A flour's own figures, by its name among the ingredients."""


@dataclass(frozen=True, slots=True)
class FlourRecord:
    """What a gram of a flour, or of a blend, is to a mixture. Every figure adds up by mass.

    moisture: grams of water in a gram as bought. ash, sugar, maltose: percent as bought. enzymes:
    1/h at 25 °C. retention, best_hydration: as in data/parameters/flours.toml. yeast, bacteria,
    early: CFU per gram.
    """

    moisture: float
    ash: float
    sugar: float
    maltose: float
    enzymes: float
    retention: float
    best_hydration: float
    yeast: float
    bacteria: float
    early: float

    @property
    def dry(self) -> float:
        """Grams of dry matter in a gram."""
        return 1.0 - self.moisture

    @property
    def ash_dry(self) -> float:
        """Ash in percent of the dry matter."""
        return self.ash / self.dry


def flour_kinds() -> tuple[str, ...]:
    """The kinds that the engine has parameters for; each is an ingredient of that name."""
    return tuple(load("parameters/flours.toml"))


def flour_record(name: str, own: FlourFigures | None = None, field: str = "flour") -> FlourRecord:
    """What the flour of that name is to a mixture, by its own figures where it has some.

    Ash as bought is a·(1 − w), with a of dry matter and w the moisture. The enzymes of each kind
    that it ferments as count by the liquefaction number, k·LN/LN_kind, and the maltose they set
    free by its power MALTOSE_POWER (ours), so that both are the kind's own at its falling number.
    Raises InputError with the nearest names.
    """
    if name not in _flours():
        near = get_close_matches(name, _flours(), n=3, cutoff=0.3) or list(flour_kinds())
        raise InputError(field, repr(name), say("a kind such as {kinds}", kinds=", ".join(near)))
    return _record(name, own)


@dataclass(frozen=True, slots=True)
class Figures:
    """All that is known of a flour, in the units of FlourFigures; no mill need have said it."""

    moisture: float
    protein: float
    ash: float
    falling_number: float | None
    absorption: float | None


def figures_of(name: str, own: FlourFigures | None = None) -> Figures:
    """A flour's own figures, and those of its ingredient record where it has none.

    The record's ash, which is of the flour as bought, is brought to dry matter by the record's own
    water.
    """
    given = _flours()[name]
    moisture, dough = float(given["grams"]["water"]), given.get("dough", {})
    record = Figures(
        moisture=moisture,
        protein=float(given["grams"]["protein"]),
        ash=on_basis(given["grams"]["ash"], moisture),
        falling_number=dough.get("falling_number"),
        absorption=dough.get("absorption"),
    )
    said = {} if own is None else {figure: getattr(own, figure) for figure in FIGURES}
    return replace(record, **{name: value for name, value in said.items() if value is not None})


def blend(flours: Mapping[str, float], own: Flours | None = None) -> FlourRecord:
    """What a blend is to a mixture: the records of its flours, by mass. Raises InputError."""
    return blended(
        (flour_record(name, (own or {}).get(name)), grams) for name, grams in flours.items()
    )


def blended(parts: Iterable[tuple[FlourRecord, float]]) -> FlourRecord:
    """The record of flours put together, each with its mass: Σ mᵢxᵢ / Σ mᵢ for every figure."""
    known = list(parts)
    if len({record for record, _ in known}) == 1:
        return known[0][0]
    total = sum(grams for _, grams in known)
    return FlourRecord(
        **{
            figure.name: sum(grams * getattr(record, figure.name) for record, grams in known)
            / total
            for figure in fields(FlourRecord)
        }
    )


@until_changed
@lru_cache(maxsize=512)
def _record(name: str, own: FlourFigures | None) -> FlourRecord:
    known = figures_of(name, own)
    dry = 1.0 - known.moisture / 100
    kinds = _flours()[name]["ferments_as"]
    shares: Mapping[str, float] = {kinds: 1.0} if isinstance(kinds, str) else kinds
    figures = dict.fromkeys((figure.name for figure in fields(FlourRecord)), 0.0)
    figures |= {"moisture": 1.0 - dry, "ash": dry * known.ash}
    for kind, share in shares.items():
        more = _more_amylase(kind, known.falling_number)
        table = load("parameters/flours.toml")[kind]
        figures["sugar"] += share * dry * table["sugar"]
        figures["maltose"] += share * dry * table["maltose"] * more**MALTOSE_POWER
        figures["enzymes"] += share * table["enzymes"] * more
        for figure in ("retention", "best_hydration"):
            figures[figure] += share * table[figure]
        for count in ("yeast", "bacteria", "early"):
            figures[count] += share * 10.0 ** table[count]
    return FlourRecord(**figures)


def _more_amylase(kind: str, falling_s: float | None) -> float:
    """Amylase over that of the kind; 1 for a flour whose falling number nobody knows."""
    if falling_s is None:
        return 1.0
    return amylase_ratio(falling_s, _flours()[kind]["dough"]["falling_number"])


@until_changed
@cache
def _flours() -> Mapping[str, Record]:
    """The ingredient records of flours, one's own among them."""
    return {name: given for name, given in records().items() if given["kind"] == "flour"}
