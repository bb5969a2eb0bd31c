"""A file of lots, such as the demonstration's, as purchases and counts."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from typing import Annotated

from pydantic import Field

from pointage.bounds import PART_G, WEIGHED_G
from pointage.desk.larder.recorded import Purchase, TakenOrCounted, item
from pointage.errors import At, Faults
from pointage.formula.flour.figures import read_figures
from pointage.language import mark
from pointage.mixture.flours import FIGURES
from pointage.money import parse_money
from pointage.toml import Quantity, TomlTable, place_of, read_toml, reads, row_of

Item = Annotated[str, reads(item)]


class LotTable(TomlTable):
    """[[lot]]: stock, its dates in days from now so that an example does not age."""

    item: Item = Field(description=mark("an ingredient such as wheat-white"))
    mass: Annotated[Fraction, reads(PART_G.grams)] = Field(description=mark("a mass such as 25kg"))
    packs: int | None = Field(None, ge=1, description=mark("a whole number of packs"))
    price: Quantity = Field("", description=mark("a price such as 23.80"))
    per: str = Field("all", description=mark("all, kg or pack"))
    bought: int = Field(ge=0, le=3650, description=mark("a number of days ago"))
    best_before: int | None = Field(
        None, ge=-3650, le=3650, description=mark("a number of days ahead")
    )
    place: str = Field("", description=mark("where it is kept"))
    supplier: str = Field("", description=mark("who sold it"))
    label: str = Field("", description=mark("what the sack says of its lot"))
    moisture: Quantity = Field("", description=mark("of a flour, percent, such as 14.8"))
    protein: Quantity = Field("", description=mark("of a flour, percent as bought, such as 11.2"))
    ash: Quantity = Field(
        "", description=mark("of a flour, percent of the dry matter, such as 0.62")
    )
    falling_number: Quantity = Field("", description=mark("of a flour, seconds, such as 250"))
    absorption: Quantity = Field("", description=mark("of a flour, percent of water, such as 60"))


class CountTable(TomlTable):
    """[[count]]: what is there of an ingredient."""

    item: Item = Field(description=mark("an ingredient such as wheat-white"))
    mass: Annotated[Fraction, reads(WEIGHED_G.grams)] = Field(
        description=mark("a mass such as 25kg")
    )


class LarderTable(TomlTable):
    """The whole file."""

    lot: list[LotTable] = Field([], description=mark("[[lot]] tables"))
    count: list[CountTable] = Field([], description=mark("[[count]] tables"))


def read_larder(
    text: str, today: date, currency: str = "EUR", source: str = "larder.toml"
) -> tuple[list[Purchase], list[TakenOrCounted]]:
    """The purchases and the counts of a file. currency: of its prices. Raises InputError."""
    table, faults = read_toml(LarderTable, text, source), Faults()
    bought = [
        faults.take(_purchase, lot, today, currency, row_of(source, "lot", number))
        for number, lot in enumerate(table.lot)
    ]
    faults.check()
    return bought, [TakenOrCounted(each.item, each.mass) for each in table.count]


def _purchase(lot: LotTable, today: date, currency: str, here: At) -> Purchase:
    def named(figure: str) -> At:
        return place_of(here, figure)

    expires = lot.best_before
    return Purchase(
        lot.item,
        lot.mass,
        lot.packs,
        parse_money(lot.price, named("price"), currency) if lot.price else None,
        lot.per,
        today - timedelta(days=lot.bought),
        None if expires is None else today + timedelta(days=expires),
        lot.place,
        lot.supplier,
        lot.label,
        read_figures({name: getattr(lot, name) for name in FIGURES}, lot.item, named),
    )
