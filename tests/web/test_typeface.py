"""The typeface that is served prints what the whole one prints, by another program (FreeType)."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from io import BytesIO

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageFont

from pointage.web.assets import FONTS, WEB, content, paths
from pointage.web.typeface import CHARACTERS

SIZE = 400
WITHOUT = ["-liga", "-locl", "-ccmp"]
"""What the whole typeface does besides: joined letters, and accents put together."""
NOT_THERE = frozenset("ĈĉĊċĔĕĜĝĤĥĦħĨĩĬĭĲĳĴĵĸŉŊŋŎŏŜŝŦŧŨũŬŭŴŵŶŷ←↑→↓ΔΩβλμ")
"""What the typeface, or its italic, has not; the browser takes it from another."""


@cache
def both(name: str) -> tuple[ImageFont.FreeTypeFont, ImageFont.FreeTypeFont]:
    whole, cut = paths()[name].read_bytes(), content(name)
    return (ImageFont.truetype(BytesIO(whole), SIZE), ImageFont.truetype(BytesIO(cut), SIZE))


@given(st.sampled_from([*FONTS]), st.text([chr(c) for c in CHARACTERS if chr(c) not in NOT_THERE]))
def test_every_text_is_as_wide(name: str, text: str) -> None:
    whole, cut = both(name)
    assert cut.getlength(text) == whole.getlength(text, features=WITHOUT)


@pytest.mark.parametrize("name", FONTS)
def test_every_character_has_its_ink(name: str) -> None:
    """Within a hundredth of the size: to fit ink to pixels FreeType looks at features."""
    whole, cut = both(name)
    for character in map(chr, CHARACTERS):
        edges = zip(cut.getbbox(character), whole.getbbox(character, features=WITHOUT), strict=True)
        assert character in NOT_THERE or all(abs(a - b) <= SIZE / 100 for a, b in edges), character


@pytest.mark.parametrize("name", FONTS)
def test_no_sign_is_as_wide_as_a_part_of_it(name: str) -> None:
    """Fitted to pixels % was as narrow as its stroke in some browsers, the next word over it."""
    plain = ImageFont.truetype(BytesIO(content(name)), SIZE, layout_engine=ImageFont.Layout.BASIC)
    for character in {chr(c) for c in CHARACTERS} - NOT_THERE - {"\xad"}:
        wide = both(name)[1].getlength(character)
        assert abs(plain.getlength(character) - wide) <= SIZE / 100, character


@pytest.mark.parametrize("name", FONTS)
def test_figures_stand_under_one_another(name: str) -> None:
    font = both(name)[1]
    assert len({font.getlength(digit) for digit in "0123456789"}) == 1


@pytest.mark.parametrize("name", FONTS)
def test_no_sign_is_as_narrow_as_a_part_of_it(name: str) -> None:
    """A browser would let a glyph take the width of a part that says so (ISO 14496-22, glyf)."""
    outlines = TTFont(BytesIO(content(name)))["glyf"]
    glyphs = [outlines[each] for each in outlines.glyphs]
    parts = [part for each in glyphs if each.isComposite() for part in each.components]
    assert parts
    assert not any(part.flags & 0x0200 for part in parts)


def printed() -> Iterator[str]:
    for file in (*WEB.rglob("*.html"), *WEB.rglob("*.js"), *WEB.parent.rglob("*.py")):
        if "science" not in file.parts:
            yield from file.read_text()


def test_every_sign_that_the_product_prints_is_in_it() -> None:
    """All but the letters of formulas, which stand in the comments of the engine, rules, and what
    recipes begin their lines with, which is read and not printed."""
    assert {c for c in printed() if ord(c) > 0x7F} - set(map(chr, CHARACTERS)) <= set(
        "─├└│₀ᵢₙζτφψρπανωθεδγΣΠ∂∫∝⌈⌉˚⁺⁴⅐⅕⅖⅗⅘⅙⅚₁▢☐□◦‣‐"
    )
