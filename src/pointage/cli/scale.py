"""`pointage scale`: a formula for so many pieces."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Annotated

from typer import Argument, Option

if TYPE_CHECKING:
    from pointage.desk.formulas.scale import ScaleAnswer
    from pointage.desk.formulas.volumes import MeasuredRow


def scale(
    formula: Annotated[str, Argument(metavar="FORMULA.toml", help="The formula's file.")],
    *,
    pieces: Annotated[
        str | None, Option(help="How many pieces; else as many as flour, vessel or oven allow.")
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
        Option(help="What flour there is: 5kg, or rye-whole:2kg for a kind; may be repeated."),
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
    kitchen: Annotated[
        str | None, Option(metavar="FILE", help="The kitchen's file; else the kitchen at hand.")
    ] = None,
    fine_step: Annotated[
        str | None, Option(help="The step of a finer scale for small amounts, such as 0.1g.")
    ] = None,
    fine_capacity: Annotated[
        str | None, Option(help="The most that the finer scale carries; else 500g.")
    ] = None,
    volumes: Annotated[bool, Option("--volumes", help="Tell cups and spoons too.")] = False,
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Work out the grams of a formula for so many pieces, rounded once to the scale's step."""
    from pointage.bounds import LOADS
    from pointage.cli.files import read_kitchen_text, read_text
    from pointage.cli.options import as_options, refuse_idle
    from pointage.cli.table import print_json
    from pointage.quantities import (
        parse_count,
        parse_mass,
        parse_percent,
        parse_volume,
        split_number,
    )

    if vessel is None:
        refuse_idle("--vessel", rise=rise)
    if fine_step is None:
        refuse_idle("--fine-step", fine_capacity=fine_capacity)
    if baked is None and not json:
        refuse_idle("--baked or --json", oven_loss=oven_loss)
    count = None if pieces is None else parse_count(pieces, "--pieces")
    piece_g = None if piece is None else parse_mass(piece, "--piece")
    step_g = parse_mass(step, "--step")
    loads = None if oven_loads is None else LOADS.count(oven_loads, "--oven-loads")
    text = read_text(formula, "FORMULA.toml")
    kitchen_text = None if kitchen is None else read_kitchen_text(kitchen, "--kitchen")
    from pointage.desk.at_hand import at_hand
    from pointage.desk.formulas.scale import (  # the engine, once the files are read
        Wants,
        scale_formula,
    )
    from pointage.formula.aim import OVEN_LOSS
    from pointage.formula.scale import FineScale

    here = at_hand(datetime.now(UTC), kitchen_text, kitchen)
    grown = None
    if rise is not None:
        grown = float(split_number(rise, "--rise", "a rise such as 1.8")[0])
    fine = None
    if fine_step is not None:
        carries_g = parse_mass(fine_capacity or "500g", "--fine-capacity")
        fine = FineScale(parse_mass(fine_step, "--fine-step"), carries_g)
    wants = Wants(
        baked_g=None if baked is None else parse_mass(baked, "--baked"),
        oven_loss=OVEN_LOSS if oven_loss is None else parse_percent(oven_loss, "--oven-loss"),
        bowl_loss=parse_percent(bowl_loss, "--bowl-loss"),
        flour_on_hand=tuple(flour_on_hand or ()),
        vessel_l=None if vessel is None else parse_volume(vessel, "--vessel"),
        rise=grown,
        ovens=() if loads is None else here.file.ovens,
        loads=loads or 1,
        fine=fine,
    )
    hyphened = {
        "bowl-loss": bowl_loss,
        "oven-loss": oven_loss,
        "flour-on-hand": flour_on_hand,
        "fine-step": fine_step,
    }
    with as_options(
        pieces=pieces, piece=piece, step=step, baked=baked, vessel=vessel, rise=rise, **hyphened
    ):
        found = scale_formula(
            text, formula, count, piece_g, step_g, wants=wants, flours=here.flours
        )
    cups = _measured(found) if volumes else ()
    if json:
        answer = found.as_json()
        if volumes:
            answer["volumes"] = [row.as_json() for row in cups]
        print_json(answer)
    else:
        _print(found)
        _print_measured(cups)


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
                row.measure or "weigh it",
                f"{row.off:.0f} %" if row.off else "",
                row.source or "",
            ]
            for row in rows
        ]
        print("\n" + table(["measured", "about", "can be off", "density from"], cells))
        print(TRUTH)


def _print(found: ScaleAnswer) -> None:
    from pointage.cli.table import table
    from pointage.quantities import print_number

    answer = found.as_json()
    for part in ({"name": "total formula", "rows": answer["ingredients"]}, *answer["stages"]):
        rows = [
            [row["name"], f"{print_number(row['grams'], 2)} g", print_number(row["percent"], 2)]
            for row in part["rows"]
        ]
        rows += [
            [each["name"], f"{print_number(each['grams'], 2)} g", ""]
            for each in part.get("takes", ())
        ]
        print(table([part["name"], "mass", "% of flour"], rows) + "\n")
    made = f", {answer['pieces']} of {print_number(answer['piece_g'], 1)} g"
    print(f"total {print_number(answer['total_g'], 2)} g{made}")
    if answer["drift_g"]:
        print(f"rounding makes it {answer['drift_g']:+.2f} g")
    print(
        f"hydration {100 * answer['hydration']:.0f} %, dough yield {answer['dough_yield']:.0f}, "
        f"prefermented flour {100 * answer['prefermented_flour']:.0f} %"
    )
    for warning in found.warnings:
        print(f"Take care: {warning}.")
