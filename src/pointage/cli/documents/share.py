"""`pointage share`: a page for other kitchens."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

from pointage.cli.declared import Argument, Option
from pointage.cli.sheets.out import check_out, write_out
from pointage.language import say


def share(
    formula: Annotated[
        str | None, Argument(metavar="[FORMULA.toml]", help="The formula's file.")
    ] = None,
    *,
    output: Annotated[str, Option("-o", metavar="FILE", help="The file to write the page to.")],
    raise_: Annotated[
        bool, Option("--raise", help="A page for raising a culture, instead of a formula's.")
    ] = False,
    kitchen: Annotated[
        str | None,
        Option(
            metavar="FILE",
            help="The author's kitchen; else the stored kitchen, or the demonstration one.",
        ),
    ] = None,
) -> None:
    """Write one page that adapts a formula, or raising a culture, to any reader's kitchen."""
    from pointage.cli.files import read_kitchen_text, read_text
    from pointage.errors import MISSING, Faults, InputError
    from pointage.formula.file.read import read_formula

    faults = Faults()
    out = faults.take(check_out, output, "-o")
    kitchen_text = faults.maybe(read_kitchen_text, kitchen, "--kitchen")
    if raise_:
        if formula is not None:
            expected = say("either a formula's file or --raise, not both")
            raise InputError("FORMULA.toml", repr(formula), expected)
        faults.check()
        from pointage.desk.cultures.share_raising import share_raising

        return _write(share_raising(), out)
    if formula is None:
        expected = say("a formula's file, or --raise for a new culture")
        raise InputError("FORMULA.toml", MISSING, expected)
    made = faults.take(read_formula, faults.take(read_text, formula, "FORMULA.toml"), formula)
    faults.check()
    from pointage.desk.at_hand import at_hand  # the engine, once the files are read
    from pointage.desk.formulas.share import share_formula

    now = datetime.now(UTC)
    return _write(share_formula(made, at_hand(now, kitchen_text, kitchen).kitchen, now), out)


def _write(page: str, out: Path) -> None:
    content = page.encode()
    write_out(out, content)
    print(say("{file}, {size} kB", file=out, size=round(len(content) / 1000)))
