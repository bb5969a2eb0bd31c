"""What a walk through the pages does not show is in the reader's language too: errors, what scripts
say, words on buttons that are kept in English."""

from __future__ import annotations

import json
import re
from html import unescape
from typing import Literal, get_args, get_origin

import pytest
from tests.made_up import PLAIN, accented, made_up
from tests.web.conftest import Door

from pointage import language
from pointage.formula.ingredients import ingredients
from pointage.heat.materials import materials
from pointage.kitchen.file.edit import keys
from pointage.web.assets import WEB
from pointage.web.forms.labels import CHOICES, KEYS
from pointage.web.screens.cultures.view import FLOURS, flour_words
from pointage.web.screens.kitchen.view import KINDS

SPEAKS = {"accept-language": "qps"}
TEXTS = re.compile(r'<script class="texts" type="application/json">(.*?)</script>', re.DOTALL)
SAID = re.compile(r'\bsay\("(\w+)"')
"""A text that a script asks for by its name."""
SCRIPTS = ("page.js", "outbox.js", "bench.js", "call.js", "measure.js")
OF_READINGS = {"rise", "temperature", "room", "ph", "acidity", "ripe", "fallen"}
OF_FIELDS = {"display", "value", "text", "touch"}
OF_WORKER = {"no_network", "not_kept"}


@pytest.fixture
def abroad(door: Door, monkeypatch: pytest.MonkeyPatch) -> Door:
    """The same door, where a made-up language is spoken besides."""
    known = {**language.languages(), "qps": made_up()}
    monkeypatch.setattr(language, "languages", lambda: known)
    return door


def texts(html: str) -> dict[str, str]:
    """What a page gives its scripts to say."""
    found: dict[str, str] = {}
    for each in TEXTS.findall(html):
        found |= json.loads(each)
    return found


def plain(text: str) -> str:
    """Its plain letters, without parts and tags."""
    return "".join(each for each in re.sub(r"\{\w+\}|<[^>]*>", "", text) if each in PLAIN)


def test_scripts_have_every_text_that_they_say(door: Door) -> None:
    asked = set()
    for name in SCRIPTS:
        (path,) = (*WEB.glob(f"static/{name}"), *WEB.glob(f"screens/*/{name}"))
        asked |= set(SAID.findall(path.read_text("utf-8")))
    asked |= OF_READINGS | OF_FIELDS | OF_WORKER
    # Chosen between in the script: say(here ? "unable" : shutOut ? "shut_out" : "offline")
    assert set(texts(door.get("/").text)) == asked | {"unable", "offline", "shut_out"}


def test_every_page_has_the_texts_of_the_script_that_every_page_has(door: Door) -> None:
    asked = set(SAID.findall((WEB / "static" / "page.js").read_text("utf-8")))
    for path in ("/week", "/daybook", "/nowhere"):
        assert asked | {"unable", "offline", "no_reason"} <= set(texts(door.get(path).text))


def test_scripts_speak_the_language_of_the_page(abroad: Door) -> None:
    found = texts(abroad.get("/", SPEAKS).text)
    assert found
    assert not {name: text for name, text in found.items() if plain(text)}
    assert found["minutes"].count("{minutes}") == 1
    assert '<a href="/">' in found["not_kept"]


def test_the_page_kept_for_want_of_a_network_is_in_a_language_of_its_own(abroad: Door) -> None:
    """The worker reads what it says out of the Bench that it kept."""
    bench = abroad.get("/", SPEAKS).text
    script = (WEB / "static" / "worker.js").read_text("utf-8")
    match = re.search(r"match\(/(<html .*?<)/\)", script)
    assert match is not None
    tag, said = re.search(match[1].replace(r"[\s\S]", r"(?s:.)"), bench).groups()  # type: ignore[union-attr]
    assert 'lang="qps"' in tag
    assert json.loads(said)["no_network"] == accented("No network")


@pytest.mark.parametrize(
    ("method", "path", "title"),
    [
        ("GET", "/nowhere", "Not found"),
        ("GET", "/cultures/Nobody", "Not found"),
        ("PUT", "/week", "Not accepted"),
        ("POST", "/bench/done", "Cannot be used"),
    ],
)
def test_errors_are_in_the_language_of_the_reader(
    abroad: Door, method: str, path: str, title: str
) -> None:
    answer = abroad._ask(method, path, headers=SPEAKS | {"origin": "http://127.0.0.1"})
    assert answer.status_code >= 400
    assert '<html lang="qps"' in answer.text
    assert f"<h1>{accented(title)}</h1>" in answer.text


def test_a_fault_of_ours_is_told_in_the_language_of_the_reader(
    abroad: Door, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(abroad.desk, "formulas", broken)
    answer = abroad.get("/formulas", SPEAKS)
    assert answer.status_code == 500
    assert accented("Something in the program failed. Everything recorded so far is safe.") in (
        unescape(answer.text)
    )


def test_the_licences_say_in_the_language_of_the_reader_what_they_are_of(abroad: Door) -> None:
    answer = abroad.get("/licences", SPEAKS)
    assert accented("htmx, in every page") in answer.text
    assert "Accept-Language" in answer.headers["vary"]
    assert "SIL Open Font License 1.1" in answer.text


def test_a_smell_is_kept_in_english_and_read_in_the_language_of_the_reader(abroad: Door) -> None:
    for path in ("/", "/daybook"):
        html = abroad.get(path, SPEAKS).text
        assert re.search(f'value="sour milk"[^>]*>{accented("sour milk")}</button>', html), path
    told = {"step": "build", "kind": "smelled", "touch": "sour milk"}
    stays = abroad.tell("/bench/noted", SPEAKS, **told)
    assert stays.status_code < 400
    html = unescape(abroad.get("/", SPEAKS).text)
    assert accented("smells of {signs}").replace("{signs}", accented("sour milk")) in html
    assert abroad.desk.records.lines()[-1].written.body["signs"] == ["sour milk"]


def test_every_key_and_word_of_the_kitchen_file_is_found_for_translation() -> None:
    for kind in KINDS:
        for key, field in keys(kind).items():
            assert key.replace("_", " ") in KEYS
            for each in (field.annotation, *get_args(field.annotation)):
                words = get_args(each) if get_origin(each) is Literal else ()
                assert {word for word in words if plain(word)} - {"C", "F"} <= CHOICES
    assert set(materials()) <= CHOICES


def test_every_flour_that_a_culture_may_be_fed_is_found_for_translation() -> None:
    flours = {name for name, each in ingredients().items() if each.kind == "flour"}
    assert set(FLOURS) == flours
    with language.speaking(made_up()):
        assert not [name for name in flours if plain(flour_words(name))]
    assert flour_words("rye-whole") == "whole rye"
