"""What there is to know of a forecast or a bake whose figures it was not made for."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pointage.heat.flag import Flag, FlagCode
from pointage.language import say
from pointage.shown import warmth, warmth_span


def flag_words(flag: Flag) -> str:
    """A sentence without its capital and its full stop."""
    return _SENTENCES[flag.code](flag)


def _mass(it: Flag) -> str:
    return say(
        "mass {value:.4g} g is outside {low:g} to {high:g} g, where this calculation was tried: "
        "take it as a guess",
        value=it.value,
        low=it.low,
        high=it.high,
    )


def _oven(it: Flag) -> str:
    return say(
        "oven {value:.4g} °C is outside {low:g} to {high:g} °C, where this calculation was tried: "
        "take it as a guess",
        value=it.value,
        low=it.low,
        high=it.high,
    )


def _altitude(it: Flag) -> str:
    return say(
        "altitude {value:.4g} m is outside {low:g} to {high:g} m, where this calculation was "
        "tried: take it as a guess",
        value=it.value,
        low=it.low,
        high=it.high,
    )


def _start(it: Flag) -> str:
    return say(
        "start {value:.4g} °C is outside {low:g} to {high:g} °C, where this calculation was tried: "
        "take it as a guess",
        value=it.value,
        low=it.low,
        high=it.high,
    )


def _raw(it: Flag) -> str:
    return say(
        "a core {below_boiling:.0f} K below boiling is not baked through: at the sea bread is "
        "done at 93 to 99 °C (common practice)",
        below_boiling=it.value,
    )


def _dark(it: Flag) -> str:
    return say(
        "the crust is above {temperature} from minute {minute:.0f} and will be dark long before "
        "the core is done: a cooler oven, or cover it",
        temperature=warmth(it.low),
        minute=it.value,
    )


def _hydration(it: Flag) -> str:
    return say(
        "hydration {hydration:.0%} is outside {low:.0%} to {high:.0%}, the range the forecast was "
        "made for",
        hydration=it.value,
        low=it.low,
        high=it.high,
    )


def _salt(it: Flag) -> str:
    return say(
        "salt {salt:.1%} of flour is above {high:.0%}, the range the forecast was made for",
        salt=it.value,
        high=it.high,
    )


def _warm_for_yeast(it: Flag) -> str:
    return say(
        "{warmest} is above {limit}, where the yeast of many cultures fades: what rises there may "
        "be the gas of bacteria",
        warmest=warmth(it.value),
        limit=warmth(it.low),
    )


def _temperature(it: Flag) -> str:
    return say(
        "{temperature} is outside {range}, the range the forecast was made for",
        temperature=warmth(it.value),
        range=warmth_span(it.low, it.high),
    )


_SENTENCES: Mapping[FlagCode, Callable[[Flag], str]] = {
    FlagCode.MASS: _mass,
    FlagCode.OVEN: _oven,
    FlagCode.ALTITUDE: _altitude,
    FlagCode.START: _start,
    FlagCode.RAW: _raw,
    FlagCode.DARK: _dark,
    FlagCode.HYDRATION: _hydration,
    FlagCode.SALT: _salt,
    FlagCode.WARM_FOR_YEAST: _warm_for_yeast,
    FlagCode.TEMPERATURE: _temperature,
}
