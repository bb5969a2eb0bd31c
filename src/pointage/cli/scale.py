"""`pointage scale`: a formula for so many pieces."""

from __future__ import annotations

from typing import Annotated

from typer import Argument, Option


def scale(
    formula: Annotated[str, Argument(metavar="FORMULA.toml", help="The formula's file.")],
    pieces: Annotated[int, Option(help="How many pieces.")],
    piece: Annotated[str, Option(help="The mass of a piece before baking, such as 900g.")],
    step: Annotated[str, Option(help="The step of the scale, such as 1g.")] = "1g",
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Work out the grams of a formula for so many pieces, rounded once to the scale's step."""
    from pointage.cli.files import read_text
    from pointage.cli.table import print_json, table
    from pointage.quantities import parse_mass, print_number

    text = read_text(formula, "FORMULA.toml")
    piece_g, step_g = parse_mass(piece, "--piece"), parse_mass(step, "--step")
    from pointage.desk.scale import scale_formula  # the engine, once the file is read

    answer = scale_formula(text, formula, pieces, piece_g, step_g).as_json()
    if json:
        print_json(answer)
        return
    rows = [
        [
            str(row["name"]),
            f"{print_number(row['grams'], 2)} g",
            f"{print_number(row['percent'], 2)} %",
        ]
        for row in answer["ingredients"]
    ]
    print(table(["total formula", "mass", "of flour"], rows))
    print(f"\ntotal {print_number(answer['total_g'], 2)} g")
    print(
        f"hydration {100 * answer['hydration']:.0f} %, dough yield {answer['dough_yield']:.0f}",
        end="",
    )
    print(f", prefermented flour {100 * answer['prefermented_flour']:.0f} %")
