"""A sample jar: how far a dough is when a spoon of it in a small jar shows so much."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from typing import Any

from pointage.bounds import (
    HYDRATION,
    MIXTURE_C,
    PART_G,
    RISE,
    ROOM_C,
    SALT,
    SAMPLE_G,
    SAMPLE_H,
    SEED_SHARE,
)
from pointage.culture.mature import mature
from pointage.desk.wording.flags import flag_words
from pointage.errors import Faults, InputError
from pointage.heat.vessel import follow
from pointage.kitchen.vessel import VesselUse, usual_vessel
from pointage.language import say, written
from pointage.mixture.flours import flour_record
from pointage.mixture.mixture import Mixture, mix, raw
from pointage.mixture.sample import Sampled, Stood, sampled
from pointage.mixture.temperature.surroundings import Constant
from pointage.mixture.temperature.thermal import filling, usual_follow
from pointage.mixture.traits import Traits, draw_traits
from pointage.quantities import print_number

MEMBERS = 400
SEED = 20261127
GROWS = 3.0  # litres of a jar for each of what is spooned into it: ours
_ANY_DAY = datetime(2026, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, eq=False)
class SampleAnswer:
    """What the sample says of the dough. dough_follow_h, jar_follow_h: hours of the time constants,
    in which each comes two thirds of the way to the temperature around it."""

    found: Sampled
    shows: float
    hours: float
    dough_follow_h: float
    jar_follow_h: float

    @property
    def warnings(self) -> tuple[str, ...]:
        """What to know of it, a sentence each without its end."""
        found = [flag_words(each) for each in self.found.flags]
        if self.found.beyond:
            low, high = self.found.jar_least, self.found.jar_most
            found.append(
                say(
                    "no jar that we know of shows {shows} after {hours} h there: {low} to {high} "
                    "are possible, so check the mark, the clock and the temperatures",
                    shows=written(print_number(self.shows, 2)),
                    hours=written(print_number(self.hours, 2)),
                    low=written(f"{low:.2f}"),
                    high=written(f"{high:.2f}"),
                )
            )
        return tuple(found)

    def as_json(self) -> dict[str, Any]:
        """One JSON object; rises are 1 just after mixing."""
        found = self.found
        return {
            "dough_rise": _rounded(found.dough),
            "dough_rise_before": _rounded(found.dough_before),
            "jar_rise_before": _rounded(found.jar_before),
            "beyond": found.beyond,
            "dough_follow_h": round(self.dough_follow_h, 2),
            "jar_follow_h": round(self.jar_follow_h, 2),
            "warnings": list(self.warnings),
        }


def sample_for(
    dough: str,
    jar: str,
    room: str,
    hours: str,
    shows: str,
    *,
    dough_room: str | None = None,
    hydration: str = "70%",
    salt: str = "2%",
    seed: str = "40%",
    flour_kind: str = "wheat-white",
) -> SampleAnswer:
    """What a sample says, each quantity as a person writes it ("4kg@26C", "60g", "1.5").

    Raises InputError naming each option that cannot be read or is out of its range.
    """
    faults = Faults()
    take = faults.take
    grams, celsius = take(_mixed, dough), take(_mixed_c, dough)
    jar_g = take(SAMPLE_G.read, jar, "--jar")
    room_c = take(ROOM_C.read, room, "--room")
    dough_room_c = faults.maybe(ROOM_C.read, dough_room, "--dough-room")
    length_h = take(SAMPLE_H.read, hours, "--hours")
    shown = take(RISE.read, shows, "--shows")
    wet = take(HYDRATION.read, hydration, "--hydration")
    salted = take(SALT.read, salt, "--salt")
    seeded = take(SEED_SHARE.read, seed, "--seed")
    take(flour_record, flour_kind, field="--flour-kind")
    take(_less_than_all, jar_g, grams)
    take(_room_for_its_water, seeded, wet)
    faults.check()
    traits = draw_traits(MEMBERS, SEED)
    mixed = dough_of(
        flour_kind,
        traits,
        grams=grams,
        celsius=celsius,
        hydration=wet / 100,
        salt=salted / 100,
        seed=seeded / 100,
    )
    slow, quick = usual_follow(mixed).hours, jar_follow_h(mixed, jar_g)
    found = sampled(
        mixed,
        dough=Stood(Constant(room_c if dough_room_c is None else dough_room_c), slow),
        jar=Stood(Constant(room_c), quick),
        start=_ANY_DAY,
        hours=length_h,
        shows=shown,
        traits=traits,
    )
    return SampleAnswer(found, shown, length_h, slow, quick)


def dough_of(
    kind: str,
    traits: Traits,
    *,
    grams: float,
    celsius: float,
    hydration: float,
    salt: float,
    seed: float,
) -> Mixture:
    """A dough just mixed, one state a member.

    hydration, salt: over all its flour, the levain's too. seed: ripe levain, half of it flour and
    half water, over the other flour.
    """
    fresh = grams / ((1 + seed / 2) * (1 + hydration + salt))
    flour = fresh * (1 + seed / 2)
    levain = mature({kind: 1.0}, 1.0, traits).scaled(seed * fresh)
    rest = raw({kind: fresh}, hydration * flour - seed * fresh / 2, salt * flour, celsius=celsius)
    return mix([levain.at_temperature(celsius), rest])


def jar_follow_h(mixed: Mixture, jar_g: float) -> float:
    """Hours of the time constant of a spoon of it in a small glass jar with its lid laid on."""
    spoon = mixed.scaled(jar_g)
    litres = GROWS * spoon.volume * jar_g / 1000
    return follow(usual_vessel(VesselUse.JAR, litres).shell, filling(spoon)).hours


def _halves(dough: str) -> tuple[str, str]:
    mass, at, temperature = dough.partition("@")
    if not at:
        expected = say("mass and temperature, such as 4kg@26C")
        raise InputError("--dough", repr(dough), expected)
    return mass, temperature


def _mixed(dough: str) -> float:
    return PART_G.read(_halves(dough)[0], "--dough")


def _mixed_c(dough: str) -> float:
    return MIXTURE_C.read(_halves(dough)[1], "--dough")


def _less_than_all(jar_g: float, grams: float) -> None:
    if jar_g >= grams:
        most = say("less than the dough, which is {grams} g", grams=print_number(grams))
        raise InputError("--jar", f"{print_number(jar_g)} g", most)


def _room_for_its_water(seed: float, hydration: float) -> None:
    """Whether the levain brings no more water than there is in the dough."""
    if seed / 2 > hydration * (1 + seed / 200):
        expected = say("more, because the levain brings {percent:.0f} %", percent=seed / 2)
        raise InputError("--hydration", f"{print_number(hydration)} %", expected)


def _rounded(found: Any) -> dict[str, float]:
    return {name: round(value, 3) for name, value in asdict(found).items()}
