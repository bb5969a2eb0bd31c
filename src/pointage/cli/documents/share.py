"""`pointage share`: a page for other kitchens."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Annotated

from pointage.cli.declared import Argument, Option
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
    kitchen_text = faults.maybe(read_kitchen_text, kitchen, "--kitchen")
    if raise_:
        if formula is not None:
            expected = say("either a formula's file or --raise, not both")
            raise InputError("FORMULA.toml", repr(formula), expected)
        from pointage.desk.cultures.share_raising import share_raising

        return _write(share_raising(), output)
    if formula is None:
        expected = say("a formula's file, or --raise for a new culture")
        raise InputError("FORMULA.toml", MISSING, expected)
    made = faults.take(read_formula, faults.take(read_text, formula, "FORMULA.toml"), formula)
    faults.check()
    from pointage.desk.at_hand import at_hand  # the engine, once the files are read
    from pointage.desk.formulas.share import share_formula

    now = datetime.now(UTC)
    return _write(share_formula(made, at_hand(now, kitchen_text, kitchen).kitchen, now), output)


def _write(page: str, output: str) -> None:
    from pointage.errors import InputError

    try:
        Path(output).write_text(page, encoding="utf-8")
    except OSError:
        raise InputError("-o", output, say("a file that can be written")) from None
    print(say("{file}, {size} kB", file=output, size=round(len(page.encode()) / 1000)))
