"""Print on a terminal: a table in columns, and an answer as JSON."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence

from pointage.cli.terminal import harmless
from pointage.language import say
from pointage.quantities import print_number


def table(headings: Sequence[str], rows: Sequence[Sequence[str]], words: int = 1) -> str:
    """Rows under headings: so many columns of words to the left, the numbers after to the right."""
    lines = [[harmless(cell) for cell in line] for line in (headings, *rows)]
    widths = [max(len(line[column]) for line in lines) for column in range(len(headings))]
    return "\n".join(
        "  ".join(
            cell.ljust(width) if column < words else cell.rjust(width)
            for column, (cell, width) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in lines
    )


def grams(value: float, digits: int = 2) -> str:
    """A mass in grams, in print."""
    return say("{number} g", number=print_number(value, digits))


def print_json(answer: Mapping[str, object]) -> None:
    """One JSON object on standard output."""
    print(json.dumps(answer, ensure_ascii=False, indent=2, allow_nan=False))
