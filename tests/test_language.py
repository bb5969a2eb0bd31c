"""One place for every text: what is said, its parts, numbers, and files of translations."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage import language
from pointage.language import ENGLISH, Language, best, say, say_many, speaking, within, written
from pointage.shown import day_name

HEAD = 'msgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=utf-8\\n"\n\n'


@pytest.fixture
def italian(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Language:
    """A little of a language, in a file as a translator leaves it."""
    rows = [
        ("Bench", "Banco"),
        ("{culture} is fed at {time}", "{time}: rinfresca {culture}"),
        ("Feed {culture}", "Rinfresca {cultura}"),  # a slip: no part is called so
        ("risen to {rise:.1f}", "cresciuto a {rise:.1f}"),
    ]
    texts = HEAD + "".join(f'msgid "{one}"\nmsgstr "{other}"\n\n' for one, other in rows)
    texts += (
        'msgid "{n} loaf"\nmsgid_plural "{n} loaves"\nmsgstr[0] "{n} pane"\nmsgstr[1] "{n} pani"\n'
    )
    (tmp_path / "it.po").write_text(texts, "utf-8")
    monkeypatch.setattr(language, "HERE", tmp_path)
    language.languages.cache_clear()
    monkeypatch.setattr(language, "languages", language.languages)
    return best("it-IT,it;q=0.9,en;q=0.8")


@pytest.fixture(autouse=True)
def forget() -> object:
    yield
    language.languages.cache_clear()


def test_english_says_what_stands_in_the_code() -> None:
    assert best("xx, en") is ENGLISH
    assert say("Bench") == "Bench"
    assert say("{n} of {m}", n=1, m=2.5) == "1 of 2.5"
    assert say("with {braces} and no parts") == "with {braces} and no parts"
    assert say("") == ""


def test_a_country_has_its_own_file_before_its_language(italian: Language, tmp_path: Path) -> None:
    texts = HEAD + 'msgid "Bench"\nmsgstr "Tavolo"\n'
    (tmp_path / "it-CH.po").write_text(texts, "utf-8")
    (tmp_path / "en-US.po").write_text(texts, "utf-8")
    language.languages.cache_clear()
    assert best("it-ch, en").tag == "it-CH"
    assert best("it-IT, en") == italian
    assert best("en-GB, en-US") is ENGLISH
    with speaking(best("en-US,en;q=0.9")):
        assert say("Bench") == "Tavolo"
        assert day_name(date(2026, 12, 5)) == "Sat"
        assert written("1.5") == "1.5"


def test_a_name_within_a_sentence_is_small_but_where_names_are_large() -> None:
    assert within("Boiler Cupboard") == "boiler cupboard"
    with speaking(Language("de-AT")):
        assert within("Schrank") == "Schrank"


def test_a_file_of_translations_is_a_language(italian: Language) -> None:
    assert italian.tag == "it"
    with speaking(italian):
        assert say("Bench") == "Banco"
        assert say("Week") == "Week"  # not translated yet
        assert say("") == ""
        assert (
            say("{culture} is fed at {time}", culture="Plover", time="9") == "9: rinfresca Plover"
        )
        assert say("risen to {rise:.1f}", rise=1.55) in ("cresciuto a 1,6", "cresciuto a 1,5")
        assert [say_many("{n} loaf", "{n} loaves", n) for n in (1, 2)] == ["1 pane", "2 pani"]
        assert written("0.5") == "0,5"
    assert say("Bench") == "Bench"


def test_a_translation_with_a_part_that_is_not_there_is_left_in_english(italian: Language) -> None:
    with speaking(italian):
        assert say("Feed {culture}", culture="Plover") == "Feed Plover"


@given(st.floats(-1e6, 1e6, allow_nan=False), st.integers(0, 3))
def test_numbers_have_one_decimal_sign_and_nothing_else_changes(value: float, places: int) -> None:
    plain = say("{value:.{places}f}".replace("{places}", str(places)), value=value)
    with speaking(Language("it")):
        there = say("{value:.{places}f}".replace("{places}", str(places)), value=value)
    assert there.replace(",", ".") == plain
    assert there.count(",") == (places > 0)
