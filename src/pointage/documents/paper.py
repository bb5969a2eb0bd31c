"""Set a document in type: data and a template into PDF, or pictures of its pages.

The template is Typst, a file beside this one; what is printed reaches it as JSON alone, so that no
name can be read as markup. The typeface is the pages' own; what it has no letters for is taken from
those that come with the typesetter, then from the machine's.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import asdict
from enum import StrEnum
from importlib.resources import files
from io import BytesIO
from pathlib import Path
from typing import Any, Literal, overload

from pointage.documents.blocks import Beside, Block, PrintedColumns, Sheet
from pointage.errors import InputError
from pointage.language import say, unturned

TEMPLATES = {
    name: (Path(__file__).parent / name).read_bytes() for name in ("sheet.typ", "label.typ")
}
"""Read with this file: a server that runs on while a newer version is put in its place goes on
with the templates that belong to its code."""
FONTS = ("Source Serif Pro", "New Computer Modern", "DejaVu Sans Mono")
ALL, FEW, NONE, LEFT = 99, 2, 0, -1
AIRY, TIGHT, CLOSE = 0.35, 0.25, 0.2
HIGH, LOW = 8.2, 5.0
SIZES = (
    (14.0, ALL, AIRY, HIGH, 2), (12.0, ALL, AIRY, HIGH, 2), (11.0, ALL, AIRY, HIGH, 2),
    (10.0, ALL, AIRY, HIGH, 2), (10.0, FEW, AIRY, HIGH, 2), (10.0, FEW, AIRY, HIGH, 3),
    (9.2, ALL, AIRY, HIGH, 2), (9.2, FEW, AIRY, HIGH, 2), (9.2, FEW, AIRY, HIGH, 3),
    (9.2, FEW, TIGHT, HIGH, 3), (9.2, FEW, TIGHT, LOW, 3), (9.2, NONE, TIGHT, LOW, 3),
    (9.2, NONE, CLOSE, LOW, 3), (9.2, FEW, TIGHT, NONE, 3), (9.2, NONE, TIGHT, NONE, 3),
)  # fmt: skip
"""Sizes of the type in points, each with the lines to write on at most, the air about a row in its
heights, the height of a drawn course in ems, and the columns of its tables: tried in turn, so that
a sheet keeps to one page and is still read from a step away. A low drawing is without its words,
which its step says too."""
FLOWING = (10.5, LEFT, AIRY, HIGH, 2)
"""What fits no page: its lines to write on are as many as the last page has room for."""
PREVIEW_PPI = 96
LONGEST_WORD = 24
BROKEN_EVERY = 8
"""Letters of a word without an end that stay together: so many at least fit on a label."""
DRAWN = "code"
"""The one value of a sheet that is a drawing and no text."""
_LONG = re.compile(rf"\S{{{LONGEST_WORD + 1},}}")
_OTHER_SCRIPTS = re.compile(r"[^\x00-\u058f\u1e00-\u2bff\ufeff]")
"""Beyond Latin, Greek, Cyrillic, Armenian and signs: perhaps in none of the fonts at hand."""
_CONTROLS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\ud800-\udfff\ufffe\uffff]")
"""What has no shape, and what turns all that follows about, beyond the name it stands in."""


class Paper(StrEnum):
    """What it is printed on."""

    A4 = "a4"
    LETTER = "letter"

    @property
    def typst(self) -> str:
        """As the typesetter calls it."""
        return "us-letter" if self is Paper.LETTER else "a4"


def read_paper(text: str, field: str = "paper") -> Paper:
    """ "a4" or "letter". Raises InputError."""
    try:
        return Paper(text.strip().casefold())
    except ValueError:
        raise InputError(field, repr(text), say("a4 or letter")) from None


def sheet_data(sheet: Sheet, paper: Paper) -> dict[str, Any]:
    """What the template of a sheet is given."""
    return {
        **asdict(sheet),
        "language": sheet.language.partition("-")[0],
        "blocks": [_block(each) for each in sheet.blocks],
        DRAWN: code_svg(sheet.address) if sheet.address else "",
        "paper": paper.typst,
        "fonts": FONTS,
        "sizes": _sizes(sheet),
        "flowing": FLOWING,
    }


def _sizes(sheet: Sheet) -> list[tuple[float, ...]]:
    """Those that differ: a sheet without tables in columns is the same with two and with three."""
    if any(isinstance(each, PrintedColumns) for each in sheet.blocks):
        return list(SIZES)
    return list(dict.fromkeys((*each[:-1], 2) for each in SIZES))


def _block(block: Block) -> dict[str, Any]:
    if isinstance(block, Beside):
        columns = [[_block(each) for each in column] for column in block.columns]
        return {"kind": block.kind, "columns": columns}
    return {**asdict(block), "kind": block.kind}


def code_svg(address: str) -> str:
    """An address as a code to be photographed (ISO/IEC 18004), a drawing in SVG."""
    import segno

    drawn = BytesIO()
    segno.make(address, error="m", micro=False).save(drawn, kind="svg", border=0, xmldecl=False)
    return drawn.getvalue().decode()


@overload
def typeset(template: str, data: Mapping[str, Any], form: Literal["pdf"] = "pdf") -> bytes: ...
@overload
def typeset(template: str, data: Mapping[str, Any], form: Literal["png"]) -> list[bytes]: ...
def typeset(
    template: str, data: Mapping[str, Any], form: Literal["pdf", "png"] = "pdf"
) -> bytes | list[bytes]:
    """The document as a PDF, or each page as a picture. template: "sheet.typ"."""
    import typst

    printed = json.dumps(_printable(data), ensure_ascii=False)
    compiled: Any = typst.compile  # its types do not say what form makes of which
    made = compiled(
        TEMPLATES[template],
        format=form,
        ppi=PREVIEW_PPI,
        font_paths=[str(files("font_source_serif_pro") / "files")],
        ignore_system_fonts=not _OTHER_SCRIPTS.search(printed),  # a machine may have thousands
        sys_inputs={"data": printed},
    )
    if form == "png":
        return made if isinstance(made, list) else [made]
    return bytes(made)


def pages_of(pdf: bytes) -> int:
    """How many pages a PDF of the typesetter has, by the root of its page tree (ISO 32000-2,
    7.7.3.2), which it writes uncompressed."""
    return max(map(int, re.findall(rb"/Count\s+(\d+)", pdf)), default=0)


def _printable(value: Any) -> Any:
    """Texts without what has no shape on paper, long words with places to break, degrees with their
    figure."""
    if isinstance(value, str):
        return _LONG.sub(_breakable, _CONTROLS.sub("", unturned(value))).replace(" °", "\u00a0°")
    if isinstance(value, Mapping):
        return {k: each if k == DRAWN else _printable(each) for k, each in value.items()}
    if isinstance(value, list | tuple):
        return [_printable(each) for each in value]
    return value


def _breakable(word: re.Match[str]) -> str:
    text = word[0]
    parts = (text[i : i + BROKEN_EVERY] for i in range(0, len(text), BROKEN_EVERY))
    return "\u200b".join(parts)
