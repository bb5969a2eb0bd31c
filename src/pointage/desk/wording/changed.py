"""What was otherwise between two bakes, a sentence each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import timedelta

from pointage import shown
from pointage.formula.ingredients import ingredients
from pointage.language import say, within
from pointage.quantities import print_duration, print_number
from pointage.timetable.changed import Difference, DifferenceKind, ShareChange

TO_MIN = timedelta(minutes=5)


def difference_words(found: Difference) -> str:
    """What was otherwise, and by how much it brought the bulk on or held it up."""
    sentence = _SENTENCES[found.kind](found)
    if found.sooner is None:
        return f"{sentence}."
    rounded = TO_MIN * round(abs(found.sooner) / TO_MIN)
    if not rounded:
        return say("{sentence}: hardly any difference to the bulk.", sentence=sentence)
    by = print_duration(rounded)
    if found.sooner > timedelta():
        return say("{sentence}: about {by} faster.", sentence=sentence, by=by)
    return say("{sentence}: about {by} slower.", sentence=sentence, by=by)


def _formula(it: Difference) -> str:
    changes = "; ".join(map(_share, it.shares))
    return say("The formula was changed: {changes}", changes=changes)


def _share(change: ShareChange) -> str:
    now, then = print_number(change.now), print_number(change.then)
    if change.is_stage:
        return say(
            "{stage} {now} % of the flour against {then} %",
            stage=within(change.name),
            now=now,
            then=then,
        )
    name = change.name
    label = within(say(ingredients()[name].label)) if name in ingredients() else name
    return say("{ingredient} {now} % against {then} %", ingredient=label, now=now, then=then)


def _seed(it: Difference) -> str:
    now, then = it.numbers
    if now > then:
        return say(
            "The levain was built with more seed ({now:.0f} % against {then:.0f} % of its flour)",
            now=now,
            then=then,
        )
    return say(
        "The levain was built with less seed ({now:.0f} % against {then:.0f} % of its flour)",
        now=now,
        then=then,
    )


def _age(it: Difference) -> str:
    now, then = it.spans
    parts = {"by": abs(now - then), "now": now, "then": then}
    printed = {name: print_duration(each) for name, each in parts.items()}
    if now > then:
        return say("The levain was {by} older when it was mixed ({now} against {then})", **printed)
    return say("The levain was {by} younger when it was mixed ({now} against {then})", **printed)


def _dough(it: Difference) -> str:
    by, temperatures = _apart(it), _temperatures(it)
    if it.numbers[0] > it.numbers[1]:
        return say("The dough was {by} warmer ({temperatures})", by=by, temperatures=temperatures)
    return say("The dough was {by} cooler ({temperatures})", by=by, temperatures=temperatures)


def _place(it: Difference) -> str:
    by, temperatures = _apart(it), _temperatures(it)
    here, there = it.names
    place = here
    if here != there:
        place = say("{here}, not {there},", here=here, there=within(there))
    if it.numbers[0] > it.numbers[1]:
        return say(
            "{place} was {by} warmer ({temperatures})",
            place=place,
            by=by,
            temperatures=temperatures,
        )
    return say(
        "{place} was {by} cooler ({temperatures})", place=place, by=by, temperatures=temperatures
    )


def _apart(it: Difference) -> str:
    now, then = it.numbers
    return shown.apart(abs(now - then))


def _temperatures(it: Difference) -> str:
    now, then = it.numbers
    return say(
        "{now} against {then}",
        now=shown.warmth_number(now, tenths=True),
        then=shown.warmth(then, tenths=True),
    )


def _bulk(it: Difference) -> str:
    now, then = map(print_duration, it.spans)
    if it.spans[0] > it.spans[1]:
        return say("The bulk was longer: {now} against {then}", now=now, then=then)
    return say("The bulk was shorter: {now} against {then}", now=now, then=then)


def _rise(it: Difference) -> str:
    now, then = it.numbers
    if now > then:
        return say(
            "It had risen more when last read: {now:.2f} against {then:.2f}", now=now, then=then
        )
    return say("It had risen less when last read: {now:.2f} against {then:.2f}", now=now, then=then)


def _proof(it: Difference) -> str:
    now, then = map(print_duration, it.spans)
    match it.retarded:
        case (True, False):
            return say("It was retarded for {now}, not proved for {then}", now=now, then=then)
        case (False, True):
            return say("It was proved for {now}, not retarded for {then}", now=now, then=then)
        case (True, True):
            return say("It was retarded for {now} against {then}", now=now, then=then)
    return say("It was proved for {now} against {then}", now=now, then=then)


def _oven(it: Difference) -> str:
    now, then = it.numbers
    return say(
        "The oven was at {now} against {then}",
        now=shown.warmth_number(now),
        then=shown.warmth(then),
    )


def _minutes(it: Difference) -> str:
    now, then = it.numbers
    return say(
        "It was in the oven {now:.0f} against {then:.0f} min",
        now=now,
        then=then,
    )


def _hands(it: Difference) -> str:
    now, then = it.names
    return say("{now} made it, not {then}", now=now, then=then)


_SENTENCES: Mapping[DifferenceKind, Callable[[Difference], str]] = {
    DifferenceKind.FORMULA: _formula,
    DifferenceKind.SEED: _seed,
    DifferenceKind.AGE: _age,
    DifferenceKind.DOUGH: _dough,
    DifferenceKind.PLACE: _place,
    DifferenceKind.BULK: _bulk,
    DifferenceKind.RISE: _rise,
    DifferenceKind.PROOF: _proof,
    DifferenceKind.OVEN: _oven,
    DifferenceKind.MINUTES: _minutes,
    DifferenceKind.HANDS: _hands,
}
