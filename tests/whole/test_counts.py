"""How much work a request makes: what was read once is not read again.

`pointage.desk.now.counts` counts, since the program began, the texts (kitchens and formulas) that
were parsed and the entries that were replayed. The looks at the store's revision are counted where
its statements are sent, on SQLite: what is counted comes before any database.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest
from sqlalchemy import event
from tests.whole.hall import Hall
from tests.whole.journey import begin
from tests.whole.pages import addresses

from pointage.desk.now.counts import counts


@pytest.fixture
def hall(tmp_path: Path) -> Iterator[Hall]:
    url = f"sqlite:///{tmp_path / 'hall'}.sqlite3"
    with Hall(url, begin(url)) as hall:
        for path in addresses(hall):  # so that all that is kept is there
            hall.get(path)
        yield hall


@pytest.mark.long
def test_what_was_read_once_is_not_read_again(hall: Hall) -> None:
    """A page read again parses and replays nothing, and looks at the store once."""
    looks: list[object] = []

    def executed(*said: object) -> None:
        looks.extend(each for each in said if str(each).startswith("SELECT kitchen.changes"))

    paths = addresses(hall)
    event.listen(hall.store._engine, "before_cursor_execute", executed)
    costly, often = {}, {}
    for path in paths:
        texts, entries = counts.texts, counts.entries
        looks.clear()
        status = hall.get(path).status_code
        costly[path] = (counts.texts - texts, counts.entries - entries)
        if status == 200:  # what went wrong is a page of its own
            often[path] = len(looks)
    # A text of its own (a draft, an earlier revision) may be read for the page that shows it.
    assert {path: n for path, n in costly.items() if n[0] > 1 or n[1]} == {}
    assert {path: number for path, number in often.items() if number > 1} == {}
    assert often["/"] == 1
    assert_little_is_read_for_what_is_new(hall)


def assert_little_is_read_for_what_is_new(hall: Hall) -> None:
    """An entry is replayed alone, a kitchen's text parsed once."""
    fields = {"entry": str(uuid4()), "grams": "5"}
    before = counts.entries
    assert hall.post("/cultures/Gannet/poured-off", fields).status_code == 303
    for path in ("/", "/week", "/cultures", "/larder", "/daybook"):
        hall.get(path)
    assert counts.entries - before <= 1

    last = hall.desk.kitchen_file.last
    text, revision = last.text.replace('tap = "9C"', 'tap = "8C"'), str(last.revision)
    before = counts.texts
    assert hall.post("/kitchen/file", {"text": text, "revision": revision}).status_code == 303
    for path in ("/", "/week", "/cultures", "/larder", "/kitchen"):
        hall.get(path)
    assert counts.texts - before <= 2  # once by the form that checks it, once by what shows it
