"""`pointage scale`: a formula for so many pieces."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from fractions import Fraction
from typing import TYPE_CHECKING, Annotated, Any

from pointage.cli.declared import Argument, KitchenFile, Option
from pointage.language import say, written

if TYPE_CHECKING:
    from pointage.desk.formulas.scale import ScaleAnswer
    from pointage.desk.formulas.volumes import MeasuredRow
    from pointage.errors import Faults
    from pointage.formula.formula import Formula


def scale(
    formula: Annotated[str, Argument(metavar="FORMULA.toml", help="The formula's file.")],
    *,
    pieces: Annotated[
        str | None,
        Option(help="How many pieces; else as many as flour, levain, vessel or oven allow."),
    ] = None,
    piece: Annotated[
        str | None,
        Option(help="The mass of a piece before baking, such as 900g; else the formula's."),
    ] = None,
    step: Annotated[str, Option(help="The step of the scale, such as 1g.")] = "1g",
    baked: Annotated[
        str | None, Option(help="The mass of a piece out of the oven, such as 800g.")
    ] = None,
    oven_loss: Annotated[
        str | None,
        Option(help="What a piece loses in the oven, of its dough; else 12%.", metavar="PERCENT"),
    ] = None,
    bowl_loss: Annotated[
        str, Option(help="What sticks to bowl and hands, of the dough.", metavar="PERCENT")
    ] = "0%",
    flour_on_hand: Annotated[
        list[str] | None,
        Option(help="The flour available: 5kg, or rye-whole:2kg for a kind; may be repeated."),
    ] = None,
    levain_on_hand: Annotated[
        str | None, Option(help="The ripe levain there is, as wet as the formula's, such as 300g.")
    ] = None,
    levain_hydration: Annotated[
        str | None,
        Option(help="Its water, of its flour, where that is not the formula's.", metavar="PERCENT"),
    ] = None,
    levain_flour: Annotated[
        str | None,
        Option(help="Its flour where it is another: rye-whole, or 'rye-whole 60, wheat-white 40'."),
    ] = None,
    levain_age: Annotated[
        str | None,
        Option(help="How long ago it was mixed, such as 14h: what that does to the bulk."),
    ] = None,
    discard: Annotated[
        str | None, Option(help="Discard to use up as part of the flour and water, such as 150g.")
    ] = None,
    discard_hydration: Annotated[
        str | None,
        Option(help="Water of the discard, of its flour; else the levain's.", metavar="PERCENT"),
    ] = None,
    people: Annotated[
        str | None, Option(help="As many pieces as so many people eat, at 120 g of bread each.")
    ] = None,
    tin: Annotated[
        str | None, Option(help="The volume of a tin that a piece fills when it has proofed.")
    ] = None,
    vessel: Annotated[
        str | None, Option(help="The volume that the risen dough may fill, such as 12l.")
    ] = None,
    rise: Annotated[
        str | None,
        Option(help="The rise in that vessel, such as 1.8; else the most of the formula's bulk."),
    ] = None,
    oven_loads: Annotated[
        str | None, Option(help="As many pieces as the kitchen's oven takes in so many loads.")
    ] = None,
    kitchen: KitchenFile = None,
    fine_step: Annotated[
        str | None, Option(help="The step of a finer scale for small amounts, such as 0.1g.")
    ] = None,
    fine_capacity: Annotated[
        str | None, Option(help="The most that the finer scale carries; else 500g.")
    ] = None,
    volumes: Annotated[bool, Option("--volumes", help="Show cups and spoons as well.")] = False,
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Calculate the grams of a formula for so many pieces.

    They are rounded once, to the scale's step.
    """
    from pointage.bounds import DOUGH_LOSS, LOADS, PIECE_G, STEP_G
    from pointage.cli.files import read_kitchen_text
    from pointage.cli.options import as_options, refuse_idle
    from pointage.errors import Faults
    from pointage.quantities import parse_count, parse_mass, split_number

    def share(text: str, field: str) -> Fraction:
        return Fraction(str(DOUGH_LOSS.read(text, field))) / 100

    faults = Faults()
    take, maybe = faults.take, faults.maybe
    if vessel is None:
        rise = take(refuse_idle, "--vessel", rise=rise)
    if fine_step is None:
        fine_capacity = take(refuse_idle, "--fine-step", fine_capacity=fine_capacity)
    if discard is None:
        discard_hydration = take(refuse_idle, "--discard", discard_hydration=discard_hydration)
    if baked is None and people is None and not json:
        oven_loss = take(refuse_idle, say("--baked, --people or --json"), oven_loss=oven_loss)
    count = maybe(parse_count, pieces, "--pieces")
    piece_g = maybe(PIECE_G.grams, piece, "--piece")
    step_g = take(STEP_G.grams, step, "--step")
    loads = maybe(LOADS.count, oven_loads, "--oven-loads")
    there = _there(
        faults, baked=baked, levain_on_hand=levain_on_hand, levain_hydration=levain_hydration,
        levain_age=levain_age, discard=discard, discard_hydration=discard_hydration,
        people=people, tin=tin,
    )  # fmt: skip
    lost = maybe(share, oven_loss, "--oven-loss")
    sticks = take(share, bowl_loss, "--bowl-loss")
    there |= _there(faults, vessel=vessel)
    grown = maybe(split_number, rise, "--rise", say("a rise such as 1.8"))
    fine_g = maybe(STEP_G.grams, fine_step, "--fine-step")
    carries_g = take(parse_mass, fine_capacity or "500g", "--fine-capacity")
    made = take(_read, formula)
    kitchen_text = maybe(read_kitchen_text, kitchen, "--kitchen")
    if (
        kitchen is None and not flour_on_hand and levain_flour is None
    ):  # all that the engine is needed for to find a fault
        faults.check()
    from pointage.desk.at_hand import at_hand
    from pointage.desk.formulas.on_hand import read_flours
    from pointage.desk.formulas.scale import (  # the engine, once the files are read
        Wants,
        read_on_hand,
        scale_formula,
    )
    from pointage.formula.aim import OVEN_LOSS
    from pointage.formula.scale import FineScale

    take(read_on_hand, flour_on_hand or (), "--flour-on-hand")
    flours = maybe(read_flours, levain_flour, "--levain-flour")
    now = datetime.now(UTC)
    here = take(at_hand, now, kitchen_text, kitchen)
    faults.check()
    wants = Wants(
        oven_loss=OVEN_LOSS if lost is None else lost,
        bowl_loss=sticks,
        flour_on_hand=tuple(flour_on_hand or ()),
        rise=None if grown is None else float(grown[0]),
        ovens=None if loads is None else here.file.ovens,
        loads=loads or 1,
        fine=None if fine_g is None else FineScale(fine_g, carries_g),
        levain_flours=flours,
        **there,
    )
    with as_options(
        pieces=pieces, piece=piece, step=step, baked=baked, vessel=vessel, rise=rise,
        bowl_loss=bowl_loss, oven_loss=oven_loss, flour_on_hand=flour_on_hand, fine_step=fine_step,
        loads=oven_loads,
        levain_on_hand=levain_on_hand, levain_hydration=levain_hydration,
        levain_flour=levain_flour, levain_age=levain_age, discard=discard,
        discard_hydration=discard_hydration, people=people, tin=tin,
    ):  # fmt: skip
        found = scale_formula(
            made, count, piece_g, step_g, wants=wants, flours=here.flours,
            kitchen=here.kitchen, now=now,
        )  # fmt: skip
    _answer(found, _measured(found) if volumes else (), json=json, volumes=volumes)


def _answer(found: ScaleAnswer, cups: Sequence[MeasuredRow], *, json: bool, volumes: bool) -> None:
    from pointage.cli.table import print_json

    if json:
        answer = found.as_json()
        if volumes:
            answer["volumes"] = [row.as_json() for row in cups]
        print_json(answer)
    else:
        _print(found)
        _print_measured(cups)


def _there(faults: Faults, **given: str | None) -> dict[str, Any]:
    """The fields of `Wants` that options of this kind fill, and their faults."""
    from pointage.bounds import HYDRATION, LEVAIN_AGE_H, PIECES_MADE
    from pointage.quantities import parse_mass, parse_volume

    def water(text: str, field: str) -> Fraction:
        return Fraction(str(HYDRATION.read(text, field))) / 100

    fields: dict[str, tuple[str, Callable[[str, str], Any]]] = {
        "baked": ("baked_g", parse_mass),
        "levain_on_hand": ("levain_g", parse_mass),
        "levain_hydration": ("levain_hydration", water),
        "levain_age": ("levain_age_h", LEVAIN_AGE_H.read),
        "discard": ("discard_g", parse_mass),
        "discard_hydration": ("discard_hydration", water),
        "people": ("people", PIECES_MADE.count),
        "tin": ("tin_l", parse_volume),
        "vessel": ("vessel_l", parse_volume),
    }
    return {
        fields[name][0]: faults.maybe(fields[name][1], text, f"--{name.replace('_', '-')}")
        for name, text in given.items()
    }


def _read(path: str) -> Formula:
    from pointage.cli.files import read_text

    text = read_text(path, "FORMULA.toml")
    from pointage.formula.file.read import read_formula  # once there is such a file

    return read_formula(text, path)


def _measured(found: ScaleAnswer) -> tuple[MeasuredRow, ...]:
    from pointage.desk.formulas.volumes import measured

    return measured({row.name: row.grams for row in found.batch.rows})


def _print_measured(rows: Sequence[MeasuredRow]) -> None:
    from pointage.cli.table import table
    from pointage.desk.formulas.volumes import TRUTH

    if rows:
        cells = [
            [
                row.name,
                row.measure or say("weigh it"),
                f"{row.off:.0f} %" if row.off else "",
                row.source or "",
            ]
            for row in rows
        ]
        heads = [say("measured"), say("about"), say("can be off"), say("density from")]
        print("\n" + table(heads, cells))
        print(say(TRUTH))


def _print(found: ScaleAnswer) -> None:
    from pointage.cli.table import grams, table
    from pointage.quantities import print_number

    answer = found.as_json()
    for part in ({"name": say("total formula"), "rows": answer["ingredients"]}, *answer["stages"]):
        rows = [
            [row["name"], grams(row["grams"]), written(print_number(row["percent"], 2))]
            for row in part["rows"]
        ]
        rows += [[each["name"], grams(each["grams"]), ""] for each in part.get("takes", ())]
        print(table([part["name"], say("mass"), say("% of flour")], rows) + "\n")
    print(
        say(
            "total {total}, {pieces} of {piece}",
            total=grams(answer["total_g"]),
            pieces=answer["pieces"],
            piece=grams(answer["piece_g"], 1),
        )
    )
    if answer["drift_g"]:
        print(say("rounding makes it {grams:+.2f} g", grams=answer["drift_g"]))
    print(
        say(
            "hydration {hydration:.0f} %, dough yield {dough_yield:.0f}, "
            "prefermented flour {prefermented:.0f} %",
            hydration=100 * answer["hydration"],
            dough_yield=answer["dough_yield"],
            prefermented=100 * answer["prefermented_flour"],
        )
    )
    for note in found.notes:
        print(note)
    for warning in found.warnings:
        print(say("Warning: {warning}.", warning=warning))
