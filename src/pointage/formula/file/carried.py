"""A formula's text with the ingredients of one's own that it has, as they are known now."""

from __future__ import annotations

import re
import tomllib

from pointage.formula.file.write import own_lines
from pointage.formula.formula import Formula
from pointage.formula.own.ingredient import own_ingredient

_TABLE = re.compile(r"(?m)^\[\[ingredient\]\]\n(?:(?!\[).*(?:\n|\Z))*")


def carrying(text: str, formula: Formula) -> str:
    """`text` with an [[ingredient]] for each of one's own that `formula` has; else as it is.

    A text whose tables cannot be exchanged line by line stays as it is.
    """
    own = [each for name in sorted(formula.total) if (each := own_ingredient(name)) is not None]
    if not own:
        return text
    tables = "\n\n".join("\n".join(own_lines(each)) for each in own)
    new = f"{_TABLE.sub('', text).rstrip()}\n\n{tables}\n"
    before, after = _without(text), _without(new)
    return new if after is not None and before == after else text


def _without(text: str) -> dict[str, object] | None:
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return None
    table.pop("ingredient", None)
    return table
