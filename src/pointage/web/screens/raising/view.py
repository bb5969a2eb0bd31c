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
            rows.append((
                f"{day.number}", _g(day.pour_off_g) if day.pour_off_g else "–",
                f"{_g(day.water_g)} at {warmth(day.water_c)}", _g(day.flour_g), display,
            ))  # fmt: skip
        else:
            rows.append((f"{day.number}", "–", "stir and wait", "–", _g(tare + day.total_g)))
    headings = ("day", "discard", "water", "flour", "display, seed → full")
    return Table("Each day, in grams", headings, tuple(rows))


def signs_table(days: Sequence[RaisedDay]) -> Table:
    """What should be seen by the next feed."""
    return Table(
        "By the next feed",
        ("day", "rise", "pH", "phase", "ready"),
        tuple(
            (
                f"{day.number}",
                f"{_one(day.rise()[0])} to {_one(day.rise()[2])}",
                f"{day.ph()[1]:.1f}",
                day.signs()["title"].lower(),
                odds_words(day.ready) if day.ready else "no",
            )
            for day in days
        ),
    )


def sizes(answer: RaisingAnswer) -> Table:
    """What other sizes would take and waste."""
    days = len(answer.days)
    return Table(
        f"Other sizes, over {days} days",
        ("flour a day, g", "flour, g", "discard, g", "vessel, l"),
        tuple(
            (
                print_number(each["daily_flour_g"], 0),
                print_number(each["flour_total_g"], 0),
                print_number(each["discard_total_g"], 0),
                print_number(each["vessel_l"]),
            )
            for each in answer.as_json()["sizes"]
        ),
    )


def plan_notes(answer: RaisingAnswer, vessel: Vessel) -> tuple[str, ...]:
    """When it is ready, how the lid lies, and what the readings include."""
    ready = answer.ready_day
    when = "not within three weeks as kept here" if ready is None else f"from day {ready} on"
    first, last = answer.days[0], answer.days[-1]
    return (
        "It is ready once pH has been below 4.2 and it has risen fully at three feeds in a row, "
        f"after at least seven days (our own rule). Most likely: {when}.",
        f"Lid: at first {lid(first)}; later {lid(last)}.",
        f"The display readings include the tare of {vessel.name}, {print_number(vessel.tare_g)} g.",
        *answer.warnings,
    )


def done(life: Life, days: Sequence[RaisedDay], clock: Clock) -> Table:
    """Each day as it was fed and weighed, where it stood and what was seen, the latest first."""
    rows = []
    for day, stand in zip(days, fed_days(life), strict=False):
        fed = stand.fed
        gone = sum(each.grams for each in life.wasted if each.at == fed.at)
        flours = ", ".join(f"{_one(grams)} {flour_words(k)}" for k, grams in fed.flours_g.items())
        places = ", then ".join(lower_first(name) for _, name in stand.places)
        rows.append((
            f"{day.number}", clock.text(fed.at), _one(fed.seed_g) if fed.seed_g else "–",
            _one(gone) if gone else "–", flours, _one(fed.water_g), places,
            _seen(day) or "–", day.signs()["title"].lower(),
        ))  # fmt: skip
    headings = ("day", "fed", "seed, g", "discarded, g", "flour, g", "water, g", "stood", "seen",
                "phase")  # fmt: skip
    return Table("What was done", headings, tuple(rows[::-1]))


def _seen(day: RaisedDay) -> str:
    """ "rise 1.6, pH 4.3": the highest rise, and the pH seen last."""
    rises = [sign.rise for sign in day.seen if sign.rise is not None]
    phs = [sign.ph for sign in day.seen if sign.ph is not None]
    said = [f"rise {_one(max(rises))}"] if rises else []
    return ", ".join([*said, f"pH {_one(phs[-1])}"] if phs else said)


def due(life: Life, day: RaisedDay, clock: Clock) -> str:
    """When it is fed next, and by how much that is late."""
    at = fed_days(life)[-1].fed.at + EVERY
    what = f"the feed of day {day.number}" if day.feeds else "stir it and wait before feeding"
    if at >= clock.now:
        return f"Next: {what}, {clock.text(at)}, {clock.ahead(at)}."
    return f"Next: {what}, now; it was due {clock.text(at)}, {length(clock.now - at)} ago."


def lead(day: RaisedDay, days: Sequence[RaisedDay]) -> str:
    """Where it stands, and when it may be trusted."""
    title = day.signs()["title"]
    ready = next((each.number for each in days if each.ready >= 0.5), None)
    when = f"There is an even chance that it is ready from day {ready}." if ready else (
        "It is too early to say when it will be ready."
    )  # fmt: skip
    return f"{title}. {when}"


def signs(day: RaisedDay) -> tuple[str, ...]:
    """What to see, smell and feel, and what it means if not."""
    words = day.signs()
    return (
        f"Look: {words['see']}",
        f"Smell: {words['smell']}",
        f"Stir: {words['feel']}",
        f"If not: {words['unless']}",
        f"Lid: {lid(day)}.",
    )


def _g(grams: Fraction) -> str:
    return print_number(float(grams), 1)


def _one(value: float) -> str:
    return print_number(value, 1)
