"""`pointage now`: the kitchen as it stands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Annotated, Any

from pointage.cli.declared import Option
from pointage.language import mark, say, written
from pointage.shown import clock_text, dated_text, day_name, warmth

NOTHING = "–"
STATES = (mark("living"), mark("drying"), mark("dried"), mark("frozen"), mark("retired"))
SET_ASIDE = (mark("entry"), mark("formula"), mark("kitchen"))
"""Words of the answer, which are translated where they are printed."""
Line = Sequence[str]


def now(
    *,
    at: Annotated[
        str | None,
        Option("--now", help="The time to show, such as 2026-12-01T12:00; else the current time."),
    ] = None,
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Show the kitchen now: cultures, bakes, stock and places.

    What is set aside is listed with its reason.
    """
    from pointage.cli.table import print_json
    from pointage.desk.at_hand import at_hand_at
    from pointage.desk.kitchen.figures import now_json

    answer = now_json(*at_hand_at(at))
    if json:
        print_json(answer)
    else:
        _print(answer)


def _print(answer: dict[str, Any]) -> None:
    from pointage.cli.table import table
    from pointage.cli.terminal import harmless

    print(f"{harmless(answer['kitchen'])}, {_clock(answer['now'])}, {answer['zone']}")
    for words, headings, rows in _tables(answer):
        if rows:
            print(f"\n{table(headings, rows, words)}")
    if answer["set_aside"]:
        print()
    for each in answer["set_aside"]:
        line = say(
            "Set aside: {what} {name}: {reason}",
            what=say(each["what"]),
            name=each["id"],
            reason=each["reason"],
        )
        print(harmless(line))


def _tables(answer: dict[str, Any]) -> Iterator[tuple[int, Line, list[Line]]]:
    """Each table with how many of its columns are words."""
    cultures, bakes, stock = (answer[key] for key in ("cultures", "bakes", "stock"))
    yield (
        6,
        _headings(
            mark("culture"),
            mark("made of"),
            mark("where"),
            mark("state"),
            mark("fed"),
            mark("keeps cold to"),
            mark("there"),
            mark("rise"),
            mark("pH"),
        ),
        [_culture(each) for each in cultures],
    )
    planned = _headings(mark("planned bake"), mark("ready"), mark("next"), mark("at"))
    yield 4, planned, [_bake(each) for each in bakes]
    yield (
        1,
        _headings(mark("in stock"), mark("there"), mark("reserved"), mark("free")),
        [
            (say(each["label"]), *(_grams(each[key]) for key in ("grams", "reserved_g", "free_g")))
            for each in stock
        ],
    )
    places = [
        (each["name"], warmth(each["temperature_c"], tenths=True)) for each in answer["places"]
    ]
    yield 1, _headings(mark("place"), mark("now")), list(places)


def _headings(*words: str) -> Line:
    return [say(each) for each in words]


def _culture(each: dict[str, Any]) -> Line:
    flours = [f"{kind} {100 * share:.0f} %" for kind, share in each["flours"].items()]
    wet = each["hydration"]
    water = [] if wet is None else [say("water {percent:.0f} %", percent=100 * wet)]
    measured = (each["rise"], each["ph"])
    return (
        each["name"],
        ", ".join([*flours, *water]) or NOTHING,
        each["place"] or NOTHING,
        say(each["state"]),
        _clock(each["fed"]),
        _clock(each["holds_until"]),
        _grams(each["grams"]),
        *(NOTHING if value is None else written(f"{value:.1f}") for value in measured),
    )


def _bake(each: dict[str, Any]) -> Line:
    coming = each["next"] or {"title": say("nothing"), "start": None}
    made = f"{each['formula']}, {each['pieces']}"
    return made, _clock(each["ready"]), coming["title"], _clock(coming["start"])


def _grams(value: float) -> str:
    from pointage.quantities import print_number

    return say("{number} g", number=print_number(value))


def _clock(instant: str | None) -> str:
    """ "Wed 25 Nov 2026 09:00", by the clock of the kitchen, which the instant goes by."""
    from datetime import datetime

    if instant is None:
        return NOTHING
    at = datetime.fromisoformat(instant)
    return f"{day_name(at)} {dated_text(at)} {clock_text(at)}"
