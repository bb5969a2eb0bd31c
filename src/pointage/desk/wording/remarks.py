"""The sentence of each remark."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from zoneinfo import ZoneInfo

from pointage.desk.wording.arguments import Arguments, in_place, within
from pointage.desk.wording.odds import odds_words
from pointage.quantities import print_number
from pointage.timetable.remark import Remark, RemarkCode


def remark_words(remark: Remark, zone: ZoneInfo) -> str:
    """A sentence, or two; an author's own text as it stands."""
    if remark.code is RemarkCode.AUTHOR:
        return remark.text
    said = _SENTENCES[remark.code]
    return said if isinstance(said, str) else said(Arguments(remark.about, zone))


def _culture_from(it: Arguments) -> str:
    return f"{it.name('culture')} from the {within(it.name('place'))}, mixed in well."


def _feed_left(what: str) -> Callable[[Arguments], str]:
    def say(it: Arguments) -> str:
        fed = f"Feed {what} of {it.name('culture')} up to {it.number('mass'):.0f} g"
        if it.has("hours"):
            warm = in_place(it.name("warm_place"))
            fed += f", and leave it {it.number('hours'):.0f} h {warm}"
        return f"{fed}, then put it {in_place(it.name('place'))}."

    return say


def _keeping(it: Arguments) -> str:
    discard = it.number("discard")
    first = f"Discard the other {discard:.0f} g. " if discard >= 0.5 else ""
    stands = f"Leave it {in_place(it.name('place'))}"
    then = ""
    if it.has("then"):
        then = f"; move it at about {it.clock('moved')} to the {within(it.name('then'))}"
    return f"{first}{stands}{then}."


def _lid_ajar(it: Arguments) -> str:
    vessel = it.name("vessel", "Its vessel")
    return f"{vessel} closes tight: leave its lid ajar, for gas can burst it."


def _brim(it: Arguments) -> str:
    vessel, odds = it.name("vessel", "its vessel"), it.number("odds")
    larger, litres = it.name("larger"), print_number(it.number("volume"))
    instead = f"{larger} would hold it" if larger else f"it needs {litres} l, or two vessels"
    return f"It may overflow {vessel} at about {it.clock('at')}: {odds_words(odds)}; {instead}."


def _dough_out_of_reach(it: Arguments) -> str:
    return (
        f"Water alone cannot bring it to {it.warmth('temperature')}; it comes to "
        f"{it.warmth('reached')}, and the times below are for that."
    )


def _baked_through(it: Arguments) -> str:
    mass = it.number("mass")
    return f"Done at {it.warmth('core')} in the core; a piece then weighs about {mass:.0f} g."


_SENTENCES: Mapping[RemarkCode, str | Callable[[Arguments], str]] = {
    RemarkCode.CULTURE_FROM: _culture_from,
    RemarkCode.FEED_ALL_LEFT: _feed_left("what is left"),
    RemarkCode.FEED_SOME_LEFT: _feed_left("a little of what is left"),
    RemarkCode.KEEPING: _keeping,
    RemarkCode.LID_LOOSE: "Lid loose: gas can burst a sealed jar.",
    RemarkCode.LID_AJAR: _lid_ajar,
    RemarkCode.BRIM: _brim,
    RemarkCode.SOAK_COVERED: "Covered, at room temperature.",
    RemarkCode.SCALD_AT_ONCE: (
        "Boiling water over the flour, stirred at once: it scalds hands as well. Covered."
    ),
    RemarkCode.DOUGH_WANTED: lambda it: f"For a dough at {it.warmth('temperature')}.",
    RemarkCode.DOUGH_OUT_OF_REACH: _dough_out_of_reach,
    RemarkCode.OLD_DOUGH: ("The times do not count the old dough's own yeast: look at it sooner."),
    RemarkCode.RAW_FLOUR: "Raw flour and dough are not for tasting.",
    RemarkCode.BULK_RISE: lambda it: (
        f"Until it has risen to {it.number('rise'):.3g} times its volume."
    ),
    RemarkCode.FOLDING: "Wet your hands, fold over all four sides, cover again.",
    RemarkCode.LATE_WATER: (
        lambda it: f"The water at {it.warmth('temperature')}, worked in first."
    ),
    RemarkCode.PIECES_OF: (
        lambda it: f"{it.number('pieces'):.0f} pieces of {it.number('mass'):g} g."
    ),
    RemarkCode.PROOF_RISE: (
        lambda it: f"Covered, until about {it.number('rise'):.3g} times the volume after mixing."
    ),
    RemarkCode.BAKED_THROUGH: _baked_through,
    RemarkCode.STEAM_SCALDS: "Stand aside when you open the door: steam scalds.",
    RemarkCode.ON_RACKS: "On a rack, uncovered, before cutting.",
    RemarkCode.MOULD: (
        "Mould, or pink or orange streaks, on a culture: throw all of it away and start from a "
        "backup."
    ),
    RemarkCode.GLUTEN: (
        "Wheat, rye, barley and spelt are never gluten-free, whatever the fermentation, and not "
        "safe for coeliac disease."
    ),
}
