"""The typeface as pages need it: Latin letters, figures and signs, as WOFF2 (W3C, 2024).

Ligatures and small capitals go; the figures of this typeface are tabular without them. To cut and
compress takes some seconds, so it is done once and kept in the user's cache folder
(decision 0045).
"""

from __future__ import annotations

from hashlib import sha256
from io import BytesIO
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import Any

from pointage.folders import cache_folder

NAME = "Pointage Serif"
"""Not the typeface's own name, which is kept for the whole of it (OFL 1.1, condition 3)."""

SIGNS = "–—―‘’‚“”„†‡•…‰′″‹›⁄€−≈≠≤≥√∞←↑→↓Δλμπβ½⅓⅔¼¾⅛⅜⅝⅞⁰⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉"
CHARACTERS = (*range(0x20, 0x7F), *range(0xA0, 0x180), *range(0x218, 0x21C), *map(ord, SIGNS))
"""The letters of Europe's Latin alphabets, and the signs that the product prints."""

_NAMED = {1: NAME, 4: NAME, 6: NAME.replace(" ", "")}
_USE_MY_METRICS = 0x0200  # ISO/IEC 14496-22, glyf: of a component
_LEGAL = (0, 13, 14)
"""Copyright, licence and its address stay as they are."""


def cut(font: bytes) -> bytes:
    """A TrueType font with CHARACTERS alone, under our name, as WOFF2."""
    kept = _folder() / f"{_digest(font)}.woff2"
    try:
        return kept.read_bytes()
    except OSError:
        made = _cut(font)
        _keep(kept, made)
        return made


def _cut(font: bytes) -> bytes:
    from fontTools.subset import Options, Subsetter
    from fontTools.ttLib import TTFont

    whole = TTFont(BytesIO(font))
    options = Options(
        layout_features=["kern"], hinting=False, name_IDs=[*_LEGAL, *_NAMED, 2], glyph_names=False
    )
    subsetter = Subsetter(options)
    subsetter.populate(unicodes=CHARACTERS)
    subsetter.subset(whole)
    _keep_widths(whole["glyf"])
    for which, name in _NAMED.items():
        whole["name"].setName(name, which, 3, 1, 0x409)
    whole.flavor = "woff2"
    made = BytesIO()
    whole.save(made)
    return made.getvalue()


def _keep_widths(outlines: Any) -> None:
    """Let no glyph take the width of a part of it: "%" would be as narrow as its stroke, and what
    follows would be printed over it.
    """
    for glyph in outlines.glyphs.values():
        glyph.expand(outlines)
        for part in glyph.components if glyph.isComposite() else ():
            part.flags &= ~_USE_MY_METRICS


def _digest(font: bytes) -> str:
    return sha256(font + Path(__file__).read_bytes()).hexdigest()[:16]


def _folder() -> Path:
    return cache_folder() / "typeface"


def _keep(path: Path, made: bytes) -> None:
    """Whole or not at all; a cache that cannot be written only costs time."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with NamedTemporaryFile(dir=path.parent, delete=False) as file:
            file.write(made)
        Path(file.name).replace(path)
    except OSError:
        return
