"""Bad input is one line on standard error that names the field, exit status 2, and no more."""

from __future__ import annotations

from pathlib import Path

import pytest

from pointage.cli.app import run

WATER = ("water", "--target", "25C", "--water", "600g", "--part", "flour:600g@18C")
SCALE = ("--pieces", "2", "--piece", "900g")


@pytest.mark.parametrize(
    ("arguments", "named"),
    [
        pytest.param(("knead",), "knead", id="no such command"),
        pytest.param(("water",), "--target", id="an option left out"),
        pytest.param((*WATER, "--spoon", "3"), "--spoon", id="no such option"),
        pytest.param((*WATER, "--target", "25X"), "--target", id="no such unit"),
        pytest.param((*WATER, "--target", ""), "--target", id="empty"),
        pytest.param((*WATER, "--target", "-5C"), "--target", id="a frozen dough"),
        pytest.param((*WATER, "--target", "75C"), "--target", id="water that cannot be"),
        pytest.param((*WATER, "--water", "0g"), "--water", id="no water"),
        pytest.param((*WATER, "--water", "-600g"), "--water", id="less than none"),
        pytest.param((*WATER, "--water", "9" * 400), "--water", id="far too much"),
        pytest.param((*WATER, "--target", "9" * 5000), "--target", id="far too warm"),
        pytest.param((*WATER, "--water", "1,200g"), "comma", id="a comma for thousands perhaps"),
        pytest.param(WATER[:5], "--part", id="nothing but water"),
        pytest.param((*WATER, "--part", "flour"), "--part", id="no mass"),
        pytest.param((*WATER, "--part", "flour:600g"), "--part", id="no temperature"),
        pytest.param((*WATER, "--part", "sand:600g@18C"), "sand", id="no such part"),
        pytest.param((*WATER, "--part", "levain:60g@-4C"), "--part", id="a frozen levain"),
        pytest.param((*WATER, "--vessel", "paper:90g@18C"), "--vessel", id="no such vessel"),
        pytest.param((*WATER, "--friction", "-2C"), "--friction", id="negative friction"),
        pytest.param((*WATER, "--tap", "-1C"), "--tap", id="a frozen tap"),
        pytest.param((*WATER, "--room", "hot"), "--room", id="no number"),
        pytest.param(("scale", "no such.toml", *SCALE), "FORMULA.toml", id="no such file"),
        pytest.param(("scale", "/", *SCALE), "FORMULA.toml", id="a folder"),
        pytest.param(("scale", "a\0b", *SCALE), "FORMULA.toml", id="no possible name"),
        pytest.param(("scale", "a" * 5000, *SCALE), "FORMULA.toml", id="far too long a name"),
        pytest.param(("scale", "a.toml", "--pieces", "two"), "--pieces", id="no whole number"),
        pytest.param(("scale", "a.toml", *SCALE, "--pieces", "0"), "--pieces", id="no pieces"),
        pytest.param(
            ("scale", "a.toml", *SCALE, "--pieces", "9" * 400), "--pieces", id="far too many"
        ),
        pytest.param(
            ("plan", "no such.toml", "--ready", "2026-12-05T09:00"), "FORMULA.toml", id="no formula"
        ),
        pytest.param(("serve", "--port", "99999"), "--port", id="no such port"),
    ],
)
def test_one_line(
    capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], named: str
) -> None:
    assert run(arguments) == 2
    outcome = capsys.readouterr()
    assert outcome.out == ""
    assert outcome.err.count("\n") == 1
    assert outcome.err.startswith("pointage: ")
    assert named in outcome.err
    assert "Traceback" not in outcome.err


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
def test_a_formula_that_will_not_do(
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
    assert outcome.err.endswith("give a text file in UTF-8\n")
    assert outcome.err.count("\n") == 1
