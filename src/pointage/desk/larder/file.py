"""A file of lots, such as the demonstration's, as the fields of purchases."""

from __future__ import annotations

from datetime import date, timedelta

from pydantic import Field

from pointage.toml import Quantity, Shape, read_toml


class LotTable(Shape):
    """[[lot]]: stock, its dates in days from now so that an example does not age."""

    item: str = Field(min_length=1, description="an ingredient such as wheat-white")
    mass: Quantity = Field(description="a mass such as 25kg")
    packs: int | None = Field(None, ge=1, description="a whole number of packs")
    price: Quantity = Field("", description="a price such as 23.80")
    per: str = Field("all", description="all, kg or pack")
    bought: int = Field(ge=0, le=3650, description="a number of days ago")
    best_before: int | None = Field(None, ge=-3650, le=3650, description="a number of days ahead")
    place: str = Field("", description="where it is kept")
    supplier: str = Field("", description="who sold it")
    label: str = Field("", description="what the sack says of its lot")
    moisture: Quantity = Field("", description="of a flour, percent, such as 14.8")
    protein: Quantity = Field("", description="of a flour, percent as bought, such as 11.2")
    ash: Quantity = Field("", description="of a flour, percent of the dry matter, such as 0.62")
    falling_number: Quantity = Field("", description="of a flour, seconds, such as 250")
    absorption: Quantity = Field("", description="of a flour, percent of water, such as 60")


class CountTable(Shape):
    """[[count]]: what is there of an ingredient."""

    item: str = Field(min_length=1, description="an ingredient such as wheat-white")
    mass: Quantity = Field(description="a mass such as 25kg")


class LarderTable(Shape):
    """The whole file."""

    lot: list[LotTable] = Field([], description="[[lot]] tables")
    count: list[CountTable] = Field([], description="[[count]] tables")


def read_larder(
    text: str, today: date, source: str = "larder.toml"
) -> tuple[list[dict[str, str]], list[dict[str, str]]]:
    """The purchases and the counts of a file, as forms would send them. Raises InputError."""
    table = read_toml(LarderTable, text, source)
    return [_purchase(lot, today) for lot in table.lot], [dict(each) for each in table.count]


def _purchase(lot: LotTable, today: date) -> dict[str, str]:
    fields = {name: str(value) for name, value in lot.model_dump().items() if value is not None}
    fields["bought"] = (today - timedelta(days=lot.bought)).isoformat()
    if lot.best_before is not None:
        fields["best_before"] = (today + timedelta(days=lot.best_before)).isoformat()
    return fields
