"""`pointage raise`: a culture from flour and water, day by day."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING, Annotated

from pointage.cli.declared import Option
from pointage.language import mark, say

if TYPE_CHECKING:
    from pointage.culture.raising import RaisedDay, Sign
    from pointage.desk.cultures.raising import RaisingAnswer


def raise_culture(
    *,
    flour_kind: Annotated[
        str, Option(help="Such as wheat-whole, rye-whole, wheat-white or spelt-whole.")
    ],
    vessel: Annotated[str, Option(help="The volume of its vessel, such as 2l.")],
    at: Annotated[str, Option(help="The temperature of its place, such as 24C.")],
    days: Annotated[str, Option(help="How many days to plan, 1 to 30.")] = "7",
    daily_flour: Annotated[str, Option(help="Fresh flour of each feed, such as 50g.")] = "50g",
    hydration: Annotated[str, Option(help="Water in percent of the flour, such as 100.")] = "100%",
    tare: Annotated[str | None, Option(help="What the empty vessel weighs, such as 236g.")] = None,
    room: Annotated[
        str | None, Option(help="The temperature of the flour; without it, that of the place.")
    ] = None,
    step: Annotated[str, Option(help="The step of the scale, such as 1g.")] = "1g",
    saw: Annotated[
        list[str] | None,
        Option(
            metavar="DAY:RISE[@PH]",
            help="What you saw on a day, such as 2:1.8 or 3:1.2@4.1; may be repeated. "
            "The days after it are recalculated.",
        ),
    ] = None,
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Raise a culture from flour and water, day by day.

    What to do each day, and what you should see.
    """
    from pointage.bounds import (
        DAILY_FLOUR_G,
        HYDRATION,
        RAISED_IN_L,
        RAISING_DAYS,
        ROOM_C,
        STEP_G,
        TARE_G,
    )
    from pointage.cli.options import as_options
    from pointage.cli.table import print_json
    from pointage.errors import Faults
    from pointage.mixture.flours import flour_record
    from pointage.quantities import parse_temperature

    faults = Faults()
    take = faults.take
    litres = take(RAISED_IN_L.read, vessel, "--vessel")
    celsius = take(lambda: parse_temperature(at, "--at").celsius)
    flour_g = take(DAILY_FLOUR_G.grams, daily_flour, "--daily-flour")
    tare_g = faults.maybe(TARE_G.grams, tare, "--tare")
    room_c = faults.maybe(ROOM_C.read, room, "--room")
    step_g = take(STEP_G.grams, step, "--step")
    number = take(RAISING_DAYS.count, days, "--days")
    wet = take(HYDRATION.read, hydration, "--hydration")
    signs = [take(_sign, each) for each in saw or []]
    take(flour_record, flour_kind, field="--flour-kind")
    from pointage.desk.cultures.raising import Tub, check_day, check_place  # the engine
    from pointage.desk.cultures.raising import raise_culture as ask

    take(check_place, celsius, "--at")
    for each in signs:
        take(check_day, each, number, "--saw")
    faults.check()
    with as_options(
        vessel=vessel, at=at, days=days, hydration=hydration, flour_kind=flour_kind,
        daily_flour=daily_flour, saw=saw, step=step,
    ):  # fmt: skip
        answer = ask(
            kind=flour_kind,
            tub=Tub(litres, tare_g),
            celsius=celsius,
            days=number,
            daily_flour_g=flour_g,
            hydration=Fraction(str(wet)) / 100,
            room_c=room_c,
            step_g=step_g,
            signs=signs,
        )
    if json:
        print_json(answer.as_json())
    else:
        _print(answer)


def _sign(text: str) -> Sign:
    from pointage.bounds import PH, RAISING_DAYS, RISE
    from pointage.culture.raising import Sign
    from pointage.errors import InputError

    day, _, rest = text.partition(":")
    rise, _, ph = (part.strip() for part in rest.partition("@"))
    if not rise and not ph:
        expected = say("a day and a rise, a pH or both, such as 2:1.8 or 3:1.2@4.1")
        raise InputError("--saw", repr(text), expected)
    return Sign(
        RAISING_DAYS.count(day, "--saw"),
        RISE.read(rise, "--saw") if rise else None,
        PH.read(ph, "--saw") if ph else None,
    )


def _print(answer: RaisingAnswer) -> None:
    from pointage.desk.cultures.raising import CAUTIONS, TARE_UNKNOWN

    before: RaisedDay | None = None
    for day in answer.days:
        print(say("Day {number}  {title}", number=day.number, title=say(day.signs()["title"])))
        for line in [*_doing(answer, day), *_expecting(day, before)]:
            print(f"  {line}")
        print()
        before = day
    _print_end(answer)
    if answer.tub.tare_g is None:
        print(say(TARE_UNKNOWN))
    for warning in answer.warnings:
        print(say("Warning: {warning}.", warning=warning))
    for caution in CAUTIONS:
        print(say("Caution: {caution}", caution=say(caution)))


def _doing(answer: RaisingAnswer, day: RaisedDay) -> list[str]:
    """What hands do that day, with what the display must say after each."""
    from pointage.quantities import print_number
    from pointage.shown import warmth

    def grams(value: Fraction | float) -> str:
        return say("{number} g", number=print_number(float(value)))

    if not day.feeds:
        return [say("Stir it and wait; no feed.")]
    says = answer.readings(day)
    lines = []
    if day.pour_off_g:
        lines.append(
            say(
                "Discard {mass}, until the display shows {display}; {kept} stay as the seed.",
                mass=grams(day.pour_off_g),
                display=grams(says["after_pouring_off_g"] or 0),
                kept=grams(day.keep_g),
            )
        )
    wet, whole = (grams(says[key] or 0) for key in ("after_water_g", "after_flour_g"))
    lines += [
        say(
            "Water: {mass} at {warmth}, until it shows {display}.",
            mass=grams(day.water_g),
            warmth=warmth(day.water_c),
            display=wet,
        ),
        say(
            "Flour: {mass}, until it shows {display}. Stir well: about {warmth}. Keep it {place}.",
            mass=grams(day.flour_g),
            display=whole,
            warmth=warmth(day.mix_c),
            place=answer.place,
        ),
    ]
    return lines


def _expecting(day: RaisedDay, before: RaisedDay | None) -> list[str]:
    """What should be seen by the next feed; signs that are yesterday's are not repeated."""
    from pointage.desk.cultures.raising import lid
    from pointage.quantities import print_number

    signs, lines = day.signs(), []
    if before is None or lid(before) != lid(day):
        lines.append(say("Lid {how}.", how=lid(day)))
    low, middle, high = (print_number(value, 2) for value in day.rise())
    lines.append(
        say(
            "By the next feed: risen to {middle} ({low} to {high}), pH {ph:.1f}.",
            middle=middle,
            low=low,
            high=high,
            ph=day.ph()[1],
        )
    )
    if before is not None and before.phase is day.phase:
        return [*lines, say("The signs are those of the day before.")]
    words = {
        "see": mark("See: {sign}"),
        "smell": mark("Smell: {sign}"),
        "feel": mark("Feel: {sign}"),
        "unless": mark("If not: {sign}"),
    }
    return [*lines, *(say(word, sign=say(signs[key])) for key, word in words.items())]


def _print_end(answer: RaisingAnswer) -> None:
    from pointage.cli.table import grams, table
    from pointage.desk.wording import odds_words

    days = len(answer.days)
    ready = answer.ready_day
    when = say("not within three weeks as kept here")
    if ready is not None:
        when = say("from day {number}", number=ready)
    print(
        say(
            "Ready when pH has been below 4.2 and it has risen fully at three feeds in a "
            "row, after at least seven days (our own rule). Most likely: {when}; after day "
            "{days} it is {odds}.",
            when=when,
            days=days,
            odds=odds_words(answer.days[-1].ready),
        )
    )
    rows = [
        [grams(size["daily_flour_g"], 0), grams(size["flour_total_g"], 0),
         grams(size["discard_total_g"], 0), say("{litres:g} l", litres=size["vessel_l"])]
        for size in answer.as_json()["sizes"]
    ]  # fmt: skip
    flour = say("flour, {days} days", days=days)
    heading = [say("flour a day"), flour, say("discard"), say("vessel")]
    print(f"\n{table(heading, rows)}\n")
