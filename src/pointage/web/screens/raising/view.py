"""The days of a culture that is raised, in small tables and sentences."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from pointage.culture.life import Life
from pointage.culture.raising import EVERY, RaisedDay
from pointage.desk.cultures.raising import RaisingAnswer, lid
from pointage.desk.now.cultures.young import fed_days
from pointage.desk.wording import odds_words
from pointage.kitchen.kitchen import (
    Vessel,
)
from pointage.language import say, say_many, within, written
from pointage.quantities import print_number
from pointage.web.screens.culture.page import Table
from pointage.web.screens.cultures.view import flour_words
from pointage.web.words.clock import Clock
from pointage.web.words.words import (
    length,
    lower_first,
    warmth,
)


def amounts(days: Sequence[RaisedDay], tare: Fraction) -> Table:
    """What is done each day; the display counts the tare where it is known."""
    rows = []
    for day in days:
        if day.feeds:
            display = f"{_g(tare + day.keep_g)} → {_g(tare + day.total_g)}"
            mass, temperature = _g(day.water_g), warmth(day.water_c)
            water = say("{mass} at {temperature}", mass=mass, temperature=temperature)
            gone = _g(day.pour_off_g) if day.pour_off_g else "–"
            rows.append((f"{day.number}", gone, water, _g(day.flour_g), display))
        else:
            rows.append((f"{day.number}", "–", say("stir and wait"), "–", _g(tare + day.total_g)))
    headings = (
        say("day"),
        say("discard"),
        say("water"),
        say("flour"),
        say("display, seed → full"),
    )
    return Table(say("Each day, in grams"), headings, tuple(rows))


def signs_table(days: Sequence[RaisedDay]) -> Table:
    """What should be seen by the next feed."""
    return Table(
        say("By the next feed"),
        (say("day"), say("rise"), "pH", say("phase"), say("ready")),
        tuple(
            (
                f"{day.number}",
                say("{low} to {high}", low=_one(day.rise()[0]), high=_one(day.rise()[2])),
                written(f"{day.ph()[1]:.1f}"),
                within(say(day.signs()["title"])),
                odds_words(day.ready) if day.ready else say("no"),
            )
            for day in days
        ),
    )


def sizes(answer: RaisingAnswer) -> Table:
    """What other sizes would take and waste."""
    days = len(answer.days)
    return Table(
        say_many("Other sizes, over {n} day", "Other sizes, over {n} days", days),
        (say("flour a day, g"), say("flour, g"), say("discard, g"), say("vessel, l")),
        tuple(
            (
                print_number(each["daily_flour_g"], 0),
                print_number(each["flour_total_g"], 0),
                print_number(each["discard_total_g"], 0),
                written(print_number(each["vessel_l"])),
            )
            for each in answer.as_json()["sizes"]
        ),
    )


def plan_notes(answer: RaisingAnswer, vessel: Vessel) -> tuple[str, ...]:
    """When it is ready, how the lid lies, and what the readings include."""
    ready = answer.ready_day
    when = say("not within three weeks as kept here")
    if ready is not None:
        when = say("from day {number} on", number=ready)
    first, last = answer.days[0], answer.days[-1]
    return (
        say(
            "It is ready once pH has been below 4.2 and it has risen fully at three feeds "
            "in a row, after at least seven days (our own rule). Most likely: {when}.",
            when=when,
        ),
        say("Lid: at first {first}; later {last}.", first=lid(first), last=lid(last)),
        say(
            "The display readings include the tare of {vessel}, {mass} g.",
            vessel=vessel.name,
            mass=print_number(vessel.tare_g),
        ),
        *answer.warnings,
    )


def done(life: Life, days: Sequence[RaisedDay], clock: Clock) -> Table:
    """Each day as it was fed and weighed, where it stood and what was seen, the latest first."""
    rows = []
    for day, stand in zip(days, fed_days(life), strict=False):
        fed = stand.fed
        gone = sum(each.grams for each in life.wasted if each.at == fed.at)
        flours = ", ".join(f"{_one(grams)} {flour_words(k)}" for k, grams in fed.flours_g.items())
        places = say(", then ").join(lower_first(name) for _, name in stand.places)
        rows.append((
            f"{day.number}", clock.text(fed.at), _one(fed.seed_g) if fed.seed_g else "–",
            _one(gone) if gone else "–", flours, _one(fed.water_g), places,
            _seen(day) or "–", within(say(day.signs()["title"])),
        ))  # fmt: skip
    headings = (
        say("day"),
        say("fed"),
        say("seed, g"),
        say("discarded, g"),
        say("flour, g"),
        say("water, g"),
        say("stood"),
        say("seen"),
        say("phase"),
    )
    return Table(say("What was done"), headings, tuple(rows[::-1]))


def _seen(day: RaisedDay) -> str:
    """ "rise 1.6, pH 4.3": the highest rise, and the pH seen last."""
    rises = [sign.rise for sign in day.seen if sign.rise is not None]
    phs = [sign.ph for sign in day.seen if sign.ph is not None]
    said = [say("rise {number}", number=_one(max(rises)))] if rises else []
    return ", ".join([*said, f"pH {_one(phs[-1])}"] if phs else said)


def due(life: Life, day: RaisedDay, clock: Clock) -> str:
    """When it is fed next, and by how much that is late."""
    at = fed_days(life)[-1].fed.at + EVERY
    what, time = say("stir it and wait before feeding"), clock.text(at)
    if day.feeds:
        what = say("the feed of day {number}", number=day.number)
    if at >= clock.now:
        return say("Next: {what}, {time}, {ahead}.", what=what, time=time, ahead=clock.ahead(at))
    late = length(clock.now - at)
    return say("Next: {what}, now; it was due {time}, {late} ago.", what=what, time=time, late=late)


def lead(day: RaisedDay, days: Sequence[RaisedDay]) -> str:
    """Where it stands, and when it may be trusted."""
    title = say(day.signs()["title"])
    ready = next((each.number for each in days if each.ready >= 0.5), None)
    when = say("It is too early to say when it will be ready.")
    if ready:
        when = say("There is an even chance that it is ready from day {number}.", number=ready)
    return f"{title}. {when}"


def signs(day: RaisedDay) -> tuple[str, ...]:
    """What to see, smell and feel, and what it means if not."""
    words = {key: say(text) for key, text in day.signs().items()}
    return (
        say("Look: {words}", words=words["see"]),
        say("Smell: {words}", words=words["smell"]),
        say("Stir: {words}", words=words["feel"]),
        say("If not: {words}", words=words["unless"]),
        say("Lid: {words}.", words=lid(day)),
    )


def _g(grams: Fraction) -> str:
    return written(print_number(float(grams), 1))


def _one(value: float) -> str:
    return written(print_number(value, 1))
