"""What whoever sends a page or a calendar out of this kitchen should know of it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from pointage.desk.formulas.doubts import doubts_words
from pointage.desk.now.bakes.bake import steps_left
from pointage.desk.now.present import Present
from pointage.desk.sheets.parts.times import dated
from pointage.desk.wording import conflict_words, flag_words, title
from pointage.desk.wording.needs import need_title
from pointage.errors import RangeError
from pointage.formula.formula import Formula, Process
from pointage.formula.label.allergens import unsaid_allergens
from pointage.heat.baking import bake
from pointage.heat.flag import Flag
from pointage.kitchen.kitchen import Kitchen, PlaceKind
from pointage.language import say
from pointage.timetable.oven import oven_bake


def formula_warnings(formula: Formula, kitchen: Kitchen) -> tuple[str, ...]:
    """Of a formula's page: what is still in doubt, what no engine was made for, and what stands
    there in the place of what this kitchen has not."""
    found = [
        say("“{line}” is in doubt: {doubts}", line=each.line, doubts=doubts_words(each.doubts))
        for each in formula.typed
        if each.doubts
    ]
    found += [
        say("the allergens of {name} are not known", name=name)
        for name in unsaid_allergens(formula.total)
    ]
    found += _unlike(formula, kitchen)
    found += map(flag_words, _flags(formula, kitchen))
    return tuple(dict.fromkeys(found))


def culture_warnings(name: str, present: Present, now: datetime) -> tuple[str, ...]:
    """Of the page of a culture that is given away: what it should have had before."""
    zone = present.kitchen.zone
    return tuple(
        say("{task} was to be done by {time}: do it before a piece is given away",
            task=need_title(need), time=dated(need.best_by, zone))
        for need in present.needs(now)
        if need.culture == name and need.best_by < now
    )  # fmt: skip


def calendar_warnings(present: Present, now: datetime) -> tuple[str, ...]:
    """Of a calendar: bakes that cannot be done as planned, what is past and not recorded as done
    (a calendar reminds of nothing that is over), and what of the store cannot be used."""
    return (
        *_of_bakes(present, now),
        *(
            say("{task} was due {time} and is not recorded",
                task=need_title(need), time=dated(need.at, present.kitchen.zone))
            for need in present.needs(now)
            if need.at < now
        ),
        *(each.reason for each in present.set_asides),
    )  # fmt: skip


def _of_bakes(present: Present, now: datetime) -> Iterator[str]:
    zone = present.kitchen.zone
    for found in present.in_hand(now):
        name = found.plan.formula
        for conflict in found.plan.conflicts:
            yield say("{bake}: {text}", bake=name, text=conflict_words(conflict, zone))
        past = [step for step in steps_left(found) if step.hands and step.start < now]
        if past:
            yield say(
                "{bake}: {task} was due {time} and is not recorded",
                bake=name, task=title(past[0]), time=dated(past[0].start, zone),
            )  # fmt: skip


def _unlike(formula: Formula, kitchen: Kitchen) -> Iterator[str]:
    """What the author's kitchen has not, and what the page takes for it."""
    process = formula.process
    places = {place.name.casefold() for place in kitchen.places}
    asked = [stage.place for stage in formula.stages]
    if process is not None:
        asked += [process.bulk_place, process.proof_place]
        has_fridge = any(place.kind is PlaceKind.FRIDGE for place in kitchen.places)
        if process.retard_place is not None and not has_fridge:
            usual = kitchen.warmest_place.name
            yield say("this kitchen has no fridge: {place} stands for it", place=usual)
    for name in dict.fromkeys(asked):
        if name and name.casefold() not in places:
            usual = kitchen.warmest_place.name
            yield say("this kitchen has no “{name}”: {place} stands for it", name=name, place=usual)
    if formula.culture and not any(each.called(formula.culture) for each in kitchen.cultures):
        yield say(
            "this kitchen has no culture “{name}”: one like the levain stands for it",
            name=formula.culture,
        )


def _flags(formula: Formula, kitchen: Kitchen) -> Iterator[Flag]:
    """Of the engine: of each levain, of the dough, and of the bake."""
    from pointage.desk.formulas.share import just_mixed  # with the engine; a calendar needs none

    for each in (*(formula.whole(stage).ingredients for stage in formula.builds), formula.total):
        yield from just_mixed(each).flags()
    process: Process | None = formula.process
    if process is None or not kitchen.ovens:
        return
    try:
        what = oven_bake(formula, process, kitchen, formula.piece_g, formula.pieces)
        yield from bake(what).flags
    except RangeError:
        return  # where the author's minutes stand, and the page takes those
