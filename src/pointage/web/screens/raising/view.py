"""The days of a culture that is raised, in small tables and sentences."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from fractions import Fraction

from pointage.culture.life import Life
from pointage.culture.raising import Phase, RaisedDay
from pointage.daybook.entry import Entry
from pointage.desk.cultures.raising import RaisingAnswer, lid
from pointage.desk.now.cultures.young import MEANS, Elsewhere, fed_days, rises_seen
from pointage.desk.wording import odds_words
from pointage.kitchen.kitchen import (
    Vessel,
)
from pointage.language import mark, say, say_many, within, written
from pointage.quantities import print_number
from pointage.web.drawing.young import young_chart
from pointage.web.forms.field import Choice
from pointage.web.frame import Drawing
from pointage.web.screens.culture.page import Table
from pointage.web.screens.cultures.view import flour_words
from pointage.web.screens.raising.page import Tap, TapRow
from pointage.web.words.clock import Clock
from pointage.web.words.words import (
    lower_first,
    warmth,
)

COOL_C = 22.0
"""Below it a place is cool for raising a culture: common practice, no source."""
SINCE = mark("Since day {number}, {when}: {what}.")
FROM = mark("Day {number}, {when}: {what}.")
ALSO = 0.2  # odds from which a second possibility is named
SURE = 0.8
LEAN = 0.2  # of the whole kept: a lively culture is fed more for less
ROWS: tuple[tuple[str, Mapping[str, str]], ...] = (
    (
        mark("How far has it risen since its last feed, at its highest?"),
        {
            "seen=not risen": mark("Not at all"),
            "seen=risen a little": mark("A little"),
            "seen=risen by half": mark("By half"),
            "seen=doubled": mark("Doubled"),
        },
    ),
    (
        mark("Bubbles?"),
        {
            "seen=no bubbles": mark("None"),
            "seen=a few bubbles": mark("A few"),
            "seen=bubbles": mark("Many"),
        },
    ),
    (
        mark("What does it smell of?"),
        {
            "smelled=flour": mark("Flour"),
            "smelled=cheese": mark("Foul: cheese, hay"),
            "smelled=yoghurt": mark("Sour: yoghurt"),
            "smelled=yeast": mark("Fruity, yeasty"),
        },
    ),
    (
        mark("Anything wrong?"),
        {
            "seen=mould": mark("Fuzz or mould"),
            "seen=pink or orange": mark("Pink or orange"),
        },
    ),
)
TOUCHES = frozenset(touch for _, answers in ROWS for touch in answers)


def amounts(days: Sequence[RaisedDay], tare: Fraction) -> Table:
    """What is done each day; the display counts the tare where it is known."""
    rows = []
    for day in days:
        if day.feeds:
            display = f"{_g(tare + day.keep_g)} → {_g(tare + day.total_g)}"
            mass, temperature = _g(day.water_g), warmth(day.water_c)
            water = say("{mass} at {temperature}", mass=mass, temperature=temperature)
            gone = _g(day.pour_off_g) if day.pour_off_g else "–"
            rows.append((f"{day.calendar}", gone, water, _g(day.flour_g), display))
        else:
            rows.append((f"{day.calendar}", "–", say("stir and wait"), "–", _g(tare + day.total_g)))
    headings = (
        say("day"),
        say("discard"),
        say("water"),
        say("flour"),
        say("display, from → to"),
    )
    return Table(say("Each day, in grams"), headings, tuple(rows))


def signs_table(days: Sequence[RaisedDay]) -> Table:
    """What should be seen by the next feed."""
    return Table(
        say("By the next feed"),
        (say("day"), say("rise"), "pH", say("phase"), say("ready")),
        tuple(
            (
                f"{day.calendar}",
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
            f"{day.calendar}", clock.text(fed.at), _one(fed.seed_g) if fed.seed_g else "–",
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
    words = [say(word) for sign in day.seen for word in sign.words]
    return ", ".join([*said, *([f"pH {_one(phs[-1])}"] if phs else []), *dict.fromkeys(words)])


def lead(day: RaisedDay, days: Sequence[RaisedDay]) -> str:
    """When it may be trusted, with the odds."""
    ready = next((each for each in days if each.ready >= 0.5), None)
    if ready is None:
        return say("It is too early to say when it will be ready.")
    if ready.number <= day.number:
        return say("It may be trusted by now: {odds}.", odds=odds_words(day.ready))
    return say("There is an even chance that it is ready from day {number}.", number=ready.calendar)


def taps(name: str, said: Sequence[Entry], fed: datetime) -> tuple[TapRow, ...]:
    """Three rows of buttons, and what was said in each since it was fed."""
    since = [entry for entry in said if entry.happened >= fed]
    action = f"/cultures/{name}/raising"
    rows = []
    for asks, answers in ROWS:
        given = [label for touch, label in answers.items() if any(_says(e, touch) for e in since)]
        rows.append(
            TapRow(
                say(asks),
                action,
                tuple(Tap(say(label), touch) for touch, label in answers.items()),
                say(given[-1]) if given else "",
            )
        )
    return tuple(rows)


def _says(entry: Entry, touch: str) -> bool:
    kind, _, text = touch.partition("=")
    if entry.kind.value != kind:
        return False
    return text in (entry.body.get("signs") or ())


def expect(day: RaisedDay) -> tuple[str, ...]:
    """What is likely by the next feed, the second likeliest too, and what it means if not."""
    words = day.signs()
    found = [
        say("Most likely: {title}. {see}", title=words["title"], see=words["see"]),
        say("Smell: {words}", words=words["smell"]),
        say("Stir: {words}", words=words["feel"]),
    ]
    others = [
        (phase, odds) for phase, odds in day.odds().items()
        if odds >= ALSO and day.signs(phase)["title"] not in (words["title"], *_same(day))
    ]  # fmt: skip
    for phase, odds in others[:1]:
        other = day.signs(phase)
        found.append(
            say(
                "Or ({odds}): {title}. {see} Smell: {smell}",
                odds=odds_words(odds),
                title=other["title"],
                see=other["see"],
                smell=other["smell"],
            )
        )
    return (
        *found,
        say("If not: {words}", words=words["unless"]),
        say("Lid: {words}.", words=lid(day)),
    )


def _same(day: RaisedDay) -> tuple[str, ...]:
    """A strong day is a waking one to each member."""
    return (day.signs(Phase.WAKING)["title"],) if day.phase is Phase.STRONG else ()


def milestones(days: Sequence[RaisedDay], fed: int, clock: Clock) -> tuple[str, ...]:
    """When the lid may close, when it is fed more and keeps less, when it may raise a first bread
    and when it may be trusted."""
    steps = (
        (mark("the lid may close, never tight"), lambda day: not day.lid_open),
        (mark("less of it is kept at each feed, for it is lively"), _is_lean),
        (mark("it may raise a first bread, with time"), lambda day: day.raises >= 0.5),
        (mark("it is as likely as not to be trusted"), lambda day: day.ready >= 0.5),
        (mark("it may well be trusted"), lambda day: day.ready >= SURE),
    )
    firsts = [(what, next((day for day in days if holds(day)), None)) for what, holds in steps]
    reached = [(day.calendar, what, day) for what, day in firsts if day is not None]
    found = [
        say(
            SINCE if day.number <= fed else FROM,
            number=number,
            when=clock.day(clock.local(day.at).date()),
            what=say(what),
        )
        for number, what, day in sorted(reached, key=lambda each: each[0])
    ]
    found += [
        say("Not yet in sight: {what}.", what=say(what)) for what, day in firsts if day is None
    ][:1]
    return tuple(found)


def warmer(places: Sequence[Elsewhere]) -> tuple[str, ...]:
    """How soon it would be trusted elsewhere."""
    own, *sooner = places
    if not sooner:
        return (say("No warmer place here makes it sooner."),)
    found = [
        say(
            "In a cool room it is slow. Trusted from about: {places}.",
            places="; ".join(_elsewhere(each, here=each is own) for each in places),
        )
    ]
    if any(each.means == "lamp" for each in sooner):
        found.append(
            say(
                "An oven that is off, its lamp on and its door ajar, warms a jar to about "
                "{warmth}: put a note on the door. The water of each feed is warmed as the ladder "
                "says (common practice, no source).",
                warmth=warmth(MEANS["lamp"]),
            )
        )
    return tuple(found)


def _is_lean(day: RaisedDay) -> bool:
    return bool(day.keep_g) and day.keep_g / day.total_g < LEAN


def _elsewhere(it: Elsewhere, *, here: bool) -> str:
    """ "day 15 here, at 65 °F", "day 8 in an insulated box with hot water, at 75 °F"."""
    names = {
        "": lower_first(it.place),
        "lamp": say("the oven, off, with its lamp on"),
        "box": say("an insulated box with a jar of hot water"),
    }
    where = say("here") if here else names[it.means]
    at = warmth(it.celsius)
    if it.day is None:
        return say("not yet in sight {where}, at {at}", where=where, at=at)
    return say("day {number} {where}, at {at}", number=it.day, where=where, at=at)


def asks(name: str) -> tuple[Choice, ...]:
    """What comes next for one that may be trusted."""
    return (
        Choice("/week/wish", say("Plan a bake")),
        Choice(f"/cultures/{name}/keep", say("Keep it going")),
    )


def picture(life: Life, days: Sequence[RaisedDay], said: Sequence[Entry], clock: Clock) -> Drawing:
    """Its days as one drawing."""
    first = fed_days(life)[0].fed.at
    seen = [
        ((at - first).total_seconds() / 3600, rise) for at, rise in rises_seen(said) if at >= first
    ]
    words = say(
        "How {name} rose from feed to feed, and is likely to rise in the days ahead.",
        name=life.name,
    )
    return young_chart(days, seen, clock, words)


def _g(grams: Fraction) -> str:
    return written(print_number(float(grams), 1))


def _one(value: float) -> str:
    return written(print_number(value, 1))
