"""Why bread came out as it did, in words: each cause, what speaks for it, and what to change."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import timedelta

from pointage.desk.wording.amounts import lower_first
from pointage.language import mark, say
from pointage.quantities import print_duration
from pointage.shown import warmth
from pointage.timetable.why.causes import BakeCause, Finding
from pointage.timetable.why.signs import SHOWS, BreadSign, CauseKind

_K = CauseKind
SIGNS: Mapping[BreadSign, str] = {
    BreadSign.DENSE: mark("dense, heavy for its size"),
    BreadSign.GUMMY: mark("gummy crumb"),
    BreadSign.FLAT: mark("flat, it spread"),
    BreadSign.TUNNELS: mark("tunnels or a few large holes"),
    BreadSign.PALE: mark("pale crust"),
    BreadSign.DARK: mark("dark or burnt crust"),
    BreadSign.BURST: mark("burst at the side"),
    BreadSign.TOO_SOUR: mark("too sour"),
    BreadSign.NOT_SOUR: mark("not sour enough"),
    BreadSign.STALES: mark("stales soon"),
}
TITLES: Mapping[CauseKind, str] = {
    _K.SHORT_BULK: mark("The bulk ended too early"),
    _K.LONG_BULK: mark("The bulk went on too long"),
    _K.COLD_DOUGH: mark("The dough was too cold"),
    _K.WARM_DOUGH: mark("The dough was too warm"),
    _K.COLD_PLACE: mark("It stood too cold during the bulk"),
    _K.WARM_PLACE: mark("It stood too warm during the bulk"),
    _K.YOUNG_LEVAIN: mark("The levain was used before it was ripe"),
    _K.OLD_LEVAIN: mark("The levain was past its best"),
    _K.SLOW_CULTURE: mark("The culture was slower than it had been"),
    _K.QUICK_CULTURE: mark("The culture was quicker than it had been"),
    _K.SHORT_PROOF: mark("The proof was too short"),
    _K.LONG_PROOF: mark("The proof was too long"),
    _K.COOL_OVEN: mark("The oven was too cool"),
    _K.HOT_OVEN: mark("The oven was too hot"),
    _K.SHORT_BAKE: mark("It came out of the oven too early"),
    _K.LONG_BAKE: mark("It was in the oven too long"),
    _K.NO_STEAM: mark("The oven was baked in without steam"),
}
_NEXT: Mapping[CauseKind, str] = {
    _K.SHORT_BULK: mark("Next time end the bulk by its rise, not by the clock."),
    _K.LONG_BULK: mark("Next time look earlier, and divide as soon as it has risen as wanted."),
    _K.COLD_DOUGH: mark("Next time warm the water until the dough comes to its temperature."),
    _K.WARM_DOUGH: mark("Next time cool the water until the dough comes to its temperature."),
    _K.COLD_PLACE: mark("Next time give it a warmer place, or longer."),
    _K.WARM_PLACE: mark("Next time give it a cooler place, or less time."),
    _K.YOUNG_LEVAIN: mark("Next time wait until the levain is ripe before the dough is mixed."),
    _K.OLD_LEVAIN: mark("Next time mix sooner, or build the levain later or with less seed."),
    _K.SLOW_CULTURE: mark("Next time feed the culture twice in a warm place before the build."),
    _K.QUICK_CULTURE: mark("Next time look earlier: the culture does its work in less time."),
    _K.SHORT_PROOF: mark("Next time proof longer, until a dent fills slowly."),
    _K.LONG_PROOF: mark("Next time bake sooner: a dent should still fill, slowly."),
    _K.COOL_OVEN: mark("Next time heat the oven longer, and check it with a thermometer."),
    _K.HOT_OVEN: mark("Next time bake at the formula's temperature."),
    _K.SHORT_BAKE: mark("Next time bake on until the core has its temperature."),
    _K.LONG_BAKE: mark("Next time take it out as soon as the core has its temperature."),
    _K.NO_STEAM: mark("Next time steam well for the first quarter of an hour."),
}


def sign_words(sign: BreadSign) -> str:
    """What was seen, as it is asked for."""
    return say(SIGNS[sign])


def signs_words(names: Iterable[str]) -> list[str]:
    """Each sign of a tasting that this version knows."""
    known = set(names)
    return [say(words) for sign, words in SIGNS.items() if sign.value in known]


def cause_title(kind: CauseKind) -> str:
    """What went wrong, as a sentence without its stop."""
    return say(TITLES[kind])


def next_change(kind: CauseKind) -> str:
    """The one thing to do otherwise the next time."""
    return say(_NEXT[kind])


def evidence_words(cause: BakeCause) -> str:
    """What in the record speaks for it; else that only practice does."""
    finding = cause.finding
    if finding is None:
        return say("The record neither shows it nor rules it out; these signs usually mean it.")
    return _EVIDENCE[cause.kind](finding)


def practice(sign: BreadSign) -> str:
    """What usually causes a sign, the likeliest three: common practice, no source."""
    likeliest = sorted(
        (kind for kind, shows in SHOWS.items() if sign in shows),
        key=lambda kind: -SHOWS[kind][sign],
    )
    causes = "; ".join(lower_first(cause_title(kind)) for kind in likeliest[:3])
    return say("{sign}: {causes}.", sign=sign_words(sign).capitalize(), causes=causes)


def _hours(it: Finding) -> str:
    return say(
        "It took {was}; {meant} was planned.", was=_span(60 * it.was), meant=_span(60 * it.meant)
    )


def _dough(it: Finding) -> str:
    return say(
        "The dough was at {was} after the mix; {meant} was wanted.",
        was=warmth(it.was, tenths=True), meant=warmth(it.meant, tenths=True),
    )  # fmt: skip


def _place(it: Finding) -> str:
    return say(
        "Where it stood it was {was}; the plan expected {meant}.",
        was=warmth(it.was), meant=warmth(it.meant),
    )  # fmt: skip


def _young(it: Finding) -> str:
    return say(
        "It was used {was} after its feed; ripe it would have been from {meant} on.",
        was=_span(60 * it.was), meant=_span(60 * it.meant),
    )  # fmt: skip


def _old(it: Finding) -> str:
    if it.was <= it.meant:
        return say("It had fallen before the dough was mixed.")
    return say(
        "It was used {was} after its feed; it stays ripe until about {meant}.",
        was=_span(60 * it.was), meant=_span(60 * it.meant),
    )  # fmt: skip


def _rises(it: Finding) -> str:
    return say(
        "It had risen to {was} at the dividing, and by its past should have been at {meant}.",
        was=f"{it.was:.2f}", meant=f"{it.meant:.2f}",
    )  # fmt: skip


def _oven(it: Finding) -> str:
    return say(
        "The oven stood at {was}; the formula wants {meant}.",
        was=warmth(it.was), meant=warmth(it.meant),
    )  # fmt: skip


def _baked(it: Finding) -> str:
    return say("It was in for {was}; {meant} was meant.", was=_span(it.was), meant=_span(it.meant))


def _core(it: Finding) -> str:
    return say(
        "Its core was at {was}; {meant} is done.",
        was=warmth(it.was, tenths=True), meant=warmth(it.meant, tenths=True),
    )  # fmt: skip


def _span(minutes: float) -> str:
    """Minutes, to five of them from an hour up."""
    return print_duration(timedelta(minutes=minutes if minutes < 60 else 5 * round(minutes / 5)))


_EVIDENCE: Mapping[CauseKind, Callable[[Finding], str]] = {
    _K.SHORT_BULK: _hours,
    _K.LONG_BULK: _hours,
    _K.COLD_DOUGH: _dough,
    _K.WARM_DOUGH: _dough,
    _K.COLD_PLACE: _place,
    _K.WARM_PLACE: _place,
    _K.YOUNG_LEVAIN: _young,
    _K.OLD_LEVAIN: _old,
    _K.SLOW_CULTURE: _rises,
    _K.QUICK_CULTURE: _rises,
    _K.SHORT_PROOF: _hours,
    _K.LONG_PROOF: _hours,
    _K.COOL_OVEN: _oven,
    _K.HOT_OVEN: _oven,
    _K.SHORT_BAKE: lambda it: _core(it) if it.core else _baked(it),
    _K.LONG_BAKE: _baked,
    _K.NO_STEAM: lambda _: say("It was recorded as baked without steam."),
}
