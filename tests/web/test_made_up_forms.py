"""Forms and refusals in a made-up language; what is typed, chosen and kept stays as it is."""

from __future__ import annotations

import re
from pathlib import Path
from uuid import uuid4

import pytest
from tests.made_up import accented, made_up
from tests.web import fixture_plan as fixture
from tests.web.conftest import ORIGIN, ask
from tests.web.stored_desk import NOW, friday_to_read, hall

from pointage import language
from pointage.daybook.bodies import BODIES
from pointage.daybook.entry import EntryKind
from pointage.desk.formulas.changes import NEW_STAGE
from pointage.desk.formulas.draft import PROCESS, STAGE
from pointage.desk.wording.amounts import _COUNTED, count, mass, percent
from pointage.formula.file.shape import FormulaTable, ProcessTable, StageTable
from pointage.formula.ingredients import ingredients
from pointage.kitchen.file.edit import ROWS, SINGLE, keys
from pointage.language import mark, speaking
from pointage.web.app import create_app
from pointage.web.forms.field import Choice, Field
from pointage.web.forms.form import Asked, Form, of_shape
from pointage.web.screens.label.view import FORM
from pointage.web.screens.larder.forms import forms as larder_forms
from pointage.web.screens.oven.view import FIRST, OTHERS
from pointage.web.words.asked import every_field
from pointage.web.words.entries import kind_words

WORD = re.compile(r"[A-Za-z]{3,}")
WHOLE = ("name", "pieces", "piece", "culture", "about", "cautions", "may_contain")
TABLES = (
    (FormulaTable, WHOLE),
    (ProcessTable, PROCESS),
    (StageTable, (*NEW_STAGE, *STAGE)),
)
SHAPES = [
    *(each for kind in ("kitchen", "hours", *ROWS, *SINGLE) for each in keys(kind).items()),
    *((key, table.model_fields[key]) for table, names in TABLES for key in names),
]


@pytest.fixture(autouse=True)
def known(monkeypatch: pytest.MonkeyPatch) -> None:
    """The language is among those there are."""
    there = {**language.languages(), "qps": made_up()}
    monkeypatch.setattr(language, "languages", lambda: there)


def english(*fields: Field) -> list[str]:
    """The labels and choices that are still in plain letters."""
    texts = [text for it in fields for text in (it.label, *(each.text for each in it.choices))]
    return [text for text in texts if WORD.search(text)]


def test_every_key_of_a_file_has_a_label_and_choices_to_translate() -> None:
    with speaking(made_up()):
        fields = [of_shape(*each).field("") for each in SHAPES]
    assert english(*fields) == []
    assert [it.name for it in fields] == [name for name, _ in SHAPES]


@pytest.mark.parametrize("form", [FIRST, OTHERS, FORM, larder_forms()["buy"]])
def test_a_form_made_when_the_module_was_read_speaks_to_each_reader(form: Form) -> None:
    plain = form.shown()
    with speaking(made_up()):
        fields = form.shown()
    assert english(*fields) == []
    assert form.shown() == plain
    for here, there in zip(plain, fields, strict=True):
        assert (here.name, here.value) == (there.name, there.value)
        assert [each.value for each in here.choices] == [each.value for each in there.choices]


@pytest.mark.parametrize("kind", EntryKind)
def test_what_an_entry_may_say_is_asked_in_the_reader_s_language(kind: EntryKind) -> None:
    if kind not in BODIES:
        return
    measured = {each.label for each in every_field(EntryKind.MEASURED, {})}
    with speaking(made_up()):
        left = english(*every_field(kind, {"parts": [{"grams": 1.0}]}))
        assert not WORD.search(kind_words(kind))
    assert set(left) <= measured


def test_names_that_people_gave_stay() -> None:
    asked = Asked("place", mark("Room"), choices=(Choice("Room", "Room"),))
    with speaking(made_up()):
        field = asked.field("Room")
    assert (field.label, field.choices) == (accented("Room"), (Choice("Room", "Room"),))


@pytest.mark.parametrize("what", sorted(_COUNTED))
def test_what_is_counted_has_both_its_forms(what: str) -> None:
    assert (count(1, what), count(2, what)) == (f"1 {what}", f"2 {what}s")
    with speaking(made_up()):
        assert not WORD.search(count(1, what) + count(2, what))


def test_quantities_have_the_decimals_of_the_language() -> None:
    with speaking(made_up()):
        assert mass(10_800).startswith("10,8")
        assert percent(0.125, 1).startswith("12,5")


def test_an_ingredient_may_be_typed_as_it_is_shown(tmp_path: Path) -> None:
    desk = hall(tmp_path)
    app = create_app(desk, lambda: NOW)
    headers = {"Origin": ORIGIN, "accept-language": "qps"}
    salt = accented(ingredients()["salt"].label)
    for item in (salt, "Salt", "salt"):
        sent = {"entry": str(uuid4()), "item": item, "mass": "1kg", "per": "pack"}
        answer = ask(app, "POST", f"{ORIGIN}/larder/buy", data=sent, headers=headers)
        assert answer.status_code == 303
    page = ask(app, "GET", f"{ORIGIN}/larder", headers=headers).text
    assert f'<option value="{salt}">' in page
    assert [each.body["item"] for each in desk._store.entries(desk._id)] == ["salt"] * 3


def test_the_phone_gets_sentences_to_fill_in(tmp_path: Path) -> None:
    app = create_app(hall(tmp_path), lambda: NOW)
    page = ask(app, "GET", f"{ORIGIN}/water", headers={"accept-language": "qps"}).text
    answer = re.search(r'<div class="answer".*?<form', page, re.DOTALL)
    assert answer is not None
    said = dict(re.findall(r'data-(\w+)="([^"]*)"', answer[0]))
    assert said["point"] == ","
    for name, parts in {"says": ("ice", "liquid"), "hot": ("water", "nearest"),
                        "cold": ("nearest",)}.items():  # fmt: skip
        text = said[name]
        for part in parts:
            assert text.count(f"{{{part}}}") == 1
            text = text.replace(f"{{{part}}}", "")
        assert not WORD.search(text)


def test_a_new_formula_has_names_in_the_reader_s_language(tmp_path: Path) -> None:
    app = create_app(hall(tmp_path), lambda: NOW)
    answer = ask(app, "GET", f"{ORIGIN}/formulas/new", headers={"accept-language": "qps"})
    assert answer.status_code == 200
    assert accented("New formula") in answer.text
    assert "New formula" not in answer.text


def test_what_is_refused_before_there_is_a_page_is_so_in_the_reader_s_language() -> None:
    app = create_app(friday_to_read(), lambda: fixture.NOW)
    said = {"accept-language": "qps"}
    strange = ask(app, "GET", f"{ORIGIN}/", headers={**said, "Host": "kitchen.example"})
    elsewhere = ask(app, "POST", f"{ORIGIN}/bench/done", headers={**said, "Origin": "null"})
    long = {**said, "Origin": ORIGIN, "Content-Type": "multipart/form-data; boundary=b"}
    sent = {**long, "Content-Length": str(500_000_000)}
    too_long = ask(app, "POST", f"{ORIGIN}/kitchen/log", content=b"--b", headers=sent)
    assert (strange.status_code, elsewhere.status_code, too_long.status_code) == (400, 403, 413)
    called = accented("This server is not called {name!r}.").format(name="kitchen.example")
    assert strange.text.strip() == called
    assert elsewhere.text.strip() == accented("This form did not come from one of our own pages.")
    assert accented("A log may have at most {most:g} MB").format(most=100) in too_long.text
