"""`pointage read`: a recipe as people write it, as a formula."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from pointage.cli.declared import Argument, Option
from pointage.language import say, written

if TYPE_CHECKING:
    from pointage.desk.formulas.read import RecipeRead


def read(
    recipe: Annotated[
        str,
        Argument(metavar="RECIPE", help="The recipe: a text, a page, linked data or a formula."),
    ],
    *,
    country: Annotated[
        str | None,
        Option(
            metavar="us|gb|fr|de|it",
            help="Whose sense of a flour's name comes first; if left out, a name that means two "
            "things is not taken.",
        ),
    ] = None,
    output: Annotated[
        str | None, Option(flag="-o", metavar="FORMULA.toml", help="Write the formula's file.")
    ] = None,
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Read a recipe from a book, page or letter into a formula.

    It shows what each line is taken for.
    """
    from pointage.cli.files import read_text
    from pointage.cli.table import print_json
    from pointage.desk.formulas.read import check_country, read_text_of_recipe
    from pointage.errors import Faults

    faults = Faults()
    chosen = faults.take(check_country, country, "--country")
    text = faults.take(read_text, recipe, "RECIPE")
    faults.check()
    found = read_text_of_recipe(text, chosen, Path(recipe).stem)
    if output is not None:
        _write(found.text, output)
    if json:
        print_json(found.as_json())
    else:
        _print(found, output)


def _write(text: str, path: str) -> None:
    """Write a new file. Raises InputError where it cannot be, or where there is one already."""
    from pointage.errors import InputError

    try:
        with Path(path).open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        raise InputError("-o", path, say("the name of a file that is not there yet")) from None
    except (OSError, ValueError):
        raise InputError("-o", repr(path), say("a file that can be written")) from None


def _print(found: RecipeRead, output: str | None) -> None:
    from pointage.cli.table import grams, table
    from pointage.cli.terminal import harmless
    from pointage.desk.formulas.doubts import doubts_words
    from pointage.desk.formulas.read import taken_words
    from pointage.quantities import print_number

    print(harmless(found.formula.name) + "\n")
    rows = [
        [
            harmless(each.typed),
            harmless(taken_words(each)) or say("left out"),
            "" if each.grams is None else grams(float(each.grams), 1),
            "" if each.percent is None else written(print_number(float(each.percent), 1)),
        ]
        for each in found.lines
    ]
    print(table([say("as typed"), say("taken as"), say("mass"), say("% of flour")], rows))
    doubted = [each for each in found.lines if each.doubts]
    if doubted or found.doubts:
        print("\n" + say("Please check:"))
    for each in doubted:
        print(harmless(f"  {each.typed}: {doubts_words(each.doubts)}"))
    for text in found.doubts:
        print(harmless(f"  {text}"))
    if output is None:
        print("\n" + say("Save it as a formula with -o FORMULA.toml."))
    else:
        print("\n" + say("Written to {path}.", path=harmless(output)))
