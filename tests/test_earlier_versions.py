"""What users of every earlier version have opens for ever, and shows what it showed.

`fixtures/VERSION/` was written by that version's own `scripts/fixtures.py`; its shown.json has the
figures as that version showed them, and is never written again.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from tests.whole.hall import Hall, command, imported
from tests.whole.pages import addresses, fits

FIXTURES = Path(__file__).parent / "fixtures"
VERSIONS = sorted(path.parent.name for path in FIXTURES.glob("*/shown.json"))


def shown_by(version: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((FIXTURES / version / "shown.json").read_text("utf-8"))
    return found


def test_the_first_version_is_there() -> None:
    assert "0.1.0" in VERSIONS


ENDS = (VERSIONS[0], VERSIONS[-1])
"""In every run the first version and the newest are opened; those between where everything is."""


@pytest.fixture(
    params=[
        pytest.param(each, marks=[] if each in ENDS else [pytest.mark.long]) for each in VERSIONS
    ]
)
def version(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture
def store_hall(version: str, tmp_path: Path) -> Iterator[Hall]:
    """On the SQLite file that the version left."""
    shutil.copy(FIXTURES / version / "store.sqlite3", tmp_path / "store.sqlite3")
    now = datetime.fromisoformat(shown_by(version)["at"])
    with Hall(f"sqlite:///{tmp_path}/store.sqlite3", now) as hall:
        yield hall


@pytest.fixture
def archive_hall(version: str, url: str) -> Iterator[Hall]:
    """On a fresh store, SQLite and PostgreSQL, with the version's archive taken in."""
    imported(FIXTURES / version / "archive.zip", url)
    with Hall(url, datetime.fromisoformat(shown_by(version)["at"])) as hall:
        yield hall


@pytest.mark.soon(1)
def test_its_store_shows_what_it_showed(version: str, store_hall: Hall) -> None:
    assert figures(store_hall, version) == expected(version)
    assert_whole(store_hall)


@pytest.mark.soon(2)
def test_its_archive_shows_what_it_showed(version: str, archive_hall: Hall) -> None:
    assert figures(archive_hall, version) == expected(version)
    assert_whole(archive_hall)


@pytest.mark.long
def test_every_screen_of_its_store_answers(store_hall: Hall) -> None:
    answers = [
        (path, status)
        for path, route in addresses(store_hall).items()
        if not fits(route, path, status := store_hall.get(path).status_code)
    ]
    assert answers == []


@pytest.mark.soon(1)
def test_its_kitchens_and_formulas_are_read(version: str, tmp_path: Path) -> None:
    folder = FIXTURES / version
    formulas = sorted((folder / "formulas").iterdir())
    kitchens = sorted(folder.glob("kitchen*.toml"))
    assert formulas
    assert kitchens
    for kitchen in kitchens:
        for formula in formulas:
            words = ("scale", str(formula), "--kitchen", str(kitchen), "--pieces", "3", "--json")
            said = command(f"sqlite:///{tmp_path}/none.sqlite3", *words)
            assert said.status == 0, said.err
            assert json.loads(said.out)["total_g"] > 0


def assert_whole(hall: Hall) -> None:
    said = command(hall.url, "check", "--store", hall.url, "--json")
    assert said.status == 0, said.out + said.err
    assert json.loads(said.out)["whole"] is True


def expected(version: str) -> dict[str, Any]:
    shown = shown_by(version)
    return {key: shown[key] for key in FIGURES}


def figures(hall: Hall, version: str) -> dict[str, Any]:
    """The same figures, as this version has them."""
    shelves = {each.ingredient: each for each in hall.desk.larder.look(hall.now).shelves}
    return {
        "lines": len(hall.desk.records.lines()),
        "entries": len(hall.store.entries(hall.kitchen)),
        "cultures": cultures(hall, forgets=version == "0.1.0"),
        "bakes": {
            bake.key: {
                "formula": bake.plan.formula,
                "culture": bake.plan.culture,
                "ready": bake.plan.ready.isoformat(),
                "done": sorted(key for key, news in bake.news.items() if news.done),
            }
            for bake in hall.desk.past.bakes().values()
        },
        "stock_g": {name: float(shelves[name].stock_g) for name in ("wheat-white", "rye-whole")},
        "formulas": {each.slug: each.name for each in hall.desk.formulas()},
    }


def cultures(hall: Hall, *, forgets: bool) -> Mapping[str, Mapping[str, Any]]:
    """forgets: where a retired one was and its last feed, as 0.1.0 did."""
    return {
        life.name: {
            "state": life.state,
            "grams": round(life.mass_g, 1),
            "place": life.place if (known := life.state == "living" or not forgets) else None,
            "fed": life.last_fed.at.isoformat() if known and life.last_fed else None,
        }
        for life in hall.desk.lives()
    }


FIGURES = ("lines", "entries", "cultures", "bakes", "stock_g", "formulas")
