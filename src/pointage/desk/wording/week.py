"""Why wishes of a week clash, and the ways out, in words."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from typing import Any, Protocol
from zoneinfo import ZoneInfo

from pointage.desk.wording.amounts import length, mass
from pointage.desk.wording.arguments import dated
from pointage.desk.wording.conflicts import conflict_words
from pointage.desk.wording.lists import all_of
from pointage.desk.wording.needs import need_title
from pointage.language import say
from pointage.timetable.upkeep.task import PlacedTask
from pointage.timetable.week.answer import Clash, Relief, ReliefKind


def parts_words(parts: Sequence[tuple[str, float]]) -> str:
    """What each dough, by its formula, has of a build: "400 g for Harbour loaf and 240 g for …"."""
    return all_of(
        say("{mass} for {formula}", mass=mass(grams), formula=formula) for formula, grams in parts
    )


class NamedRow(Protocol):
    """What a wish is called."""

    @property
    def formula(self) -> str: ...


def clash_words(
    clash: Clash, rows: Sequence[NamedRow], numbers: Sequence[int], zone: ZoneInfo
) -> dict[str, Any]:
    """A clash as JSON: its wishes by number from 1, a sentence, and its ways out with theirs.

    numbers: of the clash's wishes, which of the rows.
    """
    wishes = [numbers[each] for each in clash.wishes]
    return {
        "wishes": [each + 1 for each in wishes],
        "name": "wishes" if len(wishes) > 1 else clash.conflicts[0].name.replace("-", " "),
        "sentence": clash_sentence(clash, rows, numbers, zone),
        "ways_out": [
            {
                "kind": each.kind.value,
                "wish": None if each.wish is None else numbers[each.wish] + 1,
                "ready": None
                if each.ready is None
                else each.ready.astimezone(zone).isoformat(timespec="minutes"),
                "price": None if each.price is None else round(each.price, 2),
                "sentence": relief_words(each, rows, numbers, zone),
            }
            for each in clash.ways_out
        ],
    }


def missed_words(placed: PlacedTask, zone: ZoneInfo) -> dict[str, Any]:
    """What a culture needs and nobody is free for, as a row of the conflicts in JSON."""
    return {
        "wishes": [],
        "name": "upkeep",
        "culture": placed.task.culture,
        "sentence": missed_sentence(placed, zone),
        "ways_out": [],
    }


def missed_sentence(placed: PlacedTask, zone: ZoneInfo) -> str:
    """ "Feed Gannet: nobody is free between …; the nearest time is …"."""
    task = placed.task
    first, last = (dated(at.astimezone(zone)) for at in (task.earliest, task.latest))
    title = need_title(task.need)
    if placed.nearest is None:
        return say(
            "{task}: nobody is free between {first} and {last}, nor in the week around that.",
            task=title,
            first=first,
            last=last,
        )
    return say(
        "{task}: nobody is free between {first} and {last}; the nearest time is {time}.",
        task=title,
        first=first,
        last=last,
        time=dated(placed.nearest.astimezone(zone)),
    )


def clash_sentence(
    clash: Clash, rows: Sequence[NamedRow], numbers: Sequence[int], zone: ZoneInfo
) -> str:
    """What cannot be kept together, or why one wish cannot be kept."""
    named = [wish_name(rows, numbers[each]) for each in clash.wishes]
    if len(named) == 1:
        reasons = " ".join(conflict_words(each, zone)[0] for each in clash.conflicts)
        return say("{wish} cannot be kept. {reasons}", wish=named[0], reasons=reasons)
    return say(
        "{wishes} cannot all be kept: hands, oven or room would be needed twice.",
        wishes=all_of(named),
    )


def relief_words(
    relief: Relief, rows: Sequence[NamedRow], numbers: Sequence[int], zone: ZoneInfo
) -> str:
    """A way out with its price."""
    wish = "" if relief.wish is None else wish_name(rows, numbers[relief.wish])
    if relief.kind is ReliefKind.LATER and relief.ready is not None:
        words = say("{wish} at {time}", wish=wish, time=dated(relief.ready.astimezone(zone)))
    elif relief.kind is ReliefKind.SLEEP:
        words = say("Somebody awake in the sleeping hours")
    else:
        words = say("Leave out {wish}", wish=wish)
    if not relief.price:
        return words
    early = length(timedelta(minutes=15 * max(1, round(4 * relief.price))))
    return say("{way} (as dear as bread out {early} too early)", way=words, early=early)


def wish_name(rows: Sequence[NamedRow], number: int) -> str:
    """ "Harbour loaf (no. 2)"."""
    return say("{formula} (no. {number})", number=number + 1, formula=rows[number].formula)
