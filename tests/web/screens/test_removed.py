"""What is taken out of a kitchen: what hangs on it is said first, and it can be put back."""

from __future__ import annotations

from html import unescape
from pathlib import Path
from uuid import uuid4

import pytest
from tests.web.forms import form
from tests.web.screens.test_first_pages import ANSWERS, bring, empty, get, post
from tests.web.stored_desk import hall

from pointage.desk.desk import StoredDesk

__all__ = ["empty"]


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


def remove(desk: StoredDesk, kind: str, name: str) -> tuple[int, str]:
    """The status, and where it leads or what is said."""
    fields = {"row": name, "revision": str(desk.kitchen_file.last.revision)}
    answer = post(desk, f"/kitchen/{kind}/remove", fields)
    return answer.status_code, answer.headers.get("location") or unescape(answer.text)


def test_what_hangs_on_a_place_is_said_where_it_is_removed(desk: StoredDesk) -> None:
    page = unescape(get(desk, "/kitchen").text)
    forms = page.split('action="/kitchen/place/remove"')
    (cupboard,) = (each for each in forms[1:] if "Yes, remove Boiler cupboard" in each[:900])
    assert "cannot be planned without it" in cupboard[:900]
    assert "Harbour loaf" in cupboard[:900]
    (fridge,) = (each for each in forms[1:] if "Yes, remove Fridge" in each[:900])
    assert "stand there: move them first" in fridge[:900]


def test_it_is_put_back_as_it_was(desk: StoredDesk) -> None:
    before = desk.kitchen_file.text
    status, path = remove(desk, "place", "Boiler cupboard")
    assert status == 303
    page = get(desk, path).text
    undo = next(each for each in [form(page, "/kitchen/place/add", row="Boiler cupboard")] if each)
    assert post(desk, "/kitchen/place/add", undo).status_code == 303
    rows = {each["name"]: each for each in desk.kitchen_file.tables("place")}
    assert rows["Boiler cupboard"]["temperature"] in before
    assert "is removed" not in get(desk, path).text
    for query in ("gone=place&name=x&was=1", "gone=y&name=x&was=1", "gone=place&name=x&was=99"):
        assert get(desk, f"/kitchen?{query}").status_code == 200


def test_a_place_in_which_a_culture_stands_stays_until_it_is_moved_or_retired(
    empty: StoredDesk,
) -> None:
    post(empty, "/begin", ANSWERS)
    bring(empty)
    status, said = remove(empty, "place", "Fridge")
    assert status == 422
    assert "Fulmar stands there" in said
    post(empty, "/cultures/Fulmar/retired", {"entry": str(uuid4())})
    assert remove(empty, "place", "Fridge")[0] == 303
    assert not empty.kitchen().has_fridge
    assert get(empty, "/cultures/Fulmar").status_code == 200
    assert get(empty, "/daybook/culture/Fulmar").status_code == 200


@pytest.mark.parametrize(
    ("kind", "name"), [("place", "Counter"), ("scale", "Scale"), ("vessel", "Jar")]
)
def test_the_last_of_what_plans_need_stays(empty: StoredDesk, kind: str, name: str) -> None:
    post(empty, "/begin", ANSWERS)
    if kind == "vessel":
        for other in ("Mixing bowl", "Basket"):
            assert remove(empty, "vessel", other)[0] == 303
    status, said = remove(empty, kind, name)
    assert status == 422
    assert f"{name}: the only" in said


def test_the_last_oven_goes(empty: StoredDesk) -> None:
    post(empty, "/begin", ANSWERS)
    assert remove(empty, "oven", "Oven")[0] == 303
    assert empty.kitchen().ovens == ()
    assert get(empty, "/oven").status_code == 200
