"""No name, file or error steers the terminal that it is printed on."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pointage.cli.app import run
from pointage.cli.terminal import Harmless, harmless

LOAF = Path(__file__).parents[2] / "examples/formulas/harbour-loaf.toml"
BAD = "\\u001b[2J\\u202egro\\u0085\\nNext"  # as TOML writes it
SIGNS = "\x1b\u202e\x85\u2028\x07\r\b"


def test_what_cannot_be_printed_is_written_out() -> None:
    assert harmless("Tern") == "Tern"
    assert harmless("9.50\u00a0€ for é 🍞") == "9.50\u00a0€ for é 🍞"
    assert harmless("\x1b[2J\u202e\n") == "\\u001b[2J\\u202e\\u000a"
    assert harmless("a\nb\tc", "\n") == "a\nb\\u0009c"
    assert harmless("\udc80\U000e0001") == "\\udc80\\udb40\\udc01"


@given(st.text())
def test_json_says_the_same_afterwards(text: str) -> None:
    written = json.dumps({"name": text}, ensure_ascii=False, indent=2)
    assert json.loads(harmless(written, "\n")) == {"name": text}


def test_a_stream_is_as_it_was_but_for_that() -> None:
    stream = io.StringIO()
    print("a\x1bb", 3, file=Harmless(stream))
    assert stream.getvalue() == "a\\u001bb 3\n"
    assert Harmless(stream).isatty() is False


@pytest.mark.parametrize(
    "command", [("scale", "--pieces", "2"), ("label",), ("plan", "--ready", "2026-11-28T09:00",
                "--now", "2026-11-25T09:00"), ("compare",), ("label", "--json")]
)  # fmt: skip
@pytest.mark.soon(3)
def test_a_formula_with_an_evil_name(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, command: tuple[str, ...]
) -> None:
    text = LOAF.read_text(encoding="utf-8")
    file, other = tmp_path / "evil.toml", tmp_path / "good.toml"
    file.write_text(text.replace("Harbour loaf", BAD).replace("Levain", BAD), encoding="utf-8")
    other.write_text(text, encoding="utf-8")
    files = [str(file), str(other)] if command[0] == "compare" else [str(file)]
    assert run([command[0], *files, *command[1:]]) == 0
    out = capsys.readouterr().out
    assert not set(SIGNS) & set(out)
    assert "\\u001b[2J" in out
    assert not [line for line in out.splitlines() if line.lstrip().startswith("Next")]


def test_an_error_with_an_evil_value(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["scale", f"no {SIGNS}\nsuch.toml", "--pieces", "2"]) == 2
    assert run([f"{SIGNS}\n"]) == 2
    err = capsys.readouterr().err
    assert err.count("\n") == 2
    assert not set(SIGNS) & set(err)


def test_the_streams_are_given_back() -> None:
    before = sys.stdout, sys.stderr
    run(["--version"])
    assert (sys.stdout, sys.stderr) == before
