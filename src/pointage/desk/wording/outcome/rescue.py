"""What went too far and what can still be made of it, in words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import timedelta

from pointage.desk.wording.amounts import percent
from pointage.language import mark, say, say_many, written
from pointage.quantities import print_duration
from pointage.shown import apart
from pointage.timetable.rescue.too_far import WARM_K, WEAK, Rescue, RescueKind, TooFar, TooFarKind

_G, _R = TooFarKind, RescueKind
HARDLY = 0.6
"""A dough with less of its strength hardly stands up: ours."""
SOURER = 0.15
"""So much less pH is tasted: ours."""
AT_ONCE_H = 0.25

TITLES: Mapping[TooFarKind, str] = {
    _G.LEVAIN: mark("The levain is past its best"),
    _G.DOUGH: mark("The dough has risen too far"),
    _G.PIECES: mark("The pieces have risen too far"),
    _G.COLD_PIECES: mark("The retard went too far"),
}
WAYS: Mapping[RescueKind, str] = {
    _R.USE_NOW: mark("Mix the dough with it now"),
    _R.MORE_LEVAIN: mark("Put all of it into a smaller dough"),
    _R.FEED_AGAIN: mark("Feed it again and wait"),
    _R.DIVIDE_NOW: mark("Divide it now"),
    _R.BAKE_NOW: mark("Bake now"),
    _R.SHAPE_AGAIN: mark("Shape again, proof again"),
    _R.TIN: mark("Use tins, not the hearth"),
    _R.FLAT: mark("Make flat bread"),
    _R.OLD_DOUGH: mark("Keep it for the next dough"),
}


def too_far_title(found: TooFar) -> str:
    """What went too far, as a heading."""
    return say(TITLES[found.kind])


def too_far_words(found: TooFar) -> str:
    """How far, and how that is known."""
    parts = []
    if found.kind is _G.LEVAIN:
        if found.past_h:
            parts.append(say("Past it for about {span}.", span=_span(found.past_h)))
    elif found.rise is not None and found.most is not None and found.rise > found.most:
        parts.append(
            say(
                "It stands at {rise}; the formula allows {most} at most.",
                rise=_times(found.rise), most=_times(found.most),
            )
        )  # fmt: skip
    elif found.past_h:
        parts.append(say("Past it for about {span}.", span=_span(found.past_h)))
    if found.warmer_k >= WARM_K:
        parts.append(
            say("It stood about {apart} warmer than meant.", apart=apart(found.warmer_k, 0))
        )
    parts.append(say("pH {ph} by now, as calculated.", ph=written(f"{found.ph:.1f}")))
    if not found.read:
        parts.append(say("Nobody has recorded a look at it: look before you choose."))
    return " ".join(parts)


def way_title(way: Rescue) -> str:
    """One way out, as an order."""
    return say(WAYS[way.kind])


def way_words(way: Rescue) -> str:
    """What to do and what it will be like."""
    return " ".join(filter(None, _WORDS[way.kind](way)))


def way_button(way: Rescue) -> str:
    """What records that it is done this way; empty for advice."""
    if way.kind is _R.TIN:
        return say("In tins, then")
    if way.kind is _R.MORE_LEVAIN:
        return say_many("{n} piece, then", "{n} pieces, then", way.pieces or 0)
    return ""


def grounds(way: Rescue) -> str:
    """What the words rest on."""
    if way.practice:
        return say("Common practice, not calculated.")
    return say("Calculated from how it stands; at the bench the dough decides.")


def _use_now(way: Rescue) -> list[str]:
    return [_bulk(way), _acid(way), _strength(way)]


def _more(way: Rescue) -> list[str]:
    pieces = say_many("{n} piece", "{n} pieces", way.pieces or 0)
    first = say(
        "{pieces} instead of all, with flour and water moved so that the dough stays as wet.",
        pieces=pieces,
    )
    return [first, _bulk(way), _acid(way), _strength(way)]


def _feed_again(way: Rescue) -> list[str]:
    assert way.hours is not None, "a way of its own only where it ripens"
    return [
        say("As its last build was fed; ripe in about {span}.", span=_span(way.hours)),
        say("All that follows is that much later, and the bread as it was meant."),
    ]


def _divide(way: Rescue) -> list[str]:
    if way.hours is None:
        proof = _comes_to(way)
    elif way.hours < AT_ONCE_H:
        proof = say("Handle it little, and bake as soon as it is shaped and the oven hot.")
    elif way.meant_h is None:
        proof = say("Handle it little; warm, its proof takes about {span}.", span=_span(way.hours))
    else:
        proof = say(
            "Handle it little; its proof takes about {span} instead of {meant}.",
            span=_span(way.hours), meant=_span(way.meant_h),
        )  # fmt: skip
    return [proof, _acid(way), _strength(way)]


def _bake(way: Rescue) -> list[str]:
    return [
        say("Straight into the oven, hardly scored: it springs little."),
        _acid(way),
        _strength(way),
    ]


def _shape(way: Rescue) -> list[str]:
    assert way.hours is not None, "a way of its own only where it rises"
    return [
        say(
            "Press the gas out and shape it tight; risen again in about {span}.",
            span=_span(way.hours),
        ),
        say("The crumb is closer and more even, and sourer: pH {ph}.", ph=_ph(way.ph)),
    ]


def _tin(way: Rescue) -> list[str]:
    proof = "" if way.hours is None else say("Risen again in about {span}.", span=_span(way.hours))
    return [
        say("The tin holds what the dough no longer can: oil it and fill it half."),
        proof or _comes_to(way),
        say("A closer crumb, a flatter top, no worse to eat."),
    ]


def _flat(way: Rescue) -> list[str]:
    return [
        say(
            "Press it out in an oiled tray, or roll it thin for a hot pan, and bake it through. "
            "That needs no strength: good the same day, a little sour."
        )
    ]


def _old_dough(way: Rescue) -> list[str]:
    return [
        say(
            "Covered in the fridge for two days at most; up to a fifth of the next dough. "
            "It brings flavour and acid, and no rise to count on."
        )
    ]


def _bulk(way: Rescue) -> str:
    if way.hours is None:
        return _comes_to(way)
    if way.meant_h is None:
        return say("The bulk takes about {span}.", span=_span(way.hours))
    if abs(way.hours - way.meant_h) < AT_ONCE_H:
        return say("The bulk takes as long as planned.")
    return say(
        "The bulk takes about {span} instead of {meant}.",
        span=_span(way.hours), meant=_span(way.meant_h),
    )  # fmt: skip


def _comes_to(way: Rescue) -> str:
    if way.rise is None:
        return ""
    return say("It comes to {rise} at most, and then falls.", rise=_times(way.rise))


def _acid(way: Rescue) -> str:
    if way.ph is None or way.meant_ph is None:
        return ""
    if way.meant_ph - way.ph < SOURER:
        return say("Hardly sourer than meant.")
    return say("Sourer: pH {ph} instead of {meant}.", ph=_ph(way.ph), meant=_ph(way.meant_ph))


def _strength(way: Rescue) -> str:
    if way.strength is None:
        return ""
    if way.strength >= WEAK:
        return say("The dough is about as strong as meant.")
    share = percent(way.strength)
    if way.strength < HARDLY:
        return say("It hardly stands up: {share} of the strength it was to have.", share=share)
    return say("It spreads more: {share} of the strength it was to have.", share=share)


def _span(hours: float) -> str:
    """To five minutes below three hours, else to the half hour."""
    step = 5 if hours < 3 else 30
    return print_duration(timedelta(minutes=max(step * round(60 * hours / step), 5)))


def _times(rise: float) -> str:
    return written(f"{rise:.1f}")


def _ph(ph: float | None) -> str:
    return "" if ph is None else written(f"{ph:.1f}")


_WORDS: Mapping[RescueKind, Callable[[Rescue], list[str]]] = {
    _R.USE_NOW: _use_now,
    _R.MORE_LEVAIN: _more,
    _R.FEED_AGAIN: _feed_again,
    _R.DIVIDE_NOW: _divide,
    _R.BAKE_NOW: _bake,
    _R.SHAPE_AGAIN: _shape,
    _R.TIN: _tin,
    _R.FLAT: _flat,
    _R.OLD_DOUGH: _old_dough,
}
