"""Collects every text a person may be shown, as a template of a translation (a .po file).

    python scripts/messages.py > src/pointage/languages/xx.po

From code: what is given to say, say_many and mark. From templates: what stands in trans or _().
From the command line: the help of commands and options. From data: labels of ingredients.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import click
from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import write_po

SOURCE = Path(__file__).parents[1] / "src" / "pointage"
KEYWORDS = {"say": None, "mark": None, "say_many": (1, 2), "_": None, "gettext": None}
METHODS = [("**.py", "python"), ("**.html", "jinja2")]
OPTIONS = {"**.html": {"trimmed": "true", "silent": "false"}}


def catalog() -> Catalog:
    """All texts, with the places where they stand."""
    found = Catalog(project="Pointage", charset="utf-8")
    for path, line, message, comments, context in extract_from_dir(
        str(SOURCE),
        method_map=METHODS,
        options_map=OPTIONS,
        keywords=KEYWORDS | {"ngettext": (1, 2)},
    ):
        # Percent signs mark parts in templates alone, braces in code alone.
        found.add(
            message,
            locations=[(path, line)],
            auto_comments=comments,
            context=context,
        )
    for text in (*help_texts(), *labels()):
        found.add(text)
    return found


def help_texts() -> Iterator[str]:
    """What --help says of each command and option."""
    from pointage.cli.app import app

    yield from _help(app)


def _help(command: click.Command) -> Iterator[str]:
    if command.help:
        yield command.help
    for each in command.params:
        if isinstance(each, click.Option) and each.help:
            yield each.help
    if isinstance(command, click.Group):
        for one in command.commands.values():
            yield from _help(one)


def labels() -> Iterator[str]:
    """The names of ingredients as a person reads them."""
    from pointage.formula.ingredients import ingredients

    yield from (each.label for each in ingredients().values())


if __name__ == "__main__":
    write_po(sys.stdout.buffer, catalog(), width=0)
