"""Bad input is one line on standard error that names the field, exit status 2, and no more."""

from __future__ import annotations

from pathlib import Path

import pytest

from pointage.cli.app import run

WATER = ("water", "--target", "25C", "--water", "600g", "--part", "flour:600g@18C")
SCALE = ("--pieces", "2", "--piece", "900g")
FORECAST = ("forecast", "--seed", "50g", "--flour", "100g", "--water", "100g", "--at", "25C")
LOAF = str(Path(__file__).parents[2] / "examples/formulas/harbour-loaf.toml")
PLAN = ("plan", LOAF, "--now", "2026-11-25T09:00", "--ready", "2026-11-28T09:00")


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
        pytest.param((*WATER, "--part", "levain:60g@-44C"), "--part", id="colder than a freezer"),
        pytest.param((*WATER, "--part", "levain/0:60g@24C"), "--part", id="a levain without water"),
        pytest.param((*WATER, "--part", "flour/60:60g@24C"), "flour/60", id="flour with water"),
        pytest.param((*WATER, "--part", "ice:60g@4C"), "ice at 0C or below", id="warm ice"),
        pytest.param((*WATER, "--part", "water:60g@-4C"), "ice:", id="water that is ice"),
        pytest.param((*WATER, "--part", "water:60g@101C"), "--part", id="water above boiling"),
        pytest.param((*WATER, "--part", "flour:-60g@18C"), "--part", id="less than no flour"),
        pytest.param((*WATER, "--mixing", "spoon:3min"), "--mixing", id="no such mixing"),
        pytest.param((*WATER, "--mixing", "hand"), "--mixing", id="mixing for no time"),
        pytest.param((*WATER, "--mixing", "hand:9h"), "--mixing", id="mixing without end"),
        pytest.param(
            (*WATER, "--mixing", "hand:9min", "--friction", "2C"), "--friction", id="friction twice"
        ),
        pytest.param((*WATER, "--altitude", "9km"), "--altitude", id="no such height"),
        pytest.param(
            (*WATER, "--scald", "--part", "seed:9g@18C"), "--scald", id="a scald with yeast"
        ),
        pytest.param((*WATER, "--vessel", "paper:90g@18C"), "--vessel", id="no such vessel"),
        pytest.param((*WATER, "--friction", "-2C"), "--friction", id="negative friction"),
        pytest.param((*WATER, "--tap", "-1C"), "--tap", id="a frozen tap"),
        pytest.param((*WATER, "--room", "hot"), "--room", id="no number"),
        pytest.param(("scale", "no such.toml", *SCALE), "FORMULA.toml", id="no such file"),
        pytest.param(("scale", "/", *SCALE), "FORMULA.toml", id="a folder"),
        pytest.param(("scale", "a\0b", *SCALE), "FORMULA.toml", id="no possible name"),
        pytest.param(("scale", "a" * 5000, *SCALE), "FORMULA.toml", id="far too long a name"),
        pytest.param(("scale", LOAF, *SCALE, "--pieces", "two"), "--pieces", id="no number"),
        pytest.param(("scale", LOAF, *SCALE, "--pieces", "1.5"), "--pieces", id="a part"),
        pytest.param(("scale", LOAF, *SCALE, "--step", "1 ell"), "--step", id="no such step"),
        pytest.param((*FORECAST, "--at", "25X"), "--at: '25X'", id="no such unit of heat"),
        pytest.param((*FORECAST, "--at", "250C"), "--at: '250C'", id="an oven, not a room"),
        pytest.param((*FORECAST, "--seed", "0g"), "--seed: '0g'", id="no seed"),
        pytest.param((*FORECAST, "--flour", "9" * 400), "--flour: 999", id="flour without end"),
        pytest.param((*FORECAST, "--flour", "9" * 29), "--flour: '999", id="far too much flour"),
        pytest.param((*FORECAST, "--salt", "-2g"), "--salt: '-2g'", id="less than no salt"),
        pytest.param((*FORECAST, "--hours", "0"), "--hours: '0'", id="no time"),
        pytest.param((*FORECAST, "--hours", "0.0000001h"), "--hours: '0.0", id="hardly any time"),
        pytest.param((*FORECAST, "--hours", "9" * 20), "--hours: ", id="time without end"),
        pytest.param((*FORECAST, "--flour-kind", "sand"), "--flour-kind: 'sand'", id="no flour"),
        pytest.param((*FORECAST, "--culture", "Puffin"), "--culture: 'Puffin'", id="no culture"),
        pytest.param(
            (*FORECAST, "--temperatures", "no such.csv"), "--temperatures: no such", id="no series"
        ),
        pytest.param(("scale", LOAF, *SCALE, "--pieces", "0"), "--pieces", id="no pieces"),
        pytest.param(("scale", LOAF, *SCALE, "--pieces", "9" * 400), "--pieces", id="far too many"),
        pytest.param(
            ("plan", "no such.toml", "--ready", "2026-12-05T09:00"), "FORMULA.toml", id="no formula"
        ),
        pytest.param((*PLAN, "--ready", "2026-11-24T09:00"), "--ready: 2026-11-24", id="past"),
        pytest.param((*PLAN, "--ready", "2020-11-28T09:00"), "--ready: 2020", id="long past"),
        pytest.param((*PLAN, "--ready", "2029-11-28T09:00"), "--ready: 2029", id="years ahead"),
        pytest.param((*PLAN, "--ready", "9999-12-31T23:59"), "--ready: 9999", id="the last day"),
        pytest.param((*PLAN, "--ready", "tomorrow"), "--ready: 'tomorrow'", id="no date"),
        pytest.param((*PLAN, "--ready", "2026-11-28"), "--ready: '2026-11-28'", id="no clock"),
        pytest.param(
            (*PLAN, "--ready", "2027-03-28T01:30"), "the clocks go forward", id="no such hour"
        ),
        pytest.param((*PLAN, "--ready", "2027-10-31T01:30"), "comes twice", id="an hour twice"),
        pytest.param((*PLAN, "--zone", "Mars/Here"), "--zone: 'Mars/Here'", id="no such zone"),
        pytest.param((*PLAN, "--now", "soon"), "--now: 'soon'", id="no such now"),
        pytest.param((*PLAN, "--now", "0001-01-01T00:00"), "--now: 0001", id="the first day"),
        pytest.param((*PLAN, "--pieces", "0"), "--pieces: '0'", id="no loaves"),
        pytest.param(
            (*PLAN, "--pieces", "1000000000"), "--pieces: '1000", id="far too many loaves"
        ),
        pytest.param((*PLAN, "--pieces", "9" * 400), "--pieces: 999", id="loaves without end"),
        pytest.param((*PLAN, "--piece", "0g"), "--piece: '0g'", id="loaves of nothing"),
        pytest.param((*PLAN, "--piece", "9t"), "--piece: '9t'", id="a loaf in tons"),
        pytest.param((*PLAN, "--piece", "9000kg"), "--piece: '9000kg'", id="a loaf of tons"),
        pytest.param((*PLAN, "--kitchen", "no such.toml"), "--kitchen: no such", id="no kitchen"),
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


@pytest.mark.parametrize(
    ("line", "named"),
    [
        (f"scale {LOAF} --pieces x --piece 0g --step 1ell --baked much --oven-loss 60% --rise q "
         "--bowl-loss 99% --vessel 3q --fine-step 9kg --flour-on-hand a --oven-loads 0 "
         "--kitchen none.toml",
         "pieces piece step oven-loads baked oven-loss bowl-loss vessel rise fine-step kitchen "
         "flour-on-hand"),
        (f"scale {LOAF} --pieces 2 --rise q --fine-capacity x --oven-loss 99%",
         "rise fine-capacity oven-loss"),  # idle, and not read besides
        ("forecast --seed x --flour 0g --water q --at 250C --hours 0 --salt -2g --flour-kind sand "
         "--ash 99 --moisture 1 --falling-number 9 --log-unit X --log-dates Q --culture Puffin",
         "seed flour water salt at hours log-unit log-dates flour-kind moisture falling-number ash "
         "culture"),
        ("forecast --seed x --flour 1g --water 1g --at 25C --temperatures none.csv --log-unit X "
         "--log-dates Q", "seed temperatures log-unit log-dates"),
        (f"plan {LOAF} --ready soon --now then --zone Mars/Here --pieces 0 --piece 9t "
         "--kitchen none.toml", "kitchen pieces piece zone now ready"),
        (f"label {LOAF} --style x --pieces 0 --piece 9t --serving 9x --loss 300% --may-contain z",
         "pieces style piece loss serving may-contain"),
        ("raise --flour-kind sand --vessel 2q --at 24X --days x --tare x --room hot --step x "
         "--saw x", "vessel at tare room step days saw flour-kind"),
        ("raise --flour-kind rye-whole --vessel 900l --at 99C --days 3 --daily-flour 0g --step 0g "
         "--saw 5:1.2 --saw 4:1.1", "vessel daily-flour step at saw saw"),
        (f"label {LOAF} --may-contain z --may-contain q", "may-contain may-contain"),
        ("sensor add Probe --kind smell --place Nowhere", "kind place"),
        ("water --target 999C --water x --part a --part b --vessel q --friction 99C --tap 200C "
         "--room x --altitude 0kg --moisture 200",
         "altitude target water part part moisture vessel friction room tap"),
        ("water --target 25C --water x --part levain:1g@20C --mixing a --mixing b:3 --scald "
         "--room 9C --moisture 9", "water scald room moisture mixing mixing"),
        ("serve --demo --kitchen none.toml --formulas none", "demo kitchen formulas"),
        ("water --target 25C --water 1g --part seed:9g@18C --room 9C --moisture 15",
         "room moisture"),
    ],
)  # fmt: skip
def test_every_bad_option_is_named_at_once(
    capsys: pytest.CaptureFixture[str], line: str, named: str
) -> None:
    assert run(line.split()) == 2
    outcome = capsys.readouterr()
    assert outcome.out == ""
    found = [each.split(": ")[1] for each in outcome.err.splitlines()]
    assert found == [f"--{each}" for each in named.split()]


@pytest.mark.parametrize(
    "line",
    ["plan none.toml --ready soon", "label none.toml --style x", "compare none.toml no.toml",
     "scale none.toml --pieces x"],
)  # fmt: skip
def test_a_file_that_is_not_there_hides_no_other_fault(
    capsys: pytest.CaptureFixture[str], line: str
) -> None:
    assert run(line.split()) == 2
    assert len(capsys.readouterr().err.splitlines()) == 2


@pytest.mark.parametrize(
    ("line", "named"),
    [("scale {formula} --pieces x --kitchen {kitchen}", "--pieces piecs watr 'x' 'y'"),
     ("compare {formula} {formula} --kitchen {kitchen}", "piecs watr 'x' 'y'"),
     ("plan {formula} --ready soon --kitchen {kitchen}", "--ready piecs watr 'x' 'y'"),
     ("forecast --seed x --flour 1g --water 1g --at 25C --temperatures {kitchen}",
      "--seed --temperatures")],
)  # fmt: skip
def test_a_file_that_cannot_be_read_hides_no_other_fault(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, line: str, named: str
) -> None:
    formula, kitchen = tmp_path / "formula.toml", tmp_path / "kitchen.toml"
    formula.write_text("piecs = 8\nwatr = 1\n", encoding="utf-8")
    row = '[[place]]\nname = "Hall"\nswing = "x"\nspread = "y"\n'
    kitchen.write_text(row, encoding="utf-8")
    assert run(line.format(formula=formula, kitchen=kitchen).split()) == 2
    found = capsys.readouterr().err
    assert [each for each in named.split() if each not in found] == []
    assert len(found.splitlines()) == len(set(found.splitlines()))


@pytest.mark.parametrize(
    ("arguments", "both"),
    [
        ((*FORECAST, "--log-unit", "C"), ("--log-unit", "--temperatures")),
        ((*FORECAST, "--log-column", "Hall"), ("--log-column", "--temperatures")),
        ((*FORECAST, "--log-dates", "day-first"), ("--log-dates", "--temperatures")),
        ((*FORECAST, "--skip-bad-rows"), ("--skip-bad-rows", "--temperatures")),
        (("scale", LOAF, *SCALE, "--rise", "1.8"), ("--rise", "--vessel")),
        (("scale", LOAF, *SCALE, "--fine-capacity", "9g"), ("--fine-capacity", "--fine-step")),
        (("scale", LOAF, *SCALE, "--oven-loss", "9%"), ("--oven-loss", "--baked")),
        ((*WATER[:5], "--part", "seed:9g@18C", "--room", "20C"), ("--room", "flour")),
        ((*WATER[:5], "--part", "seed:9g@18C", "--moisture", "15"), ("--moisture", "--part")),
        ((*WATER, "--scald", "--room", "20C"), ("--room", "--scald")),
        (("raise", "--flour-kind", "rye-whole", "--vessel", "2l", "--at", "24C", "--days", "3",
          "--saw", "4:1.2"), ("--saw", "--days")),
    ],
)  # fmt: skip
def test_an_option_without_effect_is_refused_and_both_are_named(
    capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], both: tuple[str, str]
) -> None:
    assert run(arguments) == 2
    outcome = capsys.readouterr()
    assert outcome.out == ""
    for name in both:
        assert name in outcome.err


@pytest.mark.parametrize("path", [".", "/", "", "..", "a\0b"])
def test_an_archive_goes_to_a_file(
    capsys: pytest.CaptureFixture[str], path: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("POINTAGE_STORE", f"sqlite:///{tmp_path}/own.sqlite3")
    monkeypatch.chdir(tmp_path)
    assert run(["export", path, "--replace"]) == 2
    assert capsys.readouterr().err.startswith("pointage: PATH: ")


@pytest.mark.parametrize(
    "url",
    ["://", "sqlite+nope:///x", "postgresql://u:p@localhost:abc/x", "mysql://x/y", "a\0b",
     "sqlite:///\udc80", "postgresql://127.0.0.1:99999/x", "/", ".", "x" * 5000,
     "sqlite:///x?y=z", "sqlite:///x?timeout=soon"],
)  # fmt: skip
@pytest.mark.parametrize("command", ["check", "import x.zip", "export x.zip"])
def test_a_broken_address_of_a_store_is_one_line(
    *, capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    url: str, command: str,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    assert run([*command.split(), "--store", url]) == 2
    err = capsys.readouterr().err
    assert err.startswith("pointage: ")
    assert err.count("\n") == 1
    if "\0" in url:  # which no variable can hold
        return
    monkeypatch.setenv("POINTAGE_STORE", url)
    assert run([*command.split()]) == 2
    assert capsys.readouterr().err.count("\n") == 1
