"""What is remembered is what is worked out anew: the functions behind it are pure."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.remembered import remembered
from tests.whole.hall import Hall
from tests.whole.journey import begin
from tests.whole.pages import words

ASKING = (
    "/", "/cultures", "/cultures/Plover", "/cultures/Plover/keep", "/cultures/Plover/rest",
    "/cultures/raise", "/week/can",
)  # fmt: skip


@pytest.mark.long
def test_pages_say_the_same_whether_it_is_remembered_or_not(tmp_path: Path) -> None:
    said: list[list[str]] = []
    for turn, on in enumerate((True, True, False)):
        url = f"sqlite:///{tmp_path / str(turn)}.sqlite3"
        given, remembered.on = remembered.given, on
        with Hall(url, begin(url)) as hall:
            said.append([words(hall.get(path).text) for path in ASKING])
        if turn:
            assert (remembered.given > given) is on
    assert said[0] == said[1] == said[2]
