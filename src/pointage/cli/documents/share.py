"""`pointage share`: a page for other kitchens."""

from __future__ import annotations

from collections.abc import Sequence
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
    culture: Annotated[
        str | None,
        Option(metavar="NAME", help="A page for whoever is given a piece of this culture."),
    ] = None,
    author: Annotated[
        str | None, Option(help="Who gives out the page of a culture; a formula's file says it.")
    ] = None,
    year: Annotated[str | None, Option(help="Its year, such as 2026.")] = None,
    licence: Annotated[str | None, Option(help="Its licence, such as CC BY 4.0.")] = None,
    kitchen: Annotated[
        str | None,
        Option(
            metavar="FILE",
            help="The author's kitchen; else the stored kitchen, or the demonstration one.",
        ),
    ] = None,
    json: Annotated[bool, Option("--json", help="Print one JSON object.")] = False,
) -> None:
    """Write a page that adapts itself to any reader's kitchen.

    It is about a formula, a culture, or raising one.
    """
    from pointage.cli.files import read_kitchen_text, read_text
    from pointage.errors import Faults
    from pointage.formula.file.read import read_formula

    faults = Faults()
    out = faults.take(check_out, output, "-o")
    kitchen_text = faults.maybe(read_kitchen_text, kitchen, "--kitchen")
    with faults:
        _one_of(formula, culture, raise_=raise_)
    rights = {"author": author, "year": year, "licence": licence}
    if formula is not None:
        from pointage.cli.options import refuse_idle

        with faults:
            refuse_idle(say("--culture or --raise"), **rights)
        made = faults.take(read_formula, faults.take(read_text, formula, "FORMULA.toml"), formula)
        faults.check()
        from pointage.desk.at_hand import at_hand  # the engine, once the files are read
        from pointage.desk.formulas.share import share_formula
        from pointage.desk.sheets.parts.warnings import formula_warnings

        now = datetime.now(UTC)
        here = at_hand(now, kitchen_text, kitchen).kitchen
        page = share_formula(made, here, now)
        return _write(page, out, output, "formula", formula_warnings(made, here), json=json)
    faults.check()
    from pointage.cli.options import as_options
    from pointage.desk.cultures.share_culture import read_rights

    with as_options(**rights):
        whose = read_rights(author or "", year or "", licence or "")
    if culture is None:
        from pointage.desk.cultures.share_raising import share_raising

        # Nothing of a kitchen is in it, so there is nothing to warn of.
        return _write(share_raising(whose), out, output, "raise", (), json=json)
    from pointage.desk.at_hand import at_hand
    from pointage.desk.cultures.share_culture import share_culture
    from pointage.desk.sheets.parts.warnings import culture_warnings
    from pointage.desk.sheets.travelling import giveable

    now = datetime.now(UTC)
    present = at_hand(now, kitchen_text, kitchen)
    with as_options(culture=culture):
        given = giveable(culture, present, now)
    page = share_culture(given, present, whose)
    warnings = culture_warnings(given.name, present, now)
    return _write(page, out, output, "culture", warnings, json=json)


def _one_of(formula: str | None, culture: str | None, *, raise_: bool) -> None:
    """Raises InputError where nothing is to be shared, or two things."""
    from pointage.errors import MISSING, InputError

    asked = [each for each in (formula, culture) if each is not None]
    if len(asked) + raise_ == 1:
        return
    expected = say("one of a formula's file, --culture for a culture, or --raise for a new one")
    raise InputError("FORMULA.toml", repr(asked[0]) if asked else MISSING, expected)


def _write(
    page: str, out: Path, named: str, kind: str, warnings: Sequence[str], *, json: bool
) -> None:
    from pointage.cli.table import print_json
    from pointage.documents.page.write import size_words

    content = page.encode()
    write_out(out, content)
    warnings = [*warnings, *filter(None, [size_words(page)])]
    if json:
        print_json({
            "file": named, "kind": kind, "bytes": len(content), "warnings": warnings,
        })  # fmt: skip
    else:
        print(say("{file}, {size} kB", file=out, size=round(len(content) / 1000)))
        for warning in warnings:
            print(warning)
