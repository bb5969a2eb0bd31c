"""What each quantity can be: one table, which every reader, form, option and check takes from.

Beyond `low` and `high` a finger slipped or a unit was mistaken, and the value is refused. Beyond
the usual it is possible, kept, and asked about. The range in which a model may be used is another
matter and stands beside the model.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import inf
from typing import TypeGuard

from pointage.errors import MISSING, InputError
from pointage.language import mark, say, written
from pointage.quantities import (
    LITRES_PER,
    parse_count,
    parse_difference,
    parse_duration,
    parse_length,
    parse_mass,
    parse_temperature,
    print_measure,
    print_number,
    split_number,
)
from pointage.shown import apart_in_degrees, degrees_sign, in_degrees, shown

COMMON = "common practice, no source"
OTHER_UNITS = {
    "m": {"ft": Fraction("0.3048")},  # international foot, exact by definition
    "l": LITRES_PER,
    "ml": {unit: 1000 * litres for unit, litres in LITRES_PER.items()},
    "W": {"kw": Fraction(1000)},
}
LARGER = {"g": "kg", "ml": "l"}
UNIT_WORDS = {"": "{number}", "min": mark("{number} minutes"), "h": mark("{number} hours")}


@dataclass(frozen=True, slots=True)
class Bound:
    """What one quantity can be.

    what: as errors name it, with its article ("a rise"), in English; it is translated there. unit:
    of its numbers; "K" is a difference of temperature, "" a bare number. above: `low` itself is too
    little. usual_low, usual_high: outside, the value is possible and asked about in the words of
    `rare`, in which {} is the value. example: as it may be typed.
    """

    what: str
    unit: str
    low: float
    high: float
    usual_low: float = -inf
    usual_high: float = inf
    rare: str = "{} is unusual"
    above: bool = False
    example: str = ""
    source: str = COMMON

    @property
    def expected(self) -> str:
        """What would be right, as the end of a sentence: "a rise from 0.3 to 10"."""
        low, high = self._as_shown(self.low), self._as_shown(self.high)
        parts = {"what": say(self.what), "low": _number(low)}
        if self.unit in LARGER and high >= 1000 and (low == 0 or low >= 1):
            parts["low"] = self._with_unit(low, self.unit) if low else "0"
            parts["high"] = self._with_unit(high / 1000, LARGER[self.unit])
        else:
            parts["high"] = self._with_unit(high, self.unit)
        if self.above:
            return say("{what} above {low} and up to {high}", **parts)
        return say("{what} from {low} to {high}", **parts)

    def holds(self, value: object) -> TypeGuard[float]:
        """Whether it is a number, and one that can be; true, false and not-a-number are none."""
        if isinstance(value, bool) or not isinstance(value, int | float | Fraction):
            return False
        try:
            number = float(value)  # an exact 0.001 is as low as the limit of 0.001
        except OverflowError:
            return False
        return self.low <= number <= self.high and not (self.above and value <= self.low)

    def check(self, value: object, field: str, typed: object = None) -> float:
        """`value`, a number in `unit`. Raises InputError; typed: what was typed, if not that."""
        if self.holds(value):
            return float(value)
        said = value if typed is None else typed
        if isinstance(said, float | Fraction):
            unit = degrees_sign() if self.is_warmth else self.unit
            said = print_measure(self._as_shown(float(said)), unit)
        expected = self._or_other(self._such(), value)
        raise InputError(field, MISSING if said is None else said, expected)

    def read(self, text: str, field: str) -> float:
        """The number in `unit` that was typed, a bare number in that very unit.

        Raises InputError, or UnitError for what is no such quantity.
        """
        return self.check(self._parsed(text, field), field, repr(text))

    def grams(self, text: str, field: str) -> Fraction:
        """The exact grams that were typed. Raises InputError, UnitError."""
        found = parse_mass(text, field)
        self.check(found, field, repr(text))
        return found

    def count(self, text: str, field: str) -> int:
        """The whole number that was typed, from 1. Raises UnitError."""
        return parse_count(text, field, int(self.high))

    def doubt(self, value: object) -> str | None:
        """The line that asks about a value that is possible and unusual; None for any other."""
        if not self.holds(value) or self.usual_low <= value <= self.usual_high:
            return None
        said = written(print_number(self._as_shown(float(value)), 2))
        number = f"{said} {degrees_sign()}" if self.is_warmth else said
        return self._or_other(say(self.rare).format(number), value)

    def _or_other(self, line: str, value: object) -> str:
        other = self.other_scale(value)
        return say("{line}, or was it {other}?", line=line, other=other) if other else line

    def other_scale(self, value: object) -> str:
        """What a temperature would be were its number one of the other scale, where that would be
        usual: "475 °F" for one of 475 °C; else nothing."""
        if self.unit != "°C" or isinstance(value, bool) or not isinstance(value, int | float):
            return ""
        if not abs(value) < 1e6:  # an endless whole number is no float
            return ""
        if shown().degrees == "C":
            number, other, celsius = float(value), "°F", (value - 32) * 5 / 9
        else:
            number, other, celsius = in_degrees(value), "°C", in_degrees(value)
        low, high = max(self.low, self.usual_low), min(self.high, self.usual_high)
        return f"{written(print_number(number))} {other}" if low <= celsius <= high else ""

    @property
    def is_warmth(self) -> bool:
        """Whether it is a temperature, or how far two are apart."""
        return self.unit in ("°C", "K")

    def _as_shown(self, value: float) -> float:
        """A number in `unit` as one in the unit in which it is shown."""
        match self.unit:
            case "°C":
                return in_degrees(value)
            case "K":
                return apart_in_degrees(value)
        return value

    def _with_unit(self, value: float, unit: str) -> str:
        if self.is_warmth:
            unit = degrees_sign()
        return say(UNIT_WORDS.get(unit, "{number} {unit}"), number=_number(value), unit=unit)

    def _parsed(self, text: str, field: str) -> float | Fraction:
        match self.unit:
            case "°C":
                return parse_temperature(text, field).celsius
            case "K":
                return parse_difference(text, field).kelvin
            case "g":
                return parse_mass(text, field)
            case "mm" if text.strip() not in ("0", "0mm"):
                return parse_length(text, field)
            case "min" | "h":
                seconds = parse_duration(text, field, bare=self.unit).total_seconds()
                return seconds / (60 if self.unit == "min" else 3600)
        number, unit = split_number(text, field, self._such(), self.unit)
        known = {self.unit.lower(): Fraction(1), "": Fraction(1)} | OTHER_UNITS.get(self.unit, {})
        if unit.lower() not in known:
            raise InputError(field, repr(text), self._such())
        return number * known[unit.lower()]

    def _such(self) -> str:
        if not self.example:
            return self.expected
        unit = "F" if self.typed_example != self.example else ""
        example = f"{self.typed_example}{unit}"
        return say("{expected}, such as {example}", expected=self.expected, example=example)

    @property
    def typed_example(self) -> str:
        """The example as a number of the unit shown."""
        if self.unit != "°C" or shown().degrees == "C" or not self.example:
            return self.example
        return f"{in_degrees(float(self.example.rstrip('C'))):.0f}"


def _number(value: float) -> str:
    return f"{value:.0f}".replace("-", "−") if value == int(value) else f"{value:g}"


HEAVIEST_G = 1_000_000

RISE = Bound("a rise", "", 0.3, 10.0, 0.8, 6.0, "a rise of {} is rare", example="1.6")
MIXTURE_C = Bound(
    "a temperature of a mixture", "°C", -10.0, 60.0, 0.0, 40.0,
    "{} is no usual temperature of a mixture", example="24.5",
)  # fmt: skip
DOUGH_TO_BAKE_C = Bound(
    "a temperature of a dough that is not frozen", "°C", 0.0, 45.0, example="24C",
    source="ours: the oven's model knows no frozen dough",
)  # fmt: skip
MIX_WANTED_C = Bound(
    "a temperature of a mix", "°C", 1.0, 100.0, 15.0, 35.0, "{} is unusual for a dough"
)
ROOM_C = Bound(
    "a temperature of the air", "°C", -30.0, 60.0, -5.0, 45.0, "{} is rare in a kitchen",
    example="19",
)  # fmt: skip
PROBE_C = Bound("a temperature", "°C", -40.0, 80.0)
INGREDIENT_C = Bound(
    "a temperature of an ingredient", "°C", -40.0, 100.0, -25.0, 60.0,
    "{} is unusual for an ingredient",
)  # fmt: skip
DOUGH_WANTED_C = Bound("a temperature of a dough", "°C", 5.0, 40.0)
MIXED_IN_C = Bound("a temperature of what is mixed", "°C", 0.0, 50.0)
TAP_C = Bound("a temperature of tap water", "°C", 0.0, 40.0)
WARMEST_WATER_C = 40.0
"""Above it yeast is harmed where the water meets it: common practice, no source."""
WATER_C = Bound("a temperature of water", "°C", 0.0, 100.0)
VESSEL_C = Bound("a temperature of a vessel", "°C", -40.0, 150.0)
CORE_C = Bound(
    "a temperature inside a loaf", "°C", -10.0, 105.0, 80.0, 101.0,
    "{} is unusual inside a loaf that is done", example="97",
)  # fmt: skip
DONE_C = Bound(
    "a temperature inside a loaf that is done", "°C", 60.0, 105.0, example="97C",
    source="ours: below it starch has not set, and there is no crumb",
)  # fmt: skip
OVEN_C = Bound(
    "a temperature of an oven", "°C", 20.0, 500.0, 120.0, 320.0, "{} is unusual for an oven",
    example="240",
)  # fmt: skip
FRICTION_K = Bound("a difference", "K", 0.0, 30.0)
MOTOR_W = Bound("a power", "W", 20.0, 20_000.0, example="250W")
HOTTEST_C = Bound("a temperature of an oven at its hottest", "°C", 100.0, 600.0)
OVEN_OFFSET_K = Bound("a difference", "K", -60.0, 60.0)
PH = Bound("a pH", "", 2.5, 8.0, 3.3, 6.8, "pH {} is rare in a mixture that lives", example="4.1")
TTA_ML = Bound(
    "a titratable acidity", "ml", 0.1, 60.0, 1.0, 30.0, "a titratable acidity of {} ml is rare",
    example="9.5",
)  # fmt: skip
WEIGHED_G = Bound(
    "a mass", "g", 0.0, HEAVIEST_G, usual_high=100_000, rare="{} g at once is more than is usual",
    example="850",
)  # fmt: skip
PART_G = Bound("a mass", "g", 0.0, HEAVIEST_G, above=True)
LOAF_G = Bound("a mass", "g", 1.0, 10_000, example="900g")
PIECE_G = Bound("a mass of a piece", "g", 1.0, 50_000, example="900g")
SERVING_G = Bound("a mass of a serving", "g", 0.0, 5000, above=True, example="50g")
STEP_G = Bound("a step of a scale", "g", 0.001, 1000.0, example="1g")
DAILY_FLOUR_G = Bound("a mass of flour a day", "g", 0.0, 20_000, above=True, example="50g")
TARE_G = Bound("a tare", "g", 0.0, 100_000, example="236")
DISPLAY_G = Bound("a reading of the display", "g", 0.0, HEAVIEST_G + TARE_G.high, example="1042")
HEIGHT_MM = Bound("a height", "mm", 0.0, 2000.0)
VOLUME_ML = Bound("a volume", "ml", 0.0, 200_000.0)
BAKING_MIN = Bound(
    "a time in the oven", "min", 0.0, 1440.0, 5.0, 240.0, "{} minutes in the oven are unusual",
    example="42",
)  # fmt: skip
STEAM_MIN = Bound("a time with steam", "min", 0.0, 60.0)
COOLING_MIN = Bound("a time to cool", "min", 0.0, 24 * 60.0)
FORECAST_H = Bound("a time", "h", 0.5, 24.0 * 60, example="24h")
SAMPLE_H = Bound("a time since mixing", "h", 0.25, 72.0, example="4h")
SAMPLE_G = Bound("a mass of dough in a small jar", "g", 5.0, 2000.0, example="60g")
SEED_SHARE = Bound(
    "ripe levain in percent of the flour,", "%", 0.0, 100.0, above=True, example="40"
)
PIECES = Bound("a number of pieces", "", 0.0, 10_000.0, above=True, example="8")
PIECES_MADE = Bound("a number of pieces", "", 1.0, 2000.0, example="8")
LOADS = Bound("a number of loads", "", 1.0, 100.0, example="2")
LOAVES_AT_ONCE = Bound("a number of loaves", "", 1.0, 200.0, example="4")
PACKS = Bound("a number of packs", "", 1.0, 1000.0, example="4")
RAISING_DAYS = Bound("a number of days", "", 1.0, 30.0, example="7")
PRICE = Bound("a price", "", 0.0, 1_000_000.0, example="9.50")
MARK = Bound("a mark", "", 1.0, 5.0)
ALTITUDE_M = Bound(
    "a height above the sea", "m", -450.0, 6000.0, example="1500m",
    source="ours: bread is baked from the shores of the Dead Sea to the highest towns, from memory",
)  # fmt: skip
MOISTURE = Bound("a moisture in percent of the flour as bought,", "", 4.0, 20.0)
PROTEIN = Bound("a protein in percent of the flour as bought,", "", 3.0, 40.0)
ASH = Bound("an ash in percent of the dry matter,", "", 0.2, 4.0)
FALLING_NUMBER = Bound(
    "a falling number", "s", 62.0, 600.0,
    source="62 s is the instrument's own stirring; above 600 s it no longer distinguishes flours",
)  # fmt: skip
ABSORPTION = Bound("an absorption in percent of the flour at 14 % moisture,", "", 40.0, 120.0)
PLACE_C = Bound("the temperature of a place for dough", "°C", -5.0, 50.0)
FRIDGE_C = Bound("the temperature of a fridge", "°C", 0.0, 12.0)
OUTDOORS_C = Bound("the temperature of the open air", "°C", -40.0, 50.0)
ANYWHERE_C = Bound("the temperature of a place", "°C", -40.0, 50.0)
SWING_K = Bound("half the way from coldest to warmest,", "K", 0.0, 15.0, example="2C")
SPREAD_K = Bound("how far a day strays,", "K", 0.0, 15.0, example="1C")
INSIDE_MM = Bound("a length inside a vessel", "mm", 20.0, 2000.0, example="12cm")
WALL_MM = Bound("the thickness of a wall", "mm", 0.05, 100.0, example="2mm")
POWER_KW = Bound("a power", "kW", 0.5, 500.0, example="9kW")
FLOUR_MOISTURE = Bound("a moisture to calculate at", "%", 0.0, 40.0, example="14")
FLOUR_PERCENT = Bound("a share", "%", 0.0, 100.0, example="12")
DRY_PROTEIN = Bound(
    "a protein in percent of the dry matter,", "%", 0.0, 90.0, example="12.5",
    source="ours: up to what is washed out of a flour and sold as gluten",
)  # fmt: skip
TYPE_ASH = Bound("an ash in percent of the dry matter,", "%", 0.2, 3.0, example="0.65")
RAISED_IN_L = Bound("a volume", "l", 0.05, 200.0, example="2l")
DOUGH_LOSS = Bound("a loss in percent of the dough,", "%", 0.0, 50.0, example="12%")
SALT = Bound("salt in percent of the flour,", "%", 0.0, 5.0, example="2")
HYDRATION = Bound("water in percent of the flour", "%", 30.0, 300.0, 50.0, 200.0, example="100")
LEVAIN_AGE_H = Bound("a time since its mix", "h", 0.0, 48.0, example="10h")

TABLE: tuple[Bound, ...] = tuple(each for each in list(globals().values()) if type(each) is Bound)
"""Every entry."""
