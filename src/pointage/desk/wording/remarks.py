"""The sentence of each remark."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from zoneinfo import ZoneInfo

from pointage.desk.wording.arguments import Arguments, in_place
from pointage.desk.wording.odds import odds_words
from pointage.language import mark, say, within
from pointage.quantities import print_number
from pointage.timetable.remark import Remark, RemarkCode


def remark_words(remark: Remark, zone: ZoneInfo) -> str:
    """A sentence, or two; an author's own text as it stands."""
    if remark.code is RemarkCode.AUTHOR:
        return remark.text
    said = _SENTENCES[remark.code]
    return say(said) if isinstance(said, str) else said(Arguments(remark.about, zone))


def _culture_from(it: Arguments) -> str:
    return say(
        "{culture} from the {place}, mixed in well.",
        culture=it.name("culture"),
        place=within(it.name("place")),
    )


def _all_left(it: Arguments) -> str:
    return _then_put(
        it, say("Feed what is left of {culture} up to {mass:.0f} g", **_culture_and_mass(it))
    )


def _some_left(it: Arguments) -> str:
    return _then_put(
        it,
        say(
            "Feed a little of what is left of {culture} up to {mass:.0f} g", **_culture_and_mass(it)
        ),
    )


def _culture_and_mass(it: Arguments) -> dict[str, object]:
    return {"culture": it.name("culture"), "mass": it.number("mass")}


def _then_put(it: Arguments, fed: str) -> str:
    place = in_place(it.name("place"))
    if not it.has("hours"):
        return say("{fed}, then put it {place}.", fed=fed, place=place)
    return say(
        "{fed}, and leave it {hours:.0f} h {warm}, then put it {place}.",
        fed=fed,
        hours=it.number("hours"),
        warm=in_place(it.name("warm_place")),
        place=place,
    )


def _keeping(it: Arguments) -> str:
    discard = it.number("discard")
    first = say("Discard the other {mass:.0f} g.", mass=discard) if discard >= 0.5 else ""
    place = in_place(it.name("place"))
    if it.has("then"):
        stands = say(
            "Leave it {place}; move it at about {at} to the {then}.",
            place=place,
            at=it.clock("moved"),
            then=within(it.name("then")),
        )
    else:
        stands = say("Leave it {place}.", place=place)
    return f"{first} {stands}" if first else stands


def _chilled(it: Arguments) -> str:
    if it.has("out"):
        return say(
            "At about {at} into the {place}, at {out} out of it again: then it stands in the warm "
            "until {until}, when it is ripe.",
            at=it.clock("at"),
            place=within(it.name("place")),
            out=it.clock("out"),
            until=it.clock("until"),
        )
    return say(
        "When it has risen most of the way, at about {at}, into the {place} until {until}. Still "
        "low then: leave it in the warm until it is ripe.",
        at=it.clock("at"),
        place=within(it.name("place")),
        until=it.clock("until"),
    )


def _lid_ajar(it: Arguments) -> str:
    vessel = it.name("vessel", say("Its vessel"))
    return say("{vessel} closes tight: leave its lid ajar, for gas can burst it.", vessel=vessel)


def _brim(it: Arguments) -> str:
    larger, litres = it.name("larger"), print_number(it.number("volume"))
    vessel = it.name("vessel", say("its vessel"))
    return say(
        "It may overflow {vessel} at about {at}: {odds}; {instead}.",
        vessel=vessel,
        at=it.clock("at"),
        odds=odds_words(it.number("odds")),
        instead=say("{larger} would hold it", larger=larger)
        if larger
        else say("it needs {litres} l, or two vessels", litres=litres),
    )


def _dough_out_of_reach(it: Arguments) -> str:
    return say(
        "Water alone cannot bring it to {temperature}; it comes to {reached}, and the "
        "times below are for that.",
        temperature=it.warmth("temperature"),
        reached=it.warmth("reached"),
    )


def _baked_through(it: Arguments) -> str:
    mass = it.number("mass")
    return say(
        "Done at {core} in the core; a piece then weighs about {mass:.0f} g.",
        core=it.warmth("core"),
        mass=mass,
    )


_SENTENCES: Mapping[RemarkCode, str | Callable[[Arguments], str]] = {
    RemarkCode.CULTURE_FROM: _culture_from,
    RemarkCode.FEED_ALL_LEFT: _all_left,
    RemarkCode.FEED_SOME_LEFT: _some_left,
    RemarkCode.KEEPING: _keeping,
    RemarkCode.CHILLED: _chilled,
    RemarkCode.LID_LOOSE: mark("Lid loose: gas can burst a sealed jar."),
    RemarkCode.LID_AJAR: _lid_ajar,
    RemarkCode.BRIM: _brim,
    RemarkCode.SOAK_COVERED: mark("Covered, at room temperature."),
    RemarkCode.SCALD_AT_ONCE: (
        mark("Boiling water over the flour, stirred at once: it scalds hands as well. Covered.")
    ),
    RemarkCode.DOUGH_WANTED: lambda it: say(
        "For a dough at {temperature}.", temperature=it.warmth("temperature")
    ),
    RemarkCode.DOUGH_OUT_OF_REACH: _dough_out_of_reach,
    RemarkCode.OLD_DOUGH: (
        mark("The times do not count the old dough's own yeast: look at it sooner.")
    ),
    RemarkCode.RAW_FLOUR: mark("Raw flour and dough are not for tasting."),
    RemarkCode.BULK_RISE: lambda it: say(
        "Until it has risen to {rise:.3g} times its volume.", rise=it.number("rise")
    ),
    RemarkCode.FOLDING: mark("Wet your hands, fold over all four sides, cover again."),
    RemarkCode.LATE_WATER: (
        lambda it: say(
            "The water at {temperature}, worked in first.", temperature=it.warmth("temperature")
        )
    ),
    RemarkCode.PIECES_OF: (
        lambda it: say(
            "{pieces:.0f} pieces of {mass:g} g.", pieces=it.number("pieces"), mass=it.number("mass")
        )
    ),
    RemarkCode.PROOF_RISE: (
        lambda it: say(
            "Covered, until about {rise:.3g} times the volume after mixing.", rise=it.number("rise")
        )
    ),
    RemarkCode.NO_FRIDGE: mark("This kitchen has no fridge: proofed warm, not retarded."),
    RemarkCode.BAKED_THROUGH: _baked_through,
    RemarkCode.STEAM_SCALDS: mark("Stand aside when you open the door: steam scalds."),
    RemarkCode.ON_RACKS: mark("On a rack, uncovered, before cutting."),
    RemarkCode.MOULD: (
        mark(
            "Mould, or pink or orange streaks, on a culture: throw all of it away and "
            "start from a backup."
        )
    ),
    RemarkCode.GLUTEN: (
        mark(
            "Wheat, rye, barley and spelt are never gluten-free, whatever the "
            "fermentation, and not safe for coeliac disease."
        )
    ),
}
