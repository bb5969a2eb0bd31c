"""The list of pages is the list of routes."""

from __future__ import annotations

from tests.web.stored_desk import friday_to_read
from tests.whole.pages import FILLERS, read_routes

from pointage.web.app import create_app


def test_every_page_is_known_here() -> None:
    assert sorted(read_routes(create_app(friday_to_read()))) == sorted(FILLERS)
