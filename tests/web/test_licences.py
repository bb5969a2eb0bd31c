"""The licences of the typeface and of htmx go with them."""

from __future__ import annotations

from io import BytesIO

from PIL import ImageFont
from tests.web.conftest import Door

from pointage.web.assets import FONTS, content
from pointage.web.licences import text_of
from pointage.web.typeface import NAME


def test_every_page_leads_to_the_licences(door: Door) -> None:
    assert '<a href="/licences">Licences</a>' in door.get("/").text
    assert '<a href="/licences">Licences</a>' in door.get("/nowhere").text
    answer = door.get("/licences")
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/plain")


def test_the_notice_and_the_text_of_the_font_licence_are_whole(door: Door) -> None:
    """Condition 2 of the SIL OFL 1.1: each copy contains the copyright notice and this license."""
    text = door.get("/licences").text
    assert text_of("font-source-serif-pro") in text
    for words in (
        "with Reserved Font Name",
        "SIL OPEN FONT LICENSE Version 1.1 - 26 February 2007",
        "PERMISSION & CONDITIONS",
        "TERMINATION",
        "DISCLAIMER",
    ):
        assert words in text


def test_the_cut_typeface_has_another_name_and_says_what_it_is_cut_from(door: Door) -> None:
    """Condition 3 of the SIL OFL 1.1: a modified version may not use the reserved name."""
    assert f"{NAME}, the typeface, cut from Source Serif Pro" in door.get("/licences").text
    assert "Source" not in NAME
    for name in FONTS:
        font = ImageFont.truetype(BytesIO(content(name)))
        assert font.getname()[0] == NAME
        assert NAME in door.get("/static/pointage.css").text


def test_htmx_and_its_licence_are_named(door: Door) -> None:
    text = door.get("/licences").text
    assert "htmx, in every page: Zero-Clause BSD (0BSD)" in text
    assert "with or without fee is hereby granted" in text
