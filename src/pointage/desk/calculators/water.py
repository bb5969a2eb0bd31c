"""Which water makes a mix the wanted temperature: by heat balance, and by the trade's factors."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from fractions import Fraction

from pointage.bounds import (
    ALTITUDE_M,
    FRICTION_K,
    INGREDIENT_C,
    MIX_WANTED_C,
    PART_G,
    ROOM_C,
    VESSEL_C,
    WARMEST_WATER_C,
    WATER_C,
    Bound,
)
from pointage.errors import Complaint, Faults, InputError
from pointage.formula.warmth import (
    ICE,
    freezable,
    hydration_of,
    is_alive,
    is_flour,
    kinds,
)
from pointage.formula.water import (
    PREFERMENTS,
    STOP_C,
    DoughWorking,
    Ingoing,
    WaterFound,
    WaterQuestion,
    answer,
)
from pointage.heat.materials import heat_capacities
from pointage.language import say
from pointage.mixture.flours import LIMITS, checked_figure
from pointage.quantities import parse_duration, print_number, split_number
from pointage.science.boiling_point import boiling_point
from pointage.science.heat_balance import HeatPart
from pointage.science.mixing_work import LONGEST_MIN, MIXING_WORK
from pointage.shown import apart, apart_as_shown, at_least, at_most, warmth

COLD_TAP_C = 4.0
SCALDS_C = 50.0  # of skin, within a minute: common practice, no source
AGREE_K = 0.5
NO_WATER_C = 1000.0  # beyond it a figure says no more than that no water is so hot


@dataclass(frozen=True, slots=True)
class WaterAnswer:
    """The water's temperature in °C by both methods, the ice in grams, and what to know of them.

    water_g: all of it, ice and water. factor_method_c is None without flour among the parts; ice_g
    is 0 when no tap is named. friction_k: what working warms the mix by; wetting_k: what wetting
    the flour would, which is in friction_k when that was calculated from the way of mixing. `why`
    says in a sentence how the methods come to differ.
    """

    water_g: Fraction
    water_temperature_c: float
    factor_method_c: float | None
    ice_g: float
    friction_k: float
    wetting_k: float
    warnings: tuple[str, ...]
    why: str

    def as_json(self) -> dict[str, object]:
        """One JSON object; temperatures to 0.01 °C and ice to 0.1 g."""
        factor = self.factor_method_c
        return {
            "water_temperature_c": round(self.water_temperature_c, 2),
            "factor_method_c": None if factor is None else round(factor, 2),
            "ice_g": round(self.ice_g, 1),
            "warnings": list(self.warnings),
            "why": self.why,
            "liquid_g": round(float(self.water_g) - self.ice_g, 1),
            "friction_k": round(self.friction_k, 2),
            "wetting_k": round(self.wetting_k, 2),
        }


def water_for(
    target: str,
    water: str,
    parts: Sequence[str],
    *,
    vessel: str | None = None,
    friction: str | None = None,
    mixing: Sequence[str] = (),
    tap: str | None = None,
    room: str | None = None,
    scald: bool = False,
    altitude: str = "0m",
    moisture: str | None = None,
) -> WaterAnswer:
    """The water for a mix, each quantity as a person writes it ("25C", "600g", "flour:600g@18C").

    scald: there is no yeast in it, so that the water may be up to boiling at that altitude.
    moisture: of the flour among the parts, percent; None for what the tables have.

    Raises InputError naming each option whose quantity cannot be read or is out of its range; where
    all can, the target that no water makes, with which can be reached.
    """
    faults = Faults()
    take = faults.take
    boils_c = boils("0m")  # where the altitude is at fault
    with faults:
        boils_c = boils(altitude)
    wanted_c = take(_to_boiling, MIX_WANTED_C, target, "--target", boils_c)
    water_g = take(PART_G.grams, water, "--water")
    if not parts:
        expected = say("at least one, such as flour:600g@18C")
        faults.found.append(InputError("--part", Complaint(say("none")), expected))
    before = len(faults.found)
    given = tuple(take(_part, text, boils_c) for text in parts)
    if len(faults.found) == before:
        take(_refuse_idle, given, moisture, room, scald)
    damp = None if moisture is None else take(_moisture, moisture)
    pot = None if vessel is None else take(_vessel, vessel)
    gained = take(_friction, friction, mixing)
    room_c = None if room is None else take(ROOM_C.read, room, "--room")
    tap_c = None if tap is None else take(_to_boiling, WATER_C, tap, "--tap", boils_c)
    faults.check()
    if damp is not None:
        given = tuple(replace(p, moisture=damp) if is_flour(p.kind) else p for p in given)
    question = WaterQuestion(
        wanted_c=wanted_c,
        water_kg=float(water_g) / 1000,
        parts=given,
        vessel=pot,
        friction=gained,
        room_c=room_c,
        tap_c=tap_c,
        stop_c=boils_c if scald else STOP_C,
    )
    found = answer(question)
    if found.nearest_c is not None:
        raise InputError("--target", target, unreachable(question, found, say("; or --scald")))
    return WaterAnswer(
        water_g=water_g,
        water_temperature_c=found.water_c,
        factor_method_c=found.factor_c,
        ice_g=1000 * found.ice_kg,
        friction_k=question.gained_k,
        wetting_k=question.wetting_k,
        warnings=warnings(question, found),
        why=f"{why(question, found)} {wetting(question)}".strip(),
    )


def _refuse_idle(
    parts: Sequence[Ingoing], moisture: str | None, room: str | None, scald: bool
) -> None:
    """Refuse what is given and has no effect on such a mix, and a scald of what lives."""
    faults = Faults()
    found = faults.found
    if scald and (alive := next((each.name for each in parts if is_alive(each.kind)), "")):
        both = say("this together with a {part}", part=alive)
        expected = say("one or the other, because a scald kills yeast")
        found.append(InputError("--scald", both, expected))
    if not any(is_flour(each.kind) for each in parts):
        for field, value in (("--room", room), ("--moisture", moisture)):
            if value is not None:
                expected = say("a flour among the --part, because it has no effect without one")
                found.append(InputError(field, repr(value), expected))
    elif room is not None and scald:
        expected = say(
            "--scald left out, or --room: the room counts in the factor method for doughs only"
        )
        found.append(InputError("--room", repr(room), expected))
    faults.check()


def unreachable(question: WaterQuestion, found: WaterFound, otherwise: str = "") -> str:
    """What can be had instead of a mix that no water makes, and why, as the end of a sentence.

    otherwise: how to have hotter water all the same, where there is no yeast in it.
    """
    assert found.nearest_c is not None
    if found.water_c > question.stop_c:
        way = say("{nearest} or less, or more water", nearest=at_most(found.nearest_c))
        if question.stop_c == STOP_C:
            alive = any(is_alive(each.kind) for each in question.parts)
            limit = say(
                "{hottest} is the limit, because yeast dies from about there",
                hottest=warmth(STOP_C),
            )
            if otherwise and not alive:
                limit = say(
                    "{limit}{otherwise}, if there is no yeast in it",
                    limit=limit,
                    otherwise=otherwise,
                )
        else:
            limit = say("it boils at {temperature}", temperature=warmth(question.stop_c))
        return say(
            "{way}: it would take water at {temperature}, and {limit}",
            way=way,
            temperature=warmth(found.water_c) if found.water_c < NO_WATER_C else _beyond(),
            limit=limit,
        )
    nearest = at_least(found.nearest_c)
    return say(
        "{nearest} or more, or colder parts: it would take more ice than there is water",
        nearest=nearest,
    )


def _beyond() -> str:
    return say("more than {hottest}", hottest=warmth(NO_WATER_C))


def warnings(question: WaterQuestion, found: WaterFound) -> tuple[str, ...]:
    """What to take care of, a sentence each without its end."""
    warnings = []
    scald = question.stop_c > STOP_C
    if scald and found.water_c > SCALDS_C:
        warnings.append(say("hot water scalds: pour it away from you and stir with a long spoon"))
    elif found.water_c > WARMEST_WATER_C:
        warnings.append(
            say(
                "water above {limit} harms yeast where it meets it (common practice): mix "
                "it with the flour first, or warm the flour",
                limit=warmth(WARMEST_WATER_C),
            )
        )
    if found.water_c < COLD_TAP_C and question.tap_c is None:
        warnings.append(
            say(
                "water below {limit} needs ice: give --tap to calculate how much",
                limit=warmth(COLD_TAP_C),
            )
        )
    if found.water_c < 0.0:
        warnings.append(
            say(
                "no water is below {freezing}: the figure is for water and ice together, and "
                "all the ice must melt in the mix",
                freezing=warmth(0.0),
            )
        )
    for each in question.parts:
        if each.celsius < 0.0 and each.kind != ICE and freezable(each.kind) > 0.0:
            warnings.append(
                say(
                    "the {part} is assumed frozen through: break it small so that it thaws",
                    part=each.name,
                )
            )
    return tuple(warnings)


def why(question: WaterQuestion, found: WaterFound) -> str:
    """How the two methods come to differ, in a sentence."""
    if question.stop_c > STOP_C:
        return say("The factor method is for doughs; a scald has only the heat balance.")
    if found.factor_c is None:
        return say(
            "The factor method needs flour among the parts, so there is only the heat balance."
        )
    same, warmer, colder = why_sentences(question)
    gap = found.water_c - found.factor_c
    if abs(gap) < AGREE_K or warmth(found.water_c) == warmth(found.factor_c):
        return same
    return (warmer if gap > 0 else colder).format(gap=apart_as_shown(found.water_c, found.factor_c))


def why_sentences(question: WaterQuestion) -> tuple[str, str, str]:
    """The sentence when both agree, and when the balance is the warmer or the colder by {gap}."""
    counted = say("the flour, the room and friction")
    if any(each.name in PREFERMENTS for each in question.parts):
        counted = say("the flour, the room, the levain and friction")
    weighed = say("each part") if question.vessel is None else say("each part and the vessel")
    both = say(
        "The factor method counts {counted} alike; the heat balance weighs {weighed} by mass and "
        "heat capacity and leaves out the room",
        counted=counted,
        weighed=weighed,
    )
    gap = "{gap}"
    return (
        say("{both}; here they agree within {gap}.", both=both, gap=apart(AGREE_K)),
        say("{both}, which makes the water {gap} warmer here.", both=both, gap=gap),
        say("{both}, which makes the water {gap} colder here.", both=both, gap=gap),
    )


def wetting(question: WaterQuestion) -> str:
    """What the flour's heat of wetting does here, and whether it is counted; empty if nothing."""
    if question.wetting_k < 0.05:
        return ""
    by = apart(question.wetting_k)
    if isinstance(question.friction, DoughWorking):
        return say("Wetting the flour warms the mix by {by}, which is counted.", by=by)
    if question.friction:
        return say(
            "Wetting the flour warms the mix by about {by}, which friction as measured has.", by=by
        )
    return say(
        "Wetting the flour may warm the mix by up to {by} more: count it as friction.", by=by
    )


def boils(altitude: str) -> float:
    """Where water boils at such a height ("1500m"), to a tenth of a degree. Raises InputError."""
    return round(boiling_point(ALTITUDE_M.read(altitude, "--altitude")), 1)


def _part(text: str, boils_c: float) -> Ingoing:
    kind, grams, rest = _split(text, "--part", "flour:600g@18C")
    name = kind.partition("/")[0]
    known = kinds()
    if name not in known:
        raise InputError("--part", repr(text), _kind_near(name, known))
    hydration_of(kind, "--part")
    hottest = boils_c if kind == "water" else INGREDIENT_C.high
    celsius = _to_boiling(INGREDIENT_C, rest, "--part", hottest)
    if kind == ICE and celsius > 0.0:
        raise InputError("--part", repr(text), say("ice at 0C or below"))
    if kind == "water" and celsius < 0.0:
        raise InputError(
            "--part",
            repr(text),
            say("ice, such as ice:200g@{temperature}", temperature=rest.strip()),
        )
    return Ingoing(kind, float(grams) / 1000, celsius)


def _moisture(text: str) -> float:
    expected = LIMITS["moisture"].expected
    number, unit = split_number(text, "--moisture", expected)
    if unit not in ("", "%"):
        raise InputError("--moisture", repr(text), expected)
    return checked_figure("moisture", float(number), "--moisture")


def _vessel(text: str) -> HeatPart:
    kind, grams, rest = _split(text, "--vessel", "glass:900g@18C")
    known = heat_capacities()
    if kind not in known:
        raise InputError("--vessel", repr(text), _kind_near(kind, known))
    celsius = VESSEL_C.read(rest, "--vessel")
    return HeatPart(float(grams) / 1000, known[kind], celsius)


def _split(text: str, field: str, example: str) -> tuple[str, Fraction, str]:
    kind, colon, rest = text.partition(":")
    mass, at, temperature = rest.partition("@")
    if not (colon and at):
        raise InputError(
            field, repr(text), say("kind, mass and temperature, such as {example}", example=example)
        )
    return kind.strip().lower(), PART_G.grams(mass, field), temperature


def _kind_near(kind: str, known: Collection[str]) -> str:
    near = get_close_matches(kind, known, n=3) or list(known)
    return say("a kind such as {kinds}", kinds=", ".join(near))


def _friction(friction: str | None, mixing: Sequence[str]) -> float | DoughWorking:
    if mixing:
        if friction is not None:
            expected = say(
                "either --friction or --mixing: friction is all the heat that mixing adds"
            )
            raise InputError("--friction", repr(friction), expected)
        faults = Faults()
        spells = tuple(faults.take(_spell, text) for text in mixing)
        faults.check()
        return DoughWorking(spells)
    if friction is None:
        return 0.0
    return FRICTION_K.read(friction, "--friction")


def _spell(text: str) -> tuple[str, float]:
    method, _, duration = text.partition(":")
    method = method.strip().lower()
    if method not in MIXING_WORK or not duration:
        known = ", ".join(MIXING_WORK)
        raise InputError(
            "--mixing",
            repr(text),
            say("a way and its time, such as hand:10min: {known}", known=known),
        )
    minutes = parse_duration(duration, "--mixing", bare="min").total_seconds() / 60
    if minutes > LONGEST_MIN:
        raise InputError("--mixing", repr(text), say("at most {most:g} minutes", most=LONGEST_MIN))
    return method, minutes


def _to_boiling(bound: Bound, text: str, field: str, boils_c: float) -> float:
    celsius = bound.read(text, field)
    if celsius > boils_c:
        raise InputError(
            field,
            repr(text),
            say("at most {hottest}C, where water boils", hottest=print_number(boils_c)),
        )
    return celsius
