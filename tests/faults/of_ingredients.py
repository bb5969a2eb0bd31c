"""The forms that write an ingredient of one's own."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from uuid import uuid4

from tests.faults.form import Form
from tests.whole.hall import Hall


def _own_fields(name: str) -> dict[str, str]:
    return {"entry": str(uuid4()), "name": name, "like": "Barley flour", "allergens": "like"}


def _own(hall: Hall) -> str:
    """The entry of an ingredient of one's own that there is of now."""
    said = _own_fields(f"Mill {uuid4().hex[:8]}")
    hall.post("/ingredients", said)
    return said["entry"]


def ingredient(hall: Hall) -> Form:
    said = _own_fields(f"Mill {uuid4().hex[:8]}")
    return Form("/ingredients", said, _stands(said["entry"]))


def ingredient_right(hall: Hall) -> Form:
    wrong, name = _own(hall), f"Mill {uuid4().hex[:8]}"

    def says(hall: Hall) -> bool:
        now = hall.desk.records.line(wrong).now
        return now is not None and now.body["name"] == name

    return Form("/ingredients/correct", _own_fields(name) | {"wrong": wrong}, says)


def ingredient_gone(hall: Hall) -> Form:
    wrong = _own(hall)
    return Form(
        "/ingredients/remove",
        {"entry": str(uuid4()), "wrong": wrong},
        lambda hall: hall.desk.records.line(wrong).now is None,
    )


def ingredient_back(hall: Hall) -> Form:
    wrong, removal = _own(hall), str(uuid4())
    hall.post("/ingredients/remove", {"entry": removal, "wrong": wrong})
    said = {"entry": str(uuid4()), "removal": removal}
    return Form("/ingredients/bring-back", said, _stands(wrong))


def _stands(entry: str) -> Callable[[Hall], bool]:
    def look(hall: Hall) -> bool:
        line = hall.desk.present().replayed.journal.line(entry)
        return line is not None and line.now is not None

    return look


INGREDIENTS: Mapping[str, Callable[[Hall], Form]] = {
    "/ingredients": ingredient,
    "/ingredients/correct": ingredient_right,
    "/ingredients/remove": ingredient_gone,
    "/ingredients/bring-back": ingredient_back,
}
