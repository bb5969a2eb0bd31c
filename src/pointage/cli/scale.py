"""`pointage scale`: a formula for so many pieces."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

from typer import Argument, Option

if TYPE_CHECKING:
    from pointage.desk.scale import ScaleAnswer
    from pointage.desk.volumes import MeasuredRow


def scale(
    formula: Annotated[str, Argument(metavar="FORMULA.toml", help="The formula's file.")],
    pieces: Annotated[str, Option(help="How many pieces.")],
    piece: Annotated[str, Option(help="The mass of a piece before baking, such as 900g.")],
    step: Annotated[str, Option(help="The step of the scale, such as 1g.")] = "1g",
    *,
    volumes: Annotated[bool, Option("--volumes", help="Tell cups and spoons too.")] = False,
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Work out the grams of a formula for so many pieces, rounded once to the scale's step."""
    from pointage.cli.files import read_text
    from pointage.cli.options import as_options
    from pointage.cli.table import print_json
    from pointage.quantities import parse_count, parse_mass

    count = parse_count(pieces, "--pieces")
    piece_g, step_g = parse_mass(piece, "--piece"), parse_mass(step, "--step")
    text = read_text(formula, "FORMULA.toml")
    from pointage.desk.scale import scale_formula  # the engine, once the file is read

    with as_options(pieces=pieces, piece=piece, step=step):
        found = scale_formula(text, formula, count, piece_g, step_g)
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
    from pointage.desk.volumes import measured

    return measured({row.name: row.grams for row in found.batch.rows})


def _print_measured(rows: Sequence[MeasuredRow]) -> None:
    from pointage.cli.table import table
    from pointage.desk.volumes import TRUTH

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
        print(table([part["name"], "mass", "% of flour"], rows) + "\n")
    print(f"total {print_number(answer['total_g'], 2)} g")
    print(
        f"hydration {100 * answer['hydration']:.0f} %, dough yield {answer['dough_yield']:.0f}, "
        f"prefermented flour {100 * answer['prefermented_flour']:.0f} %"
    )
    for warning in found.warnings:
        print(f"Take care: {warning}.")
