"""A culture from flour and water: the days, the readings of the display, and what it wastes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from fractions import Fraction
from math import ceil, floor, isnan
from typing import Any

from pointage.bounds import DAILY_FLOUR_G, RAISED_IN_L, RAISING_DAYS, STEP_G
from pointage.culture.raising import (
    RaisedDay,
    Raising,
    Sign,
    discard_total_g,
    flour_total_g,
    raise_days,
)
from pointage.culture.young import JUDGED_AT_C
from pointage.desk.now.cultures.young import LOOKED_AT
from pointage.errors import Faults, InputError
from pointage.language import mark, say
from pointage.mixture.flours import flour_record
from pointage.mixture.hold import TEMPERATURE_RANGE
from pointage.mixture.temperature.surroundings import Constant
from pointage.quantities import print_measure
from pointage.shown import warmth, warmth_span

SIZES_G = (25, 50, 100, 250, 600)
"""Daily flour of the sizes shown beside the one asked for; the last is the classic amount."""
WARM_PLACE = (21.0, 32.0)
"""A warm place, for raising: common practice, no source."""
BRIM = 0.95  # of a tub's volume may be used: ours
OPEN = mark("laid on loosely, so that air gets in")
CLOSED = mark("closed against drying and flies, but never tight: the gas must get out")

CAUTIONS = (
    mark("Raw flour and a young culture are not for tasting; wash hands and tub after each feed."),
    mark(
        "Mould, or pink or orange streaks: throw all of it away and begin again with a clean tub."
    ),
    mark("Never shut it tight in glass: gas can burst a jar."),
    mark(
        "Wheat, rye, barley and spelt are never gluten-free, whatever the fermentation, and not "
        "safe for coeliac disease."
    ),
)


@dataclass(frozen=True, slots=True)
class Tub:
    """What it is raised in: litres to the brim, and its tare in grams if it was ever weighed."""

    volume_l: float
    tare_g: Fraction | None = None


@dataclass(frozen=True, eq=False)
class RaisingAnswer:
    """The days asked for, from a course looked further ahead."""

    wish: Raising
    tub: Tub
    days: tuple[RaisedDay, ...]
    ahead: tuple[RaisedDay, ...]
    place: str
    warnings: tuple[str, ...]

    @property
    def ready_day(self) -> int | None:
        """The first day with even odds or better that it may be trusted."""
        return _ready_day(self.ahead)

    def readings(self, day: RaisedDay) -> dict[str, float | None]:
        """What the display must say: after pouring off, after the water, after the flour."""
        base = (self.tub.tare_g or Fraction()) + day.keep_g
        wet, whole = base + day.water_g, base + day.water_g + day.flour_g
        return {
            "after_pouring_off_g": float(base) if day.pour_off_g else None,
            "after_water_g": float(wet) if day.feeds else None,
            "after_flour_g": float(whole) if day.feeds else None,
        }

    def as_json(self) -> dict[str, Any]:
        """The JSON object of `pointage raise`. Readings count from the tare, or from 0 without."""
        tare = self.tub.tare_g
        return {
            "days": [self._day(day) for day in self.days],
            "flour_total_g": float(flour_total_g(self.days)),
            "discard_total_g": float(discard_total_g(self.days)),
            "ready_day": self.ready_day,
            "ready_odds": round(self.days[-1].ready, 2),
            "tare_g": None if tare is None else float(tare),
            "tare_if_unknown": None if tare is not None else say(TARE_UNKNOWN),
            "sizes": [_size(self, grams) for grams in SIZES_G],
            "warnings": list(self.warnings),
            "cautions": list(map(say, CAUTIONS)),
        }

    def _day(self, day: RaisedDay) -> dict[str, Any]:
        signs = day.signs()
        rise, ph = day.rise(), day.ph()
        return {
            "day": day.number,
            "hours": day.young.ends_h - 24.0,
            "do": "feed" if day.feeds else "stir and wait",
            "mix": {
                "keep_g": float(day.keep_g),
                "flour_g": float(day.flour_g),
                "water_g": float(day.water_g),
            },
            "total_g": float(day.total_g),
            "pour_off_g": float(day.pour_off_g),
            "display_g": float((self.tub.tare_g or Fraction()) + day.total_g),
            "readings": self.readings(day),
            "water_temperature_c": None if isnan(day.water_c) else round(day.water_c, 1),
            "mix_temperature_c": round(day.mix_c, 1),
            "lid": lid(day),
            "place": self.place,
            "expect": {
                "phase": day.phase.value,
                "rise": _band(rise),
                "ph": _band(ph),
                "see": signs["see"],
                "smell": signs["smell"],
                "feel": signs["feel"],
            },
            "if_not": signs["unless"],
            "ready_odds": round(day.ready, 2),
        }


TARE_UNKNOWN = mark(
    "Add the tub's tare to every reading. If it was never weighed empty: tip what "
    "is in it into another vessel at the next feed, weigh the tub, and tip back "
    "what is to be kept."
)


def lid(day: RaisedDay) -> str:
    """How the lid lies that day."""
    return say(OPEN if day.lid_open else CLOSED)


def raise_culture(
    *,
    kind: str,
    tub: Tub,
    celsius: float,
    days: int = 7,
    to_ready: bool = False,
    daily_flour_g: Fraction = Fraction(50),
    hydration: Fraction = Fraction(1),
    room_c: float | None = None,
    step_g: Fraction = Fraction(1),
    signs: Sequence[Sign] = (),
    start: datetime | None = None,
) -> RaisingAnswer:
    """How to raise a culture on `kind` in a tub that stands at `celsius`.

    to_ready: as many more days as it takes until it may be trusted. room_c: of the flour, the
    place's own when not given. Raises InputError with every fault, its field "flour-kind", "at",
    "daily-flour", "days", "hydration", "saw", "step" or "vessel"; of a tub that is too small it
    says the flour that it can take.
    """
    faults = Faults()
    take = faults.take
    take(flour_record, kind, field="flour-kind")
    take(check_place, celsius, "at")
    for each in signs:
        take(check_day, each, days, "saw")
    take(DAILY_FLOUR_G.check, daily_flour_g, "daily-flour")
    take(RAISING_DAYS.check, days, "days")
    take(RAISED_IN_L.check, tub.volume_l, "vessel")
    take(STEP_G.check, step_g, "step")
    faults.check()
    wish = Raising(
        flours={kind: 1.0},
        hydration=hydration,
        daily_flour_g=daily_flour_g,
        place=Constant(celsius),
        start=start or datetime(2026, 1, 1, 8, tzinfo=UTC),
        room_c=celsius if room_c is None else room_c,
        step_g=step_g,
    )
    ahead = raise_days(wish, max(days, LOOKED_AT), signs)
    asked = ahead[: max(days, _ready_day(ahead) or len(ahead)) if to_ready else days]
    _check_room(asked, tub, wish)
    return RaisingAnswer(
        wish,
        tub,
        asked,
        ahead,
        say("at {temperature}", temperature=warmth(celsius, tenths=True)),
        _warnings(celsius, ahead),
    )


def _ready_day(ahead: Sequence[RaisedDay]) -> int | None:
    return next((day.number for day in ahead if day.ready >= 0.5), None)


def check_place(celsius: float, field: str) -> None:
    """Raises InputError for a place beyond what the engine knows."""
    low, high = TEMPERATURE_RANGE
    if not low <= celsius <= high:
        expected = say("a temperature of {range}", range=warmth_span(low, high))
        raise InputError(field, warmth(celsius, tenths=True), expected)


def check_day(sign: Sign, days: int, field: str) -> None:
    """Raises InputError for a sign of a day after the last of `days`."""
    if sign.day > days:
        expected = say("one of the {days} days of --days", days=days)
        raise InputError(field, say("day {number}", number=sign.day), expected)


def litres_needed(days: Sequence[RaisedDay]) -> float:
    """The tub's volume that holds every day at its highest, with a little left to the brim."""
    return max(day.litres() for day in days) / BRIM


def _check_room(days: Sequence[RaisedDay], tub: Tub, wish: Raising) -> None:
    needed = litres_needed(days)
    if needed <= tub.volume_l:
        return
    fits = floor(float(wish.daily_flour_g) * tub.volume_l / needed / float(wish.step_g))
    most = fits * wish.step_g
    raise InputError(
        "vessel",
        print_measure(tub.volume_l, "l"),
        say(
            "{volume:g} l or more for what it rises to, or at most {most:g} g of flour a day",
            volume=ceil(needed * 10) / 10,
            most=float(most),
        ),
    )


def _size(answer: RaisingAnswer, grams: int) -> dict[str, float]:
    """What the same days would take and waste with another daily flour."""
    scale = Fraction(grams) / answer.wish.daily_flour_g
    return {
        "daily_flour_g": float(grams),
        "flour_total_g": round(float(flour_total_g(answer.days) * scale), 1),
        "discard_total_g": round(float(discard_total_g(answer.days) * scale), 1),
        "vessel_l": ceil(litres_needed(answer.days) * float(scale) * 10) / 10,
    }


def _warnings(celsius: float, ahead: Sequence[RaisedDay]) -> tuple[str, ...]:
    low, high = WARM_PLACE
    here, usual = warmth(celsius, tenths=True), warmth_span(low, high)
    if celsius > JUDGED_AT_C and not any(day.ready >= 0.5 for day in ahead):
        return (
            say(
                "At {here} it is unlikely to be ready within {days} days: most wild yeast "
                "grows little above {slow} and none above {none}, and what rises is "
                "then the gas of bacteria. Keep it at {usual}",
                here=here,
                days=len(ahead),
                slow=warmth(32),
                none=warmth(36),
                usual=warmth_span(24, 28),
            ),
        )
    if low <= celsius <= high:
        return ()
    if celsius < low:
        return (
            say(
                "{here} is colder than the {usual} usual for raising a culture (common "
                "practice, no source): each phase takes longer",
                here=here,
                usual=usual,
            ),
        )
    return (
        say(
            "{here} is warmer than the {usual} usual for raising a culture (common "
            "practice, no source): the unwanted flora stays longer and the yeast suffers",
            here=here,
            usual=usual,
        ),
    )


def _band(values: tuple[float, float, float]) -> dict[str, float]:
    return {name: round(v, 2) for name, v in zip(("p10", "p50", "p90"), values, strict=True)}
