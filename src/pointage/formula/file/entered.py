"""What is in each stage, from the side it was entered: the total, grams, or each stage's percents.

All come to the same: percent of the total flour of what is put to each stage itself, and the share
it takes of others. docs/formulas.md describes the three.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from pointage.errors import MISSING, At, Complaint, Faults, InputError
from pointage.formula.file import shape
from pointage.formula.file.figures import (
    MOST_PERCENT,
    exact,
    mass,
    number,
    percent,
)
from pointage.formula.formula import StageKind
from pointage.formula.graph import Shares
from pointage.formula.ingredients import split
from pointage.language import mark, say, say_many
from pointage.toml import as_text, names_of, place_of, row_of, rows_of

MOST_OF_A_STAGE = 100_000  # of another stage: a spoon of fresh flour may go into a tub of levain
AMOUNTS = ("flour", "flours", "water", "takes", "grams", "percent")

Parts = dict[str, Fraction]

_PERCENT_OF: Mapping[str | int, str] = {
    "total": mark("a percentage of the flour, 0 to {most}"),
    "flours": mark("a percentage of the flour, 0 to {most}"),
    "takes": mark("a percentage of the total flour, 0 to {most}"),
    "percent": mark("a percentage of the stage's flour, 0 to {most}"),
}


def check_amounts(table: Mapping[str, Any], source: str) -> None:
    """Raises InputError for each amount of a file that can be none."""
    faults, stages = Faults(), names_of(table, "stage")
    places = [(place_of(source, "total"), table.get("total"))]
    places += [
        (place_of(row_of(source, "stage", number), key), stage.get(key))
        for number, stage in enumerate(rows_of(table, "stage"))
        for key in ("flours", "takes", "grams", "percent")
    ]
    for here, amounts in places:
        for name, given in amounts.items() if isinstance(amounts, Mapping) else ():
            if isinstance(text := as_text(given), str):
                most = MOST_OF_A_STAGE if name in stages else MOST_PERCENT
                faults.take(_amount_of, text, place_of(here, name), most)
    faults.check()


def _amount_of(text: str, field: At, most: int) -> None:
    if "grams" in field.path:
        mass(text, field)
        return
    of_what = next(_PERCENT_OF[key] for key in field.path if key in _PERCENT_OF)
    expected = say(of_what, most=most)
    if exact(text, field, expected)[1] in ("", "%"):
        number(text, field, expected, most)
    else:
        mass(text, field)


@dataclass(frozen=True, slots=True)
class EnteredStage:
    """A stage as entered. number: its place in the file, from 0."""

    table: shape.StageTable
    number: int
    parts_of: Shares

    @property
    def label(self) -> str:
        return say("stage {number}", number=self.number + 1)

    def here(self, source: str) -> At:
        """Its place in errors."""
        return row_of(source, "stage", self.number)

    @property
    def is_dough(self) -> bool:
        return self.table.kind == "dough"


@dataclass(frozen=True, slots=True)
class EnteredAmounts:
    """Percent of the total flour in each stage; the shares it takes; grams of all, if known."""

    parts: list[Parts]
    parts_of: list[Shares]
    mass_g: Fraction | None


def from_total(
    total: Mapping[str, str], entries: Sequence[EnteredStage], source: str
) -> EnteredAmounts:
    """What each stage has of the total formula; the dough has the rest.

    The total may be in percent or in masses. entries: in mixing order. Raises InputError.
    """
    whole, flour_g = _whole(total, place_of(source, "total"))
    flours = {name: part for name, part in whole.items() if split(name).flour}
    sum_of_flours = sum(flours.values(), Fraction())
    if sum_of_flours != 100:
        raise InputError(
            place_of(source, "total"),
            say("{percent} of flour", percent=percent(sum_of_flours)),
            say("flours that come to 100 % together"),
        )
    own: dict[str, Parts] = {}
    inside: dict[str, Parts] = {}
    faults = Faults()
    for entry in entries:
        name = entry.table.name
        if entry.is_dough:
            expected = say("none: it has what the others leave")
            name, given = entry.table.name, say("an amount beside [total]")
            faults.take(_refuse, entry, AMOUNTS, given, expected, source, name=name)
            continue
        if not entry.parts_of.keys() <= inside.keys():
            continue  # it takes of one that is at fault
        brought = _sum([_times(inside[other], part) for other, part in entry.parts_of.items()])
        with faults:
            own[name] = _taken(entry, whole, flour_g, brought, source)
            inside[name] = _sum([own[name], brought])
    faults.check()
    rest = _sum([whole, *(_times(parts, Fraction(-1)) for parts in own.values())])
    _check_rest(rest, whole, entries, own, source)
    dough = {name: left for name, left in rest.items() if left > 0}
    return EnteredAmounts(
        [own.get(each.table.name, dough) for each in entries],
        [each.parts_of for each in entries],
        None if flour_g is None else sum(whole.values(), Fraction()) * flour_g / 100,
    )


def from_grams(entries: Sequence[EnteredStage], source: str) -> EnteredAmounts:
    """Each stage in percent of the flour of all. Raises InputError."""
    faults = Faults()
    found = [faults.take(_grams, entry, entry.here(source), source) for entry in entries]
    faults.check()
    mass_g = sum((g for parts in found for g in parts.values()), Fraction())
    return EnteredAmounts(_of_flour(found, source), [each.parts_of for each in entries], mass_g)


def _grams(entry: EnteredStage, here: At, source: str) -> Parts:
    if entry.table.grams is None and not entry.parts_of:
        expected = say("grams in every stage, or a table [total]")
        raise InputError(place_of(here, "grams"), MISSING, expected)
    beside = (*AMOUNTS[:4], "percent")
    _refuse(entry, beside, say("a percent beside grams"), say("either percents or grams"), source)
    grams = {
        name: mass(text, place_of(here, "grams", name))
        for name, text in (entry.table.grams or {}).items()
    }
    return {name: each for name, each in grams.items() if each}


def from_percents(entries: Sequence[EnteredStage], source: str) -> EnteredAmounts:
    """Each stage in percent of its own fresh flour, with what it takes of others as well.

    A stage is made as large as those that take from it want. entries: in mixing order, the
    additions last. Raises InputError.
    """
    names = {each.table.name for each in entries}
    own: dict[str, Parts] = {}
    wanted: dict[str, Parts] = {name: {} for name in names}  # of each stage, by who takes it
    dough = next(i for i, each in enumerate(entries) if each.is_dough)
    faults = Faults()
    every = {each.number: faults.take(_own_percents, each, names, source) for each in entries}
    faults.check()
    for entry in (*entries[dough:], *reversed(entries[:dough])):
        name, parts, here = entry.table.name, every[entry.number], entry.here(source)
        size = Fraction(1)
        if not entry.is_dough:
            size = sum(wanted[name].values(), Fraction()) / sum(parts.values(), Fraction())
            if not size:
                raise InputError(
                    here,
                    Complaint(say("no stage that takes {name!r}", name=name)),
                    say("one that does, and how much of it"),
                )
        for other in parts.keys() & names:
            wanted[other][name] = size * parts[other]
        own[name] = {each: size * part for each, part in parts.items() if each not in names}
    shares: dict[str, Shares] = {name: {} for name in names}
    for other, takers in wanted.items():
        for taker, taken in takers.items():
            shares[taker][other] = taken / sum(takers.values(), Fraction())
    parts_of = [shares[each.table.name] for each in entries]
    return EnteredAmounts(_of_flour([own[e.table.name] for e in entries], source), parts_of, None)


def _own_percents(entry: EnteredStage, names: set[str], source: str) -> Parts:
    here = place_of(entry.here(source), "percent")
    _refuse(entry, (*AMOUNTS[:5], "parts_of"), say("beside percent"), say("percents alone"), source)
    if not entry.table.percent:
        raise InputError(here, MISSING, say("percentages in every stage, or a table [total]"))
    parts: Parts = {}
    for name, text in entry.table.percent.items():
        most = MOST_OF_A_STAGE
        if name not in names:
            most = MOST_PERCENT
        expected = say("a percentage of the stage's flour, 0 to {most}", most=most)
        if part := number(text, place_of(here, name), expected, most):
            parts[name] = part
    flour = sum(
        (part for name, part in parts.items() if name not in names and split(name).flour),
        Fraction(),
    )
    if flour not in (0, 100) or not parts:
        raise InputError(
            here,
            say("{percent} of flour", percent=percent(flour)),
            say("flours that come to 100 %"),
        )
    return parts


def percents(table: Mapping[str, str], here: str) -> Parts:
    """A table of percentages by ingredient."""
    expected = say("a percentage of the flour, 0 to {most}", most=MOST_PERCENT)
    faults = Faults()
    found = {
        name: faults.take(number, text, place_of(here, name), expected)
        for name, text in table.items()
    }
    faults.check()
    return found


def _whole(total: Mapping[str, str], here: str) -> tuple[Parts, Fraction | None]:
    """The total in percent of its flour, and grams of flour where it was given in masses."""
    units = {
        name: exact(text, place_of(here, name), "a percentage")[1] for name, text in total.items()
    }
    bare = [name for name, unit in units.items() if unit in ("", "%")]
    if bare:
        return percents(total, here), None
    masses = {name: mass(text, place_of(here, name)) for name, text in total.items()}
    flour_g = sum((g for name, g in masses.items() if split(name).flour), Fraction())
    if not flour_g:
        raise InputError(here, Complaint(say("no flour")), say("some flour"))
    return _times(masses, 100 / flour_g), flour_g


def _taken(
    entry: EnteredStage, whole: Parts, flour_g: Fraction | None, brought: Parts, source: str
) -> Parts:
    """What is put to a stage itself, percent of the total flour; `brought` comes from others."""
    table, here, faults = entry.table, entry.here(source), Faults()
    for key in ("grams", "percent"):
        if getattr(table, key) is not None:
            given, expected = (
                say("{key} beside [total]", key=key),
                say("either percents or grams, not both"),
            )
            faults.found.append(InputError(place_of(here, key), given, expected))
    parts: Parts = {}
    if table.flour is not None:
        with faults:
            flour = _amount(table.flour, place_of(here, "flour"), flour_g, 100)
            if (
                StageKind(table.kind) is StageKind.OLD_DOUGH
                and table.flours is None
                and table.water is None
            ):
                parts = _times(whole, flour / 100)
            else:
                parts = _flours_and_water(entry, flour, whole, brought, here)
    elif table.water is not None or table.flours is not None:
        expected = say("how much of the total flour it takes, such as 18")
        faults.found.append(InputError(place_of(here, "flour"), MISSING, expected))
    for name, text in table.takes.items():
        with faults:
            more = _amount(text, place_of(here, "takes", name), flour_g)
            parts[name] = parts.get(name, Fraction()) + more
    faults.check()
    parts = {name: part for name, part in parts.items() if part}
    if not parts and not entry.parts_of:
        raise InputError(
            here,
            Complaint(say("nothing in it")),
            say("flour and water, or what it takes of other stages"),
        )
    return parts


def _flours_and_water(
    entry: EnteredStage, flour: Fraction, whole: Parts, brought: Parts, here: str
) -> Parts:
    """Fresh flour and water for a stage of `flour`, that in what it takes from others counted."""
    table = entry.table
    blend = {name: part for name, part in whole.items() if split(name).flour}
    if table.flours is not None:
        blend = percents(table.flours, place_of(here, "flours"))
        for name in blend:
            if not split(name).flour:
                raise InputError(place_of(here, "flours"), repr(name), say("kinds of flour only"))
        if sum(blend.values()) != 100:
            given = percent(sum(blend.values(), Fraction()))
            raise InputError(place_of(here, "flours"), given, say("flours that come to 100 %"))
    others = say(" and ").join(entry.parts_of)
    has = sum((part for name, part in brought.items() if split(name).flour), Fraction())
    if has > flour:
        expected = say("at least {has}, which {others} brings", has=percent(has), others=others)
        raise InputError(place_of(here, "flour"), percent(flour), expected)
    parts = _times(blend, (flour - has) / 100)
    if table.water is not None:
        expected = say("percent of the stage's flour")
        hydration = number(table.water, place_of(here, "water"), expected, says_most=False)
        water = flour * hydration / 100 - brought.get("water", Fraction())
        if water < 0:
            least = percent(100 * brought["water"] / flour)
            expected = say(
                "at least {least}, because {others} brings that much water",
                least=least,
                others=others,
            )
            raise InputError(place_of(here, "water"), percent(hydration), expected)
        parts["water"] = water
    return parts


def _amount(text: str, field: str, flour_g: Fraction | None, most: int = MOST_PERCENT) -> Fraction:
    """Percent of the total flour, from a percentage or, where its grams are known, a mass."""
    expected = say("a percentage of the total flour, 0 to {most}", most=most)
    if flour_g is not None and exact(text, field, expected)[1] not in ("", "%"):
        return 100 * mass(text, field) / flour_g
    return number(text, field, expected, most)


def _check_rest(
    rest: Parts,
    whole: Parts,
    entries: Sequence[EnteredStage],
    own: Mapping[str, Parts],
    source: str,
) -> None:
    faults = Faults()
    for name, left in rest.items():
        if left >= 0:
            continue
        takers = [
            f"{each.label} ({each.table.name})"
            for each in entries
            if name in own.get(each.table.name, {})
        ]
        given = whole.get(name, Fraction())
        faults.found.append(
            InputError(
                At(f"{source}, {name}", ("total", name)),
                percent(given),
                say_many(
                    "at least {percent}, as {stages} takes that much",
                    "at least {percent}, as {stages} take that much",
                    len(takers),
                    percent=percent(given - left),
                    stages=say(" and ").join(takers),
                ),
            )
        )
    faults.check()


def _refuse(
    entry: EnteredStage,
    keys: Sequence[str],
    given: str,
    expected: str,
    source: str,
    *,
    name: str | None = None,
) -> None:
    """Raises InputError for each of `keys` that is given. name: of the stage, where it is shown."""
    faults, here = Faults(), row_of(source, "stage", entry.number, name)
    for key in keys:
        if getattr(entry.table, key):
            faults.found.append(InputError(place_of(here, key), given, expected))
    faults.check()


def _of_flour(found: Sequence[Parts], source: str) -> list[Parts]:
    flour = sum(
        (part for parts in found for name, part in parts.items() if split(name).flour), Fraction()
    )
    if not flour:
        raise InputError(
            place_of(source, "stage"),
            Complaint(say("no flour")),
            say("flour in at least one stage"),
        )
    return [_times(parts, 100 / flour) for parts in found]


def _sum(all_parts: Sequence[Parts]) -> Parts:
    sums: Parts = {}
    for parts in all_parts:
        for name, part in parts.items():
            sums[name] = sums.get(name, Fraction()) + part
    return sums


def _times(parts: Mapping[str, Fraction], factor: Fraction) -> Parts:
    return {name: factor * part for name, part in parts.items()}
