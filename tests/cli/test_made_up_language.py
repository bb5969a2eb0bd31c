"""Commands in a made-up language: nothing that they print is left behind in English."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Collection
from functools import cache
from pathlib import Path

import pytest
from tests.made_up import made_up
from tests.web.conftest import Idle
from tests.web.fixture_plan import NOW
from tests.web.test_made_up_language import SIGNS, WORD, own_words

from pointage import language
from pointage.cli.app import app, language_for, run
from pointage.cli.declared import Commands
from pointage.desk.opening import open_demonstration
from pointage.formula.ingredients import ingredients
from pointage.language import ENGLISH

FORMULA = "examples/formulas/harbour-loaf.toml"
RECIPE = "examples/recipes/country-loaf.txt"
WATER = ["water", "--target", "25C", "--water", "600g", "--part", "flour:600g@18C"]
PLAN = ["plan", FORMULA, "--kitchen", "examples/kitchen.toml", "--now", "2026-11-25T12:00"]
NOT_A_WORD = re.compile(r"--?[a-z-]+|\b[A-Z]{2,}\b|\S+\.(toml|csv|md)|[\w/]+/\w+|\w+@\S+")
"""Options, what stands for their values, files, time zones, what is typed as it stands."""
TYPED = frozenset({"pointage", "TOML", "CLI", "UTC"})


@pytest.fixture
def spoken(monkeypatch: pytest.MonkeyPatch) -> None:
    """The made-up language is there, and the environment asks for it."""
    known = language.languages()
    monkeypatch.setattr(language, "languages", lambda: {**known, "qps": made_up()})
    monkeypatch.setenv("LC_ALL", "qps_QP.UTF-8")


@cache
def _own() -> frozenset[str]:
    return own_words(open_demonstration(NOW, lambda: NOW, Idle()))  # as the pages' tests do


def left(printed: str, typed: Collection[str] = ()) -> list[str]:
    """The lines in which English is left, without what has one name in every language, and what
    was typed."""
    names = {each for name in (*ingredients(), *app.commands) for each in WORD.findall(name)}
    spoken = made_up()
    dates = {*spoken.days, *spoken.months, *spoken.long_months}
    kept = {each.casefold() for each in _own() | SIGNS | TYPED | names | dates | set(typed)}
    return [
        line
        for line in printed.splitlines()
        if any(word.casefold() not in kept for word in WORD.findall(NOT_A_WORD.sub(" ", line)))
    ]


def commands(group: Commands, *before: str) -> list[list[str]]:
    """The words of each command, and of each that has others below it."""
    found = []
    for name, each in group.commands.items():
        found.append([*before, name])
        if isinstance(each, Commands):
            found += commands(each, *before, name)
    return found


@pytest.mark.usefixtures("spoken")
@pytest.mark.parametrize(
    "arguments",
    [
        WATER,
        [*WATER, "--tap", "30C", "--part", "seed:250g@44C"],
        ["scale", FORMULA, "--pieces", "3"],
        ["label", FORMULA],
        ["compare", FORMULA, "examples/formulas/tinned-rye.toml"],
        ["now"],
        [*PLAN, "--ready", "2026-12-05T09:00"],
    ],
    ids=lambda words: words[0],
)
def test_nothing_of_an_answer_is_left_in_english(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(arguments) == 0
    assert left(capsys.readouterr().out) == []


@pytest.mark.usefixtures("spoken")
def test_of_a_recipe_what_was_typed_alone_is_left(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["read", RECIPE]) == 0
    typed = WORD.findall(Path(RECIPE).read_text("utf-8"))
    assert left(capsys.readouterr().out, typed) == []


@pytest.mark.usefixtures("spoken")
def test_nothing_of_the_help_is_left_in_english(capsys: pytest.CaptureFixture[str]) -> None:
    run(["--help"])
    for words in commands(app):
        run([*words, "--help"])
    names = {"list", "add", "token", "temperature", "correct", "remove", "bring", "back"}
    assert left(capsys.readouterr().out, names) == []


@pytest.mark.usefixtures("spoken")
@pytest.mark.parametrize(
    "arguments",
    [
        ["water", "--target", "25C"],
        ["wart"],
        ["water", "--targt", "25C"],
        ["water", "--target", "hot", "--water", "-5g", "--part", "flour:600g@18C"],
        ["water", "--target", "25C", "--water", "600g", "--part", "flour:600g@900C"],
        ["scale", "examples/nowhere.toml"],
        ["scale", FORMULA, "--pieces", "none", "--step", "0g"],
        ["raise", "--flour-kind", "rye", "--vessel", "2l", "--at", "24C"],
    ],
)
def test_nothing_of_an_error_is_left_in_english(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(arguments) == 2
    typed = {word for each in arguments for word in WORD.findall(each)}
    assert left(capsys.readouterr().err, typed) == []


@pytest.mark.usefixtures("spoken")
def test_json_stays_as_it_is(capsys: pytest.CaptureFixture[str]) -> None:
    run([*WATER, "--part", "seed:250g@44C", "--json"])
    asked = capsys.readouterr().out
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("LC_ALL", "C")
        run([*WATER, "--part", "seed:250g@44C", "--json"])
    assert asked == capsys.readouterr().out
    assert "warnings" in asked


@pytest.mark.parametrize(
    ("environ", "tag"),
    [
        ({"LC_ALL": "qps_QP.UTF-8", "LANG": "en_GB.UTF-8"}, "qps"),
        ({"LC_ALL": "", "LC_MESSAGES": "qps", "LANG": "C"}, "qps"),
        ({"LANG": "qps@old"}, "qps"),
        ({"LC_ALL": "C.UTF-8", "LANG": "qps"}, "en"),
        ({"LC_MESSAGES": "POSIX", "LANG": "qps"}, "en"),
        ({"LANG": "en_IE.UTF-8"}, "en"),
        ({"LANG": "xx_XX"}, "en"),
        ({}, "en"),
    ],
)
def test_the_environment_names_the_language_as_posix_has_it(
    environ: dict[str, str], tag: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(language, "languages", lambda: {"en": ENGLISH, "qps": made_up()})
    assert language_for(["water"], environ).tag == tag


def test_english_needs_no_babel() -> None:
    program = (
        "import sys; from pointage.cli.app import run; "
        f"run(['--help']); run({WATER!r}); "
        "sys.exit(any(name.partition('.')[0] == 'babel' for name in sys.modules))"
    )
    for spoken in ("C", "en_GB.UTF-8"):
        environ = {"LC_ALL": spoken, "PATH": "", "PYTHONPATH": ":".join(sys.path)}
        command = [sys.executable, "-c", program]
        done = subprocess.run(command, env=environ, stdout=subprocess.DEVNULL, check=False)
        assert done.returncode == 0
