"""A label of a bread as data, and the sheets of labels it is printed on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, Literal

from pointage.documents.paper import FONTS, Paper
from pointage.errors import InputError
from pointage.language import language, say

SINGLE = "1"
LEAST_PT = {"eu": 7.2, "us": 8.0}
"""The smallest type. Regulation (EU) 1169/2011 asks for an x-height of 1.2 mm, which this typeface
has at 7.2 points; 21 CFR 101.9(d) for 8 points of most of the panel. Both from memory."""
LABEL_SIZES_PT = (12.0, 11.0, 10.0, 9.5, 9.0, 8.5, 8.0, 7.6, 7.2)


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """How labels lie on a sheet: columns and rows, each so large, from left and top; all in mm.

    gap: between columns.
    """

    columns: int
    rows: int
    width: float
    height: float
    left: float
    top: float
    gap: float = 0.0


LABEL_SHEETS: dict[tuple[Paper, str], LabelSheet] = {
    (Paper.A4, "4"): LabelSheet(2, 2, 99.1, 139.0, 4.65, 9.5, 2.6),
    (Paper.A4, "6"): LabelSheet(2, 3, 99.1, 93.1, 4.65, 8.85, 2.6),
    (Paper.A4, "8"): LabelSheet(2, 4, 99.1, 67.7, 4.65, 13.1, 2.6),
    (Paper.LETTER, "4"): LabelSheet(2, 2, 101.6, 127.0, 3.96, 12.7, 4.78),
    (Paper.LETTER, "6"): LabelSheet(2, 3, 101.6, 84.67, 3.96, 12.7, 4.78),
}
"""The common sheets, by how many labels each has; measures from memory."""


@dataclass(frozen=True, slots=True)
class LabelFigure:
    """A figure of the panel: what it is, whether it is a part of the one above, how much."""

    name: str
    part: bool
    amounts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BreadLabel:
    """All that a label says. Each of `fields` is a name and its text; a text of None is a line to
    write on. ingredients: each with whether it stands out as an allergen.

    panel_head: over the columns of the panel; empty panel: none is printed.
    """

    name: str
    net: tuple[str, str]
    ingredients_word: str
    ingredients: tuple[tuple[str, bool], ...]
    contains: tuple[tuple[str, str], ...]
    panel_title: str
    panel_under: tuple[str, ...]
    panel_head: tuple[str, ...]
    panel: tuple[LabelFigure, ...]
    fields: tuple[tuple[str, str | None], ...]
    cautions: tuple[str, ...]
    style: Literal["us", "eu"]
    notes: tuple[str, ...] = ()


def label_sheet_of(paper: Paper, labels: str, field: str) -> LabelSheet | None:
    """How so many labels lie on a paper; None for one by itself. Raises InputError."""
    if labels == SINGLE:
        return None
    found = LABEL_SHEETS.get((paper, labels))
    if found is None:
        known: Sequence[str] = [SINGLE, *(n for of, n in LABEL_SHEETS if of is paper)]
        raise InputError(field, repr(labels), say("one of {known}", known=", ".join(known)))
    return found


def label_data(label: BreadLabel, paper: Paper, on: LabelSheet | None) -> dict[str, Any]:
    """What the template of a label is given."""
    least = LEAST_PT[label.style]
    return {
        **asdict(label),
        "grid": None if on is None else asdict(on),
        "paper": paper.typst,
        "fonts": FONTS,
        "sizes": [size for size in LABEL_SIZES_PT if size >= least],
        "language": language().tag.partition("-")[0],
        "leans": language().leans,
    }
