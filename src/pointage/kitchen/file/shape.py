"""The tables of a kitchen file, as they are written. docs/kitchen.md says the same in prose."""

from __future__ import annotations

from datetime import datetime, time
from fractions import Fraction
from typing import Annotated, Literal
from zoneinfo import ZoneInfo

from pydantic import BeforeValidator, Field

from pointage.bounds import (
    ALTITUDE_M,
    COOLING_MIN,
    FRICTION_K,
    HOTTEST_C,
    HYDRATION,
    INSIDE_MM,
    MOTOR_W,
    OVEN_OFFSET_K,
    PART_G,
    SPREAD_K,
    STEAM_MIN,
    SWING_K,
    TAP_C,
    TARE_G,
    WALL_MM,
)
from pointage.heat.materials import materials
from pointage.kitchen.file import values
from pointage.kitchen.log.clock import DateOrder
from pointage.money import parse_currency
from pointage.quantities import parse_percent, parse_zone
from pointage.toml import Quantity, TomlTable, as_text, checks, reads

NAME = "a name"
Swing = Annotated[float, reads(SWING_K.read)]
Inside = Annotated[float, reads(INSIDE_MM.read)]
Mass = Annotated[Fraction, reads(PART_G.grams)]
Percent = Annotated[Fraction, reads(parse_percent)]
Instant = Annotated[datetime, reads(values.instant, values.zone_of_file)]
InThere = Annotated[str, reads(values.one_of, values.places_of_file)]


class ReadingTable(TomlTable):
    """A thermometer's reading in a place, by the clock."""

    at: Quantity = Field(description="a clock time such as 07:00")
    temperature: Quantity = Field(description="a temperature such as 16C")


class LogTable(TomlTable):
    """A thermometer's log beside the kitchen's file, and what its owner says of it."""

    file: str = Field(min_length=1, description="the name of a log beside this file")
    column: str | None = Field(None, description="the name of a column of temperatures")
    unit: Literal["C", "F"] | None = Field(None, description="C or F")
    dates: DateOrder | None = Field(None, description="day-first, month-first or year-first")
    skip_bad_rows: bool = Field(False, description="true or false")


def _file_alone(value: object) -> object:
    return {"file": value} if isinstance(value, str) else value


Log = Annotated[LogTable, BeforeValidator(_file_alone)]


class PlaceTable(TomlTable):
    """[[place]]: somewhere a mixture can stand."""

    name: str = Field(min_length=1, description=NAME)
    kind: Literal["room", "warm", "box", "fridge", "outdoors"] = Field(
        description="room, warm, box, fridge or outdoors"
    )
    temperature: Annotated[float, reads(values.celsius, values.kind_beside)] | None = Field(
        None, description="a temperature such as 17C"
    )
    swing: Swing | None = Field(None, description="a difference of temperature such as 2C")
    warmest: Annotated[float, reads(values.hour)] | None = Field(
        None, description="a clock time such as 15:00 or 3:00 pm"
    )
    yearly: Swing | None = Field(None, description="a difference of temperature such as 3C")
    warmest_day: Annotated[float, reads(values.day)] | None = Field(
        None, description="a month and day such as 08-05"
    )
    spread: Annotated[float, reads(SPREAD_K.read)] | None = Field(
        None, description="a difference of temperature such as 1C"
    )
    readings: list[ReadingTable] = Field(
        [], description='readings such as { at = "07:00", temperature = "16C" }'
    )
    log: Log | None = Field(None, description="the name of a log beside this file")
    air: Literal["still", "moving", "fan", "water"] | None = Field(
        None, description="still, moving, fan or water"
    )
    room: Annotated[float, reads(values.litres)] | None = Field(
        None, description="litres free for dough in a fridge such as 40l"
    )


class VesselTable(TomlTable):
    """[[vessel]]: what a mixture can stand in."""

    name: str = Field(min_length=1, description=NAME)
    tare: Annotated[float, reads(TARE_G.read)] = Field(description="a mass such as 412g")
    volume: Annotated[float, reads(values.litres)] = Field(
        description="a volume such as 2l or 750ml"
    )
    material: Annotated[str, reads(values.one_of, lambda _: list(materials()))] = Field(
        description="a material such as glass"
    )
    use: Literal["jar", "tub", "bowl", "tin", "basket", "tray"] = Field(
        description="what it is for: jar, tub, bowl, tin, basket or tray"
    )
    lid: Literal["none", "loose", "tight"] | None = Field(None, description="none, loose or tight")
    wall: Annotated[float, reads(WALL_MM.read)] | None = Field(
        None, description="the thickness of its wall such as 2mm"
    )
    height: Inside | None = Field(None, description="its height inside such as 12cm")
    width: Inside | None = Field(None, description="its width inside such as 10cm")
    diameter: Inside | None = Field(None, description="its width inside if round, such as 18cm")
    most: Mass | None = Field(None, description="the most it can take, a mass such as 4kg")
    count: int = Field(1, ge=1, le=1000, description="how many there are of it, such as 8")


class ScaleTable(TomlTable):
    """[[scale]]: the step of its display and the most it can carry."""

    name: str = Field(min_length=1, description=NAME)
    step: Mass = Field(description="a mass such as 1g")
    capacity: Mass = Field(description="a mass such as 10kg")


MixingWay = Literal[
    "hand", "hand-folds", "spiral-slow", "spiral-fast", "planetary", "food-processor"
]


class MixerTable(TomlTable):
    """[[mixer]]: what a dough is mixed in, and what that warms it by."""

    name: str = Field(min_length=1, description=NAME)
    way: MixingWay = Field(description="a way of mixing such as spiral-slow or planetary")
    friction: Annotated[float, reads(FRICTION_K.read)] | None = Field(
        None, description="a difference of temperature such as 5C"
    )
    power: Annotated[float, reads(MOTOR_W.read)] | None = Field(
        None, description="a power such as 250W"
    )


class OvenTable(TomlTable):
    """[oven], or [[oven]] for each of several: what one load holds, how long it takes to heat."""

    name: str = Field(min_length=1, description=NAME)
    loaves: int = Field(
        ge=1, le=10_000, description="a whole number of loaves to a load, such as 8"
    )
    rolls: int = Field(ge=1, le=10_000, description="a whole number of rolls to a load, such as 48")
    preheat: Annotated[float, reads(values.minutes)] = Field(description="a duration such as 60min")
    cooling: Annotated[float, reads(COOLING_MIN.read)] | None = Field(
        None, description="a duration such as 30min"
    )
    hottest: Annotated[float, reads(HOTTEST_C.read)] | None = Field(
        None, description="a temperature such as 250C"
    )
    power: Annotated[Fraction, reads(values.power)] | None = Field(
        None, description="a power such as 9kW"
    )
    heating_duty: Percent = Field(Fraction(1), description="a percentage from 0 to 100")
    baking_duty: Percent = Field(Fraction(1, 2), description="a percentage from 0 to 100")
    surface: Literal["stone", "sheet"] = Field("stone", description="stone or sheet")
    offset: Annotated[float, reads(OVEN_OFFSET_K.read)] = Field(
        0.0, description="a difference of temperature such as 5C or -10C"
    )
    steam: Annotated[float, reads(STEAM_MIN.read)] | None = Field(
        None, description="a duration such as 10min; 0min for none"
    )


def _alone(value: object) -> object:
    return [value] if isinstance(value, dict) else value


Ovens = Annotated[list[OvenTable], BeforeValidator(_alone)]


class EnergyTable(TomlTable):
    """[energy]: what the oven's energy costs."""

    price: Annotated[Fraction, reads(values.price, values.currency_of_file)] = Field(
        description="the price of a kWh, such as 0.34"
    )


class AwayTable(TomlTable):
    """A spell in which nobody is there."""

    start: Instant = Field(alias="from", description="a date and time such as 2026-12-05T09:00")
    until: Instant = Field(description="a date and time such as 2026-12-05T17:00")


def _one_or_more(value: object) -> object:
    return [value] if isinstance(value, str) else value


Spans = Annotated[
    list[Annotated[tuple[time, time], reads(values.span)]], BeforeValidator(_one_or_more)
]


class HoursTable(TomlTable):
    """[hours]: when no hand can be asked for."""

    sleep: Spans = Field(
        [], description="a span of the clock such as 22:30-06:00 or 10:30 pm to 6 am"
    )
    away: list[AwayTable] = Field(
        [], max_length=500, description='spells such as { from = "…", until = "…" }, 500 at most'
    )


class ShownTable(TomlTable):
    """[shown]: how things are shown to whoever reads; a browser may choose otherwise."""

    degrees: Literal["C", "F"] | None = Field(None, description="C or F")
    clock: Annotated[Literal["24", "12"] | None, BeforeValidator(as_text)] = Field(
        None, description="24 or 12"
    )
    ounces: Literal["no", "yes"] | None = Field(None, description="yes or no, beside grams")
    dates: Literal["day", "month", "year"] | None = Field(
        None, description="what comes first in a date: day, month or year"
    )
    week: Literal["monday", "saturday", "sunday"] | None = Field(
        None, description="the first day of the week: monday, saturday or sunday"
    )
    money: Literal["after", "before"] | None = Field(
        None, description="where a currency stands: after or before its number"
    )


class CultureTable(TomlTable):
    """[[culture]]: a culture as it was last fed and where it stands."""

    name: str = Field(min_length=1, description=NAME)
    flours: Annotated[dict[str, float], checks(values.flours)] = Field(
        min_length=1, description="the kinds of flour with their parts, such as { rye-whole = 100 }"
    )
    hydration: Annotated[float, reads(HYDRATION.read)] = Field(
        description="water in percent of flour, such as 100"
    )
    seed: Annotated[float, reads(values.seed)] = Field(
        description="seed in percent of the new flour of its last feed"
    )
    mass: Mass = Field(description="a mass such as 60g")
    fed: Instant | None = Field(None, description="a date and time such as 2026-11-21T18:00")
    fed_days_ago: float | None = Field(None, ge=0, description="a number of days such as 4")
    stood: Annotated[float, reads(values.hours)] = Field(description="a duration such as 3h")
    stood_in: InThere = Field(description="the name of a place")
    place: InThere = Field(description="the name of a place")


class KitchenTable(TomlTable):
    """The whole file."""

    name: str = Field(min_length=1, description=NAME)
    zone: Annotated[ZoneInfo, reads(parse_zone)] = Field(
        description="a zone name such as Europe/Dublin"
    )
    tap: Annotated[float, reads(TAP_C.read)] = Field(description="a temperature such as 10C")
    friction: Annotated[float, reads(values.kelvin)] = Field(
        0.0, description="a difference of temperature such as 2C"
    )
    mixed_in: Annotated[str, reads(values.mixer, values.mixers_of_file)] | None = Field(
        None, description="the name of a mixer"
    )
    altitude: Annotated[float, reads(ALTITUDE_M.read)] = Field(
        0.0, description="a height above the sea such as 12m"
    )
    hours: HoursTable = Field(HoursTable.model_validate({}), description="a table of hours")
    place: list[PlaceTable] = Field(
        max_length=100, description="a [[place]] that is no fridge, 100 at most"
    )
    gone: list[str] = Field(
        [], max_length=200, description="names of places that are no longer there, 200 at most"
    )
    vessel: list[VesselTable] = Field(
        min_length=1, max_length=500, description="at least one [[vessel]], 500 at most"
    )
    mixer: list[MixerTable] = Field([], max_length=50, description="[[mixer]] tables, 50 at most")
    scale: list[ScaleTable] = Field(
        min_length=1, max_length=50, description="at least one [[scale]], 50 at most"
    )
    oven: Ovens = Field(
        [], max_length=20, description="a table [oven], or several [[oven]], 20 at most"
    )
    energy: EnergyTable | None = Field(None, description="a table [energy]")
    shown: ShownTable = Field(ShownTable.model_validate({}), description="a table [shown]")
    currency: Annotated[str, reads(parse_currency)] = Field(
        "EUR", description="three letters such as EUR"
    )
    culture: list[CultureTable] = Field(
        [], max_length=100, description="[[culture]] tables, 100 at most"
    )
