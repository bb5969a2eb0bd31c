"""Files that cannot be used: every fault is a line with its place, and nothing hangs."""

from __future__ import annotations

from pathlib import Path
from time import process_time

import pytest

from pointage.cli.app import run

SCALE = ("--pieces", "2", "--piece", "900g")
LOAF = str(Path(__file__).parents[2] / "examples/formulas/harbour-loaf.toml")
PLAN = ("plan", LOAF, "--now", "2026-11-25T09:00", "--ready", "2026-11-28T09:00")

STAGES = """
name = "Plain loaf"
pieces = 2
piece = "900g"
[total]
wheat-white = 100
water = 70
[[stage]]
name = "Levain"
kind = "levain"
flour = 200
grams = { water = 1 }
percent = { water = 1 }
[[stage]]
name = "Soaker"
kind = "soaker"
seed = 3
when = "mix"
water = 20
[[stage]]
name = "Dough"
kind = "dough"
flour = 1
flours = { rye-whole = 50 }
"""


def test_all_that_does_not_fit_in_the_stages_of_a_formula_is_named_at_once(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "formula.toml"
    file.write_text(STAGES, encoding="utf-8")
    assert run(["scale", str(file), *SCALE]) == 2
    found = [each.split(", ", 1)[1].split(":")[0] for each in capsys.readouterr().err.splitlines()]
    assert found == [
        "stage 'Soaker', seed", "stage 'Soaker', when", "stage 1, grams", "stage 1, percent",
        "stage 1, flour", "stage 2, flour", "stage 'Dough', flour", "stage 'Dough', flours",
    ]  # fmt: skip


FORMULA = """
name = "Plain loaf"
pieces = 2
piece = "900g"
[total]
wheat-white = 100
water = 70
salt = 2
[[stage]]
name = "Levain"
kind = "levain"
flour = 20
water = 100
[[stage]]
name = "Dough"
kind = "dough"
"""


@pytest.mark.parametrize(
    ("old", "new", "named"),
    [
        pytest.param("salt = 2", "sallt = 2", "'sallt'", id="no such ingredient"),
        pytest.param("water = 70", "water = -70", "total, water", id="less than no water"),
        pytest.param('"900g"', '"900 ells"', "piece", id="no such unit"),
        pytest.param("water = 70", "water = 20", "stage 'Dough', water", id="no water left"),
        pytest.param("water = 70", "water = 15", "stage 1 (Levain)", id="less than none left"),
        pytest.param("[total]", "total:", "line 5", id="not TOML"),
    ],
)
def test_a_formula_that_cannot_be_used(
    *, capsys: pytest.CaptureFixture[str], tmp_path: Path, old: str, new: str, named: str
) -> None:
    file = tmp_path / "plain.toml"
    file.write_text(FORMULA, encoding="utf-8")
    assert run(["scale", str(file), *SCALE]) == 0  # so that it is the change that is refused
    capsys.readouterr()
    file.write_text(FORMULA.replace(old, new, 1), encoding="utf-8")
    assert run(["scale", str(file), *SCALE]) == 2
    outcome = capsys.readouterr()
    assert outcome.out == ""
    assert outcome.err.count("\n") == 1
    assert "plain.toml, " in outcome.err
    assert named in outcome.err


def test_a_file_that_is_no_text(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    binary = tmp_path / "formula.toml"
    binary.write_bytes(b"\xff\xfe\x00\x80")
    assert run(["scale", str(binary), *SCALE]) == 2
    outcome = capsys.readouterr()
    assert outcome.err.endswith("expected a text file in UTF-8\n")
    assert outcome.err.count("\n") == 1


def refused(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, old: str, new: str, *, kitchen: bool = False
) -> str:
    """The one line about a demonstration file in which `old` is replaced by `new`."""
    examples = Path(LOAF).parents[1]
    source = examples / "kitchen.toml" if kitchen else Path(LOAF)
    text = source.read_text(encoding="utf-8")
    assert old in text
    file = tmp_path / source.name
    file.write_text(text.replace(old, new, 1), encoding="utf-8")
    command = [*PLAN, "--kitchen", str(file)] if kitchen else ["plan", str(file), *PLAN[2:]]
    assert run(command) == 2
    outcome = capsys.readouterr()
    assert outcome.out == ""
    assert outcome.err.count("\n") == 1
    assert outcome.err.startswith("pointage: ")
    assert "Traceback" not in outcome.err
    return outcome.err


@pytest.mark.parametrize(
    ("old", "new", "named"),
    [
        pytest.param("water = 72", "watter = 72", "total: 'watter'", id="no such ingredient"),
        pytest.param("water = 72", "water = 10", "water", id="no water left for the dough"),
        pytest.param('dough_temperature = "25C"', "", "dough_temperature: missing", id="missing"),
        pytest.param('"240C"', '"240 Q"', "process, oven: '240 Q'", id="no such unit"),
        pytest.param('"42min"', '"' + "9" * 400 + 'min"', "process, bake: 999", id="no end"),
        pytest.param("pieces = 8", "pieces = 9999", "pieces", id="too many pieces"),
        pytest.param('culture = "Plover"', 'culture = "Puffin"', "'Puffin'", id="no culture"),
        pytest.param(
            'bulk_place = "Boiler cupboard"', 'bulk_place = "Cellar"', "'Cellar'", id="no place"
        ),
        pytest.param("[[stage]]", "[[stage", "line 15", id="not TOML"),
    ],
)
def test_a_formula_that_cannot_be_planned(
    *, capsys: pytest.CaptureFixture[str], tmp_path: Path, old: str, new: str, named: str
) -> None:
    line = refused(capsys, tmp_path, old, new)
    assert named in line
    assert "; expected " in line


def test_a_formula_that_does_not_say_how_it_is_worked(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    text = Path(LOAF).read_text(encoding="utf-8")
    process = text[text.index("[process]") :]
    assert "process: missing" in refused(capsys, tmp_path, process, "")


@pytest.mark.parametrize(
    ("old", "new", "named"),
    [
        pytest.param('temperature = "26C"', 'temperature = "6C"', "6 °C", id="too cold"),
        pytest.param('zone = "Europe/Dublin"', 'zone = "Skerry"', "'Skerry'", id="no zone"),
        pytest.param("[oven]", "[stove]", "'stove'", id="no such table"),
        pytest.param("22:30-06:00", "22:30 to 6", "hours, sleep: '22:30 to 6'", id="no hours"),
        pytest.param(
            "[hours]",
            '[hours]\naway = [{ from = "2026-11-26T09:00", until = "2026-11-25T09:00" }]',
            "away 1, until: 2026-11-25T09:00",
            id="away and back before",
        ),
        pytest.param("tap =", "tap :", "line 6", id="not TOML"),
    ],
)
def test_a_kitchen_that_cannot_be_used(
    *, capsys: pytest.CaptureFixture[str], tmp_path: Path, old: str, new: str, named: str
) -> None:
    line = refused(capsys, tmp_path, old, new, kitchen=True)
    assert named in line
    assert "cannot be used; expected " in line


@pytest.mark.long
def test_away_all_the_time_is_told_as_such(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Being away is a wish like another: an answer with its reason, not an error."""
    text = (Path(LOAF).parents[1] / "kitchen.toml").read_text(encoding="utf-8")
    away = '[hours]\naway = [{ from = "2026-11-25T09:00", until = "2026-11-27T12:00" }]'
    file = tmp_path / "kitchen.toml"
    file.write_text(text.replace("[hours]", away), encoding="utf-8")
    sooner = ["2026-11-27T09:00" if "28T" in each else each for each in PLAN]
    assert run([*sooner, "--kitchen", str(file)]) == 0
    out = capsys.readouterr().out
    assert "away Wed 25 Nov 09:00 to Fri 27 Nov 12:00" in out


@pytest.mark.parametrize("command", ["scale {file} --pieces 1", "import {file}"])
def test_a_device_that_never_ends_is_not_read_to_its_end(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, command: str
) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("POINTAGE_STORE", f"sqlite:///{tmp_path}/own.sqlite3")
        assert run(command.format(file="/dev/zero").split()) == 2
    err = capsys.readouterr().err
    assert "/dev/zero" in err
    assert err.count("\n") == 1


def test_a_kitchen_with_more_ovens_than_can_be_planned_for_is_refused(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    more = '[[oven]]\nname = "{}"\nloaves = 8\nrolls = 8\npreheat = "1h"\n'
    line = refused(
        capsys, tmp_path, "[oven]", "".join(map(more.format, range(20))) + "[[oven]]", kitchen=True
    )
    assert "oven: 21 of them cannot be used" in line
    assert "20 at most" in line


def test_of_a_file_with_thousands_of_faults_the_first_are_said(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "formula.toml"
    file.write_text("".join(f"a{i} = 1\n" for i in range(15_000)), encoding="utf-8")
    started = process_time()
    assert run(["scale", str(file), *SCALE]) == 2
    assert process_time() - started < 2.0
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 101
    assert lines[-1].startswith("pointage: the rest: 14")


DEEP = "a = " + "[" * 20_000 + "]" * 20_000
TABLES = "a = " + "{a = " * 20_000 + "1" + "}" * 20_000
DOTTED = "name = 'x'\npieces" + ".a" * 90_000 + " = 1"  # to read them takes the square of that
QUOTED = "name = 'x'\npieces" + " . 'a'" * 30_000 + " = 1"
LARGE = "name = 'x'  #" + 200_000 * "y"
DIGITS = "name = 'x'\npieces = " + "9" * 5000
SIXTEENS = "name = 0x" + "f" * 5000 + "\n"


@pytest.mark.parametrize(
    ("text", "named"),
    [
        pytest.param(DEEP, "brackets nested too deep", id="lists in lists"),
        pytest.param(TABLES, "brackets nested too deep", id="tables in tables"),
        pytest.param(DOTTED, "pieces", id="keys under keys"),
        pytest.param(QUOTED, "pieces", id="quoted keys under keys"),
        pytest.param(LARGE, "200013 characters", id="a long comment"),
        pytest.param(DIGITS, "line 2: that number", id="5000 digits"),
        pytest.param(SIXTEENS, "name", id="5000 digits in hexadecimal"),
        pytest.param("name = 'x'\npieces = " + "9" * 4000, "pieces: 999", id="4000 digits"),
    ],
)
@pytest.mark.parametrize("kitchen", [False, True], ids=["formula", "kitchen"])
def test_a_file_without_end_is_short_lines(
    *, capsys: pytest.CaptureFixture[str], tmp_path: Path, text: str, named: str, kitchen: bool
) -> None:
    file = tmp_path / "endless.toml"
    file.write_text(text, encoding="utf-8")
    command = [*PLAN, "--kitchen", str(file)] if kitchen else ["scale", str(file), *SCALE]
    assert run(command) == 2
    outcome = capsys.readouterr()
    lines = outcome.err.splitlines()  # one for each thing that is wrong
    assert len(set(lines)) == len(lines) < 10
    assert all(len(line) < 1000 for line in lines)
    if not kitchen:  # which has other keys
        assert named in outcome.err
