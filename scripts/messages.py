"""Collects every text a person may be shown, as a template of a translation (a .po file).

    python scripts/messages.py > src/pointage/languages/xx.po

From code: what is given to say, say_many and mark, and the fields that errors name. From templates:
what stands in trans or _(). From the command line: the help of commands and options, and click's
own words. From data: labels of ingredients, names of allergens, signs and advice, what a quantity
can be, and what a key of a file may hold.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Collection, Iterable, Iterator, Sequence
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import IO, Any

import click
from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import write_po

SOURCE = Path(__file__).parents[1] / "src" / "pointage"
KEYWORDS = {"say": None, "mark": None, "say_many": (1, 2), "_": None, "gettext": None}
NAMING = frozenset({"InputError", "UnitError", "RangeError"})
"""The errors whose first word is a field's name."""
NAMED = re.compile(rf"\b({'|'.join({*KEYWORDS, *NAMING, 'ngettext'})})\(")
OPTIONS = {"**.html": {"trimmed": "true", "silent": "false"}}
CLICK = Path(click.__file__).parent
CLICK_WORDS = ("required",)
"""What click translates by a name of its own."""
CLICK_FILES = ("core.py", "decorators.py", "exceptions.py", "formatting.py", "types.py")

DATA = (
    "label/eu.toml", "label/us.toml", "label/allergens.toml", "methods.toml", "raising.toml",
    "trouble.toml",
)  # fmt: skip
SHOWN = frozenset(
    {
        "asks",
        "bake_note",
        "eu",
        "feel",
        "label",
        "name",
        "see",
        "smell",
        "title",
        "unless",
        "us",
        "watch",
        "why",
    }
)
"""The keys in these files whose texts a person reads."""


@cache
def calls(path: Path) -> list[ast.Call]:
    """The calls of a file that name a text, as they stand in it."""
    code = path.read_text("utf-8")
    if NAMED.search(code) is None:
        return []
    found = [each for each in ast.walk(ast.parse(code)) if isinstance(each, ast.Call) and each.args]
    return sorted(found, key=lambda each: (each.lineno, each.col_offset))


def in_code(
    file: IO[bytes], keywords: Collection[str], _tags: object, options: object
) -> Iterator[tuple[int, str, tuple[str | None, ...], list[str]]]:
    """What Babel's own reader finds, in half the time: line, function, texts and no comments."""
    for call in calls(Path(file.name)):
        name = getattr(call.func, "id", "") or getattr(call.func, "attr", "")
        if name in keywords:
            values = (getattr(each, "value", None) for each in call.args)
            texts = tuple(each if isinstance(each, str) else None for each in values)
            yield call.args[0].lineno, name, texts, []


METHODS = [("**.py", in_code), ("**.html", "jinja2")]


def catalog() -> Catalog:
    """All texts, with the places where they stand."""
    found = Catalog(project="Pointage", charset="utf-8")
    _extract(found, SOURCE, KEYWORDS | {"ngettext": (1, 2)})
    _extract(
        found, CLICK, {"_": None, "ngettext": (1, 2)}, [(each, in_code) for each in CLICK_FILES]
    )
    for text in (*CLICK_WORDS, *fields(), *help_texts(), *labels(), *bounds(), *keys()):
        found.add(text)
    return found


def _extract(
    found: Catalog, folder: Path, keywords: dict[str, Any], methods: Sequence[Any] = METHODS
) -> None:
    for path, line, message, comments, context in extract_from_dir(
        str(folder), method_map=methods, options_map=OPTIONS, keywords=keywords
    ):
        # Percent signs mark parts in templates alone, braces in code alone.
        found.add(
            message,
            locations=[(path if folder == SOURCE else f"{folder.name}/{path}", line)],
            auto_comments=comments,
            context=context,
        )


def fields() -> Iterator[str]:
    """The names of fields that errors are given; an option is called so in every language."""
    for path in sorted(SOURCE.rglob("*.py")):
        for call in calls(path):
            match call:
                case ast.Call(func=ast.Name(id=error), args=[ast.Constant(value=str(name)), *_]):
                    if error in NAMING and name and not name.startswith("--"):
                        yield name


def help_texts() -> Iterator[str]:
    """What --help says of each command, argument and option."""
    from pointage.cli.app import app

    yield from _help(app)


def _help(command: click.Command) -> Iterator[str]:
    if command.help:
        yield command.help
    for each in command.params:
        if isinstance(each, click.Option | click.Argument) and each.help:
            yield each.help
    if isinstance(command, click.Group):
        for one in command.commands.values():
            yield from _help(one)


def labels() -> Iterator[str]:
    """The names and sentences that lie in data, as a person reads them."""
    from pointage.data import load
    from pointage.formula.ingredients import ingredients

    yield from (each.label for each in ingredients().values())
    for name in DATA:
        yield from _words(load(name))
    yield from (each["country"] for each in load("flour-types.toml").values())


def _words(table: dict[str, Any]) -> Iterator[str]:
    """The texts under the keys whose texts are shown, wherever these stand."""
    for key, value in table.items():
        if isinstance(value, dict):
            yield from value.values() if key == "answers" else _words(value)
        elif isinstance(value, list):
            yield from _in_rows(value)
        elif isinstance(value, str) and key in SHOWN:
            yield value


def _in_rows(rows: Iterable[Any]) -> Iterator[str]:
    for each in rows:
        if isinstance(each, dict):
            yield from _words(each)


def bounds() -> Iterator[str]:
    """What each quantity is called, and how an unusual one is asked about."""
    from pointage.bounds import TABLE

    yield from (text for each in TABLE for text in (each.what, each.rare))


def keys() -> Iterator[str]:
    """What is said to be right for each key of the files that people write."""
    from pointage.toml import TomlTable

    for path in sorted(SOURCE.rglob("*.py")):
        if "(TomlTable)" in path.read_text():
            import_module(".".join(path.relative_to(SOURCE.parent).with_suffix("").parts))
    waiting = TomlTable.__subclasses__()
    for shape in waiting:
        waiting += shape.__subclasses__()
        yield from (field.description for field in shape.model_fields.values() if field.description)


if __name__ == "__main__":
    write_po(sys.stdout.buffer, catalog(), width=0)
