"""Plan a bake: its culture, what the last bake had, and what a formula lacks for a plan."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from uuid import uuid4

import pytest
from tests.web.conftest import ORIGIN, ask
from tests.web.stored_desk import NOW, hall

from pointage.daybook.store.store import open_store
from pointage.desk.desk import StoredDesk
from pointage.desk.kitchen.kitchens import demonstration_formulas, demonstration_text
from pointage.desk.opening import take_in
from pointage.formula.file.write import write_formula
from pointage.web.app import create_app

FORM = {"formula": "harbour-loaf", "pieces": "4", "day": "2026-12-05", "clock": "09:00"}
BARE = """
name = "Bare loaf"
pieces = 2
piece = "900g"
[total]
wheat-white = 100
water = 70
salt = 2
[[stage]]
name = "Levain"
kind = "levain"
flour = 15
water = 100
seed = "fit"
[[stage]]
name = "Dough"
kind = "dough"
"""


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


def page(desk: StoredDesk, path: str) -> str:
    return str(ask(create_app(desk, lambda: NOW), "GET", ORIGIN + path).text)


def send(desk: StoredDesk, **fields: str) -> tuple[int, str]:
    app = create_app(desk, lambda: NOW)
    data = {**FORM, "entry": str(uuid4()), **fields}
    answer = ask(app, "POST", f"{ORIGIN}/week/wish", data=data, headers={"Origin": ORIGIN})
    return answer.status_code, answer.text


def chosen(html: str, name: str) -> str:
    select = re.search(rf'<select id="{name}".*?</select>', html, re.DOTALL)
    assert select is not None
    found = re.search(r'value="([^"]*)" selected', select[0])
    return found[1] if found else ""


def test_a_bake_is_raised_by_the_culture_that_is_chosen_and_the_next_form_remembers(
    desk: StoredDesk,
) -> None:
    own = desk.book.formula("harbour-loaf").culture
    other = next(each.name for each in desk.kitchen().cultures if each.name != own)
    assert chosen(page(desk, "/week/wish?formula=harbour-loaf"), "culture") == ""
    status, text = send(desk, culture=other)
    assert status == 303, text
    (bake,) = desk.bakes()
    assert bake.plan.culture == other
    again = page(desk, "/week/wish?formula=harbour-loaf")
    assert chosen(again, "culture") == other
    assert 'name="pieces" inputmode="numeric" autocomplete="off" value="4"' in again
    assert desk.book.formula("harbour-loaf").culture == own


@pytest.mark.parametrize(
    ("table", "says", "path"),
    [
        ("culture", "There is no culture to build a levain from.", "/cultures"),
        ("oven", "There is no oven to bake it in.", "/kitchen#part-6"),
    ],
)
def test_what_the_kitchen_lacks_is_said_before_with_where_it_is_mended(
    tmp_path: Path, table: str, says: str, path: str
) -> None:
    whole = re.split(r"(?m)^(?=\[)", demonstration_text())
    text = "".join(each for each in whole if not each.startswith((f"[[{table}]]", f"[{table}]")))
    with open_store(f"sqlite:///{tmp_path}/bare.db") as store:
        record = take_in(store, text, {"bare-loaf": BARE}, NOW)
        desk = StoredDesk(store, record.id, since=NOW, clock=lambda: NOW)
        found = page(desk, "/week/wish")
        assert says in found
        assert f'href="{path}"' in found
        there, _, part = path.partition("#")
        assert not part or f'id="{part}">Ovens' in page(desk, there)
        status, again = send(desk, formula="bare-loaf", method="hearth-retarded")
        assert status == 422
        assert says in again
        assert 'value="4"' in again
        assert desk.book.revision("bare-loaf").revision == 1


def test_a_culture_or_oven_of_the_formula_that_is_not_here_is_said(tmp_path: Path) -> None:
    kitchen = demonstration_text()
    oven = re.search(r"(?ms)^\[oven\].*?(?=^\[|\Z)", kitchen)
    assert oven is not None
    ovens = "".join(
        oven[0].replace("[oven]", "[[oven]]").replace('name = "', f'name = "{each} ')
        for each in "AB"
    )
    loaf = demonstration_formulas()["harbour-loaf"].replace(
        "[process]", '[process]\noven_name = "Kiln"'
    )
    loaf = re.sub(r"(?m)^culture = .*$", 'culture = "Curlew"', loaf)
    with open_store(f"sqlite:///{tmp_path}/two.db") as store:
        formulas = {"harbour-loaf": loaf, "bare-loaf": BARE}
        record = take_in(store, kitchen.replace(oven[0], ovens), formulas, NOW)
        desk = StoredDesk(store, record.id, since=NOW, clock=lambda: NOW)
        found = page(desk, "/week/wish?formula=harbour-loaf")
        assert "is raised by Curlew, which is not here" in found
        assert "Kiln" in found
        assert 'href="/formulas/harbour-loaf/edit"' in found
        assert "Before it can be planned" not in page(desk, "/week/wish?formula=bare-loaf")


@pytest.mark.long
def test_a_variation_is_chosen_as_any_other_and_has_the_last_of_what_it_varies(
    desk: StoredDesk,
) -> None:
    first = desk.book.formula("harbour-loaf")
    assert send(desk)[0] == 303
    warmer = replace(first, name="Harbour loaf, warmer", varies=first.name, because="It was slow.")
    slug = desk.book.keep(write_formula(warmer)).slug
    found = page(desk, f"/week/wish?formula={slug}")
    assert chosen(found, "formula") == slug
    assert 'name="pieces" inputmode="numeric" autocomplete="off" value="4"' in found
    status, text = send(desk, formula=slug, day="2026-12-07")
    assert status == 303, text
    assert [bake.plan.formula for bake in desk.bakes()][-1] == warmer.name


def test_what_a_formula_lacks_is_asked_before_it_is_planned_and_filled_in(desk: StoredDesk) -> None:
    slug = desk.book.keep(BARE).slug
    assert "this formula does not say how it is worked" in page(desk, f"/week/wish?formula={slug}")
    assert 'name="method"' not in page(desk, "/week/wish?formula=harbour-loaf")
    status, text = send(desk, formula=slug)
    assert status == 422
    assert "expected a kind of bread" in text
    assert 'value="4"' in text
    assert desk.book.revision(slug).revision == 1
    kinds = re.findall(r'<select id="method".*?</select>', text, re.DOTALL)
    kind = re.findall(r'value="([^"]+)"', kinds[0])[0]
    status, text = send(desk, formula=slug, method=kind)
    assert status == 303, text
    assert desk.book.formula(slug).process is not None
    assert [bake.plan.formula for bake in desk.bakes()] == ["Bare loaf"]


def test_what_is_leaned_to_is_kept_with_the_bake(desk: StoredDesk) -> None:
    kept = page(desk, "/week/wish?formula=tinned-rye&lean-waste=rather")
    assert chosen(kept, "lean-waste") == "rather", "another formula leaves it as it was chosen"
    status, _ = send(desk, **{"lean-chores": "strongly", "lean-early": "usual"})
    assert status == 303
    (bake,) = desk.bakes()
    assert bake.wished is not None
    assert bake.wished.lean == {"chores": "strongly"}
