"""Ingredients of one's own: by the path of those that come with the program."""

from __future__ import annotations

import re
import tomllib
from dataclasses import replace
from pathlib import Path
from uuid import uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.web.stored_desk import NOW, hall

from pointage.desk.desk import StoredDesk
from pointage.desk.formulas.label import LabelAnswer
from pointage.desk.jobs import Jobs
from pointage.desk.larder.recorded import Purchase, item
from pointage.errors import InputError
from pointage.formula.file.read import read_formula
from pointage.formula.file.write import write_formula
from pointage.formula.names import resolve
from pointage.formula.own.ingredient import OwnIngredient, new_id, of_body, own_ingredient
from pointage.larder.stock import NONE
from pointage.mixture.flours import flour_record
from pointage.web.screens.ingredients.forms import described

MEAL = "Quern barley meal"
LOAF = """
name = "Quern loaf"
pieces = 1
piece = "900g"
[total]
wheat-white = 70
"Quern barley meal" = 30
water = 70
salt = 2
[[stage]]
name = "Dough"
kind = "dough"
"""


@pytest.fixture
def desk(tmp_path: Path) -> StoredDesk:
    return hall(tmp_path)


def add(desk: StoredDesk, **said: str) -> tuple[str, OwnIngredient]:
    """Each test has a name of its own."""
    entry = str(uuid4())
    name = said.pop("name", f"{MEAL} {entry[:8]}")
    own = described({"name": name, "like": "Barley flour", **said}, entry, "EUR")
    desk.own.describe(entry, own)
    return entry, next(each for each in desk.own.offered() if each.id == own.id)


def label_of(desk: StoredDesk, slug: str) -> LabelAnswer:
    return desk.labels.label(slug, style="eu", serving=None, loss=None, may_contain=())


def loaf_of(own: OwnIngredient) -> str:
    return LOAF.replace(MEAL, own.name).replace("Quern loaf", own.name)


def test_it_is_found_by_its_name_and_used_by_engine_and_cost(desk: StoredDesk) -> None:
    _, own = add(desk, protein="9.5", ash="2.4", water="14", price="2.50", allergens="like")
    assert resolve(own.name.upper()) is not None
    assert item(own.name) == own.id
    engine, like = flour_record(own.id), flour_record("barley")
    assert engine.moisture == pytest.approx(0.14)
    assert engine.ash_dry == pytest.approx(2.4)
    assert engine.sugar / engine.dry == pytest.approx(like.sugar / like.dry)
    kept = desk.book.keep(loaf_of(own))
    formula = desk.book.formula(kept.slug)
    assert formula.total[own.id] == 30
    label = label_of(desk, kept.slug)
    assert "barley" in label.contains
    grams = label.per_100_g.amounts
    sums = sum(grams[key].known for key in ("water", "protein", "fat", "carbohydrate", "ash"))
    assert 99 < sums < 101  # the tables' own rounding
    cost = desk.larder.cost_of(formula, 1, formula.piece_g)
    assert own.id not in cost.ingredients.unpriced
    assert cost.ingredients.amount > NONE


def test_unknown_allergens_refuse_the_label_and_are_said_elsewhere(desk: StoredDesk) -> None:
    entry, own = add(desk)
    slug = desk.book.keep(loaf_of(own)).slug
    with pytest.raises(InputError, match="allergens: not known of") as refused:
        label_of(desk, slug)
    assert own.name in str(refused.value)
    desk.own.put_right(str(uuid4()), entry, replace(own, allergens=()))
    assert label_of(desk, slug).contains  # of the wheat


def test_a_sack_of_it_is_stock(desk: StoredDesk) -> None:
    _, own = add(desk)
    desk.larder.buy(str(uuid4()), Purchase(own.id, NONE + 5000), NOW)
    shelf = next(each for each in desk.larder.look(NOW).shelves if each.ingredient == own.id)
    assert (shelf.label, float(shelf.stock_g)) == (own.name, 5000)
    assert next(e for e in desk.own.held() if e.own.id == own.id).stock_g == 5000


def test_what_is_put_right_is_right_everywhere_and_after_another_start(
    desk: StoredDesk, tmp_path: Path
) -> None:
    entry, own = add(desk, ash="1.5")
    slug = desk.book.keep(loaf_of(own)).slug
    desk.own.put_right(str(uuid4()), entry, replace(own, ash=2.2, name=f"{own.name} B"))
    assert desk.own.offered()[0].ash == 2.2
    assert flour_record(own.id).ash_dry == pytest.approx(2.2)
    again = StoredDesk(desk._store, desk._id, NOW, lambda: NOW)
    assert again.own.offered()[0].ash == 2.2
    assert f"{own.name} B" in again.book.file(again.book.revision(slug))
    assert again.book.formula(slug).total[own.id] == 30


def test_a_flour_that_a_formula_has_stays_a_flour(desk: StoredDesk) -> None:
    entry, own = add(desk)
    desk.book.keep(loaf_of(own))
    with pytest.raises(InputError, match=r"like: .* expected a flour"):
        desk.own.put_right(str(uuid4()), entry, replace(own, like="salt"))


def test_removed_it_is_not_offered_and_what_has_it_keeps_it(desk: StoredDesk) -> None:
    entry, own = add(desk)
    slug = desk.book.keep(loaf_of(own)).slug
    before = desk.book.formula(slug)
    desk.own.remove(str(uuid4()), entry)
    assert not desk.own.offered()
    assert resolve(own.name) is None
    assert desk.book.formula(slug) == before
    ((removal, gone),) = desk.own.removed()
    assert gone.id == own.id
    desk.own.bring_back(str(uuid4()), removal)
    assert desk.own.offered() == (own,)
    assert resolve(own.name) is not None


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"name": "bread flour"}, "name"),
        ({"name": "x" * 81}, "name"),
        ({"like": "moon dust"}, "like"),
        ({"protein": "80"}, "protein"),
        ({"water": "wet"}, "water"),
        ({"allergens": "these"}, "named"),
        ({"named": "moonlight"}, "allergens"),
        ({"price": "dear"}, "price"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(
    desk: StoredDesk, said: dict[str, str], field: str
) -> None:
    with pytest.raises(InputError) as refused:
        add(desk, **said)
    assert refused.value.faults[0].field == field


def test_a_file_carries_it_to_another_kitchen(desk: StoredDesk, tmp_path: Path) -> None:
    """As from another machine: under an identifier that nobody here has seen."""
    _, own = add(desk, protein="9.5", allergens="none")
    text = desk.book.file(desk.book.keep(loaf_of(own)))
    other = new_id(own.name, "another machine's")
    text = re.sub(re.escape(own.id), other, text).replace(own.name, f"{own.name} C")
    (tmp_path / "there").mkdir()
    there = hall(tmp_path / "there")
    slug = there.book.keep(text).slug
    (found,) = there.own.offered()
    assert (found.id, found.protein, found.allergens) == (other, 9.5, ())
    assert read_formula(there.book.file(there.book.revision(slug))).total[other] == 30
    there.book.keep(there.book.revision(slug).text, slug, after=1)
    assert len(there.own.offered()) == 1


def test_each_kitchen_of_a_process_knows_its_own(tmp_path: Path) -> None:
    """One identifier in two kitchens, and a third that has none; asked in turns."""
    for name in "abc":
        (tmp_path / name).mkdir()
    here, there, third = (hall(tmp_path / name) for name in "abc")
    entry, own = add(here, ash="1.5")
    slug = here.book.keep(loaf_of(own)).slug
    text = here.book.file(here.book.revision(slug))
    for desk in (there, third):
        desk.present()
        assert (resolve(own.name), own_ingredient(own.id)) == (None, None)
        with pytest.raises(InputError, match="quern"):
            desk.book.keep(loaf_of(own))
    there.book.keep(text.replace("ash = 1.5", "ash = 2.2"))
    here.own.put_right(str(uuid4()), entry, replace(own, ash=1.8))
    for desk, ash in ((here, 1.8), (there, 2.2), (here, 1.8)):
        assert desk.book.formula(slug).total[own.id] == 30
        assert flour_record(own.id).ash_dry == pytest.approx(ash)
    assert there.own.offered()[0].ash == 2.2
    assert (third.own.offered(), own_ingredient(own.id)) == ((), None)


def test_work_beside_the_pages_knows_those_of_its_kitchen(tmp_path: Path) -> None:
    jobs = Jobs()
    desk = hall(tmp_path, jobs=jobs)
    _, own = add(desk)
    desk.present()
    asked = ("sort", "subject"), 1, lambda _: own_ingredient(own.id)
    assert jobs.awaited(10, *asked).found == own


FIGURE = st.none() | st.floats(4, 20).map(lambda each: round(each, 2))


@given(FIGURE, FIGURE, st.none() | st.floats(0.3, 3.9).map(lambda each: round(each, 2)),
       st.sampled_from((None, (), ("barley",), ("milk", "egg"))))  # fmt: skip
def test_written_and_read_again_it_is_the_same(
    water: float | None, protein: float | None, ash: float | None, allergens: tuple[str, ...] | None
) -> None:
    body = {"ingredient": "", "name": "Strand meal", "like": "barley", "water": water,
            "protein": protein, "ash": ash, "allergens": allergens}  # fmt: skip
    seed = of_body(body)
    name = new_id(seed.name, repr(seed))
    table = f'[[ingredient]]\nname = "Strand meal"\nid = "{name}"\nlike = "barley"\n'
    table += "".join(f"{k} = {body[k]}\n" for k in ("water", "protein", "ash") if body[k])
    table += "" if allergens is None else f"allergens = {list(allergens)}\n"
    formula = read_formula(LOAF.replace(MEAL, "Strand meal") + table)
    text = write_formula(formula)
    assert read_formula(text) == formula
    assert write_formula(read_formula(text)) == text
    found = tomllib.loads(text)["ingredient"][0]
    assert found == tomllib.loads(table)["ingredient"][0]
