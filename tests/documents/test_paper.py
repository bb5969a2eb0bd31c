"""What is printed, read back out of the PDF by another program (pypdf)."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
import typst
from pypdf import PdfReader

from pointage.desk.at_hand import at_hand
from pointage.desk.kitchen.kitchens import demonstration_text
from pointage.desk.now.unrecorded import Unrecorded
from pointage.desk.sheets.label import LabelPrinter, LabelWishes
from pointage.desk.sheets.parts.ladders import NamedLadder, ladder_tables
from pointage.desk.sheets.sheets import PlainSheets, Sheets
from pointage.desk.wording import title
from pointage.documents.blocks import (
    PrintedColumns,
    PrintedLines,
    PrintedNotes,
    PrintedStep,
    PrintedSteps,
    PrintedTable,
    Sheet,
)
from pointage.documents.bread_label import LABEL_SHEETS
from pointage.documents.paper import TEMPLATES, Paper, pages_of, read_paper, sheet_data, typeset
from pointage.errors import InputError
from pointage.formula.file.read import read_formula
from pointage.formula.ladder import Bowl, Ladder, Pour, PourKind

MM = 72 / 25.4
NOW = datetime(2026, 11, 27, 9, tzinfo=UTC)
SIZES = {Paper.A4: (210, 297), Paper.LETTER: (215.9, 279.4)}  # ISO 216, ANSI/ASME Y14.1
MARKUP = ('#panic("run")', "*bold* _it_ $x^2$", "= Heading", "@label <x> // no", "\\u{41} `raw`")


def printed(sheet: Sheet, paper: Paper = Paper.A4) -> PdfReader:
    return PdfReader(BytesIO(typeset("sheet.typ", sheet_data(sheet, paper))))


def text_of(reader: PdfReader) -> str:
    """Without spaces and places to break: where lines end is the page's own affair."""
    return re.sub(r"[\s\u200b\xad]", "", "".join(page.extract_text() for page in reader.pages))


def sheet(*rows: tuple[str, ...], title: str = "Loaf") -> Sheet:
    table = PrintedTable("", ("ingredient", "g"), rows, "lr", wide=0, tick=True, strong=(1,))
    return Sheet(title, "", (table,))


@pytest.mark.parametrize("paper", Paper)
def test_the_page_is_as_large_as_the_paper(paper: Paper) -> None:
    box = printed(sheet(("salt", "20")), paper).pages[0].mediabox
    width, height = SIZES[paper]
    assert float(box.width) == pytest.approx(width * MM, abs=0.5)
    assert float(box.height) == pytest.approx(height * MM, abs=0.5)


@pytest.mark.parametrize("name", MARKUP)
def test_no_name_is_read_as_markup(name: str) -> None:
    steps = PrintedSteps("", (PrintedStep(name, name, name),), name)
    notes = PrintedNotes(name, (name,), marked=True)
    whole = Sheet(name, name, (steps, notes), ((name, name),), name)
    assert text_of(printed(whole)).count(re.sub(r"\s", "", name)) >= 8


def test_a_name_of_300_letters_is_laid_out_whole_and_within_the_page() -> None:
    name = "Wheat" * 60
    reader = printed(sheet((name, "12345"), title=name))
    assert text_of(reader).count(name) == 2
    assert "12345" in text_of(reader)
    rights: list[float] = []

    def seen(text: str, cm: list[float], tm: list[float], font: object, size: float) -> None:
        if text.strip():
            rights.append(cm[4] + tm[4])

    for page in reader.pages:
        page.extract_text(visitor_text=seen)
    assert max(rights) < 210 * MM


@pytest.mark.parametrize("name", ["לחם שאור", "خبز العجين", "Ψωμί", "Хлеб"])
def test_other_scripts_are_laid_out(name: str) -> None:
    """In whatever order a program reads them back, every letter is there."""
    found = text_of(printed(sheet((name, "20"), title=name)))
    assert sorted(name.replace(" ", "") * 2) == sorted(each for each in found if each in name)


@pytest.mark.long
def test_200_ingredients_flow_on_and_the_head_is_repeated() -> None:
    rows = [(f"ingredient {n:03d}", str(n)) for n in range(200)]
    reader = printed(sheet(*rows))
    assert len(reader.pages) > 2
    text = text_of(reader)
    assert all(f"ingredient{n:03d}" in text for n in range(200))
    pages = [page.extract_text() for page in reader.pages]
    assert all("ingredient" in page.splitlines()[0] or "g" in page for page in pages[1:])


@pytest.mark.parametrize("rows", [150, 164, 170, 176])
@pytest.mark.soon(1)
def test_no_page_is_begun_for_lines_to_write_on_alone(rows: int) -> None:
    long = sheet(*[("salt", "1")] * rows)
    noted = replace(long, blocks=(*long.blocks, PrintedLines("Notes", 4)))
    plain, lined = printed(long), printed(noted)
    assert len(lined.pages) == len(plain.pages)
    last = lined.pages[-1].extract_text()
    assert "Notes" not in last or "salt" in last


def test_what_fits_on_one_page_keeps_to_it_and_is_as_large_as_can_be() -> None:
    few, more = (sheet(*[("salt", "1")] * n) for n in (8, 32))
    sizes = []
    for each in (few, more):
        reader = printed(each)
        assert len(reader.pages) == 1
        found: list[float] = []

        def seen(*said: Any, found: list[float] = found) -> None:
            found.append(said[4])  # the size of the letters

        reader.pages[0].extract_text(visitor_text=seen)
        sizes.append(max(found))
    assert sizes[0] >= sizes[1]


def test_controls_and_halves_of_letters_are_left_out() -> None:
    text = text_of(printed(sheet(("sa\x00lt\ud800", "2\x07"), title="A\x1bB\u202ec")))
    assert "salt" in text
    assert "ABc" in text  # what turns writing about would turn what follows it


def test_lines_to_write_on_take_no_text() -> None:
    plain = Sheet("Notes", "", (PrintedLines("Seen", 4),))
    assert text_of(printed(plain)) == "NotesSeen"
    assert "thelivepage" in text_of(
        printed(replace(plain, address="http://x.example/a", scan="the live page"))
    )


def test_other_paper_is_refused() -> None:
    assert read_paper("Letter ") is Paper.LETTER
    with pytest.raises(InputError, match="a4 or letter"):
        read_paper("a3", "--paper")


def test_the_example_with_the_most_ingredients_keeps_to_one_page_of_either_paper() -> None:
    examples = Path(__file__).parents[2] / "examples" / "formulas"
    rolls = read_formula((examples / "seeded-rolls.toml").read_text("utf-8"), "seeded-rolls.toml")
    here = at_hand(NOW, demonstration_text(), "kitchen.toml")
    alone = Unrecorded(here.file)
    for paper in Paper:
        sheets = Sheets(here, NOW, paper)
        bench = sheets.bench(rolls)
        assert pages_of(sheets.as_pdf(bench)) == 1
        assert PlainSheets(alone, NOW, paper).bench(rolls) == bench  # nothing is recorded here
        halved, each_in_turn = _chosen(bench, paper)
        assert halved == each_in_turn


@pytest.mark.parametrize("rows", [8, 21, 24, 27, 33, 40, 45, 90])
@pytest.mark.soon(2)
def test_halving_finds_the_size_that_trying_each_in_turn_would(rows: int) -> None:
    tables = tuple(sheet(*[("salt", "1")] * n).blocks[0] for n in (rows, rows // 2, rows // 3))
    columns = PrintedColumns(tuple(each for each in tables if isinstance(each, PrintedTable)))
    for blocks in ((columns, PrintedLines("Notes", 8)), (*tables[1:], PrintedLines("Notes", 8))):
        halved, each_in_turn = _chosen(Sheet("Loaf", "", blocks), Paper.A4)
        assert halved == each_in_turn


def _chosen(sheet: Sheet, paper: Paper) -> list[Any]:
    """The size that the template finds, and the first that fits where all are tried in turn."""
    data = sheet_data(sheet, paper)
    asked = b"""
      let in-turn = d.sizes.find(each => tall(each) <= area.height)
      [#metadata((first-fit(tall, area.height), in-turn)) <chosen>]
    })"""
    template, _, _ = TEMPLATES["sheet.typ"].partition(b"let found = first-fit(")
    made: Any = typst.query(
        template + asked,
        "<chosen>",
        field="value",
        one=True,
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data)},
    )
    found: list[Any] = json.loads(made)
    return found


@pytest.mark.long
def test_a_planned_bake_keeps_to_one_page_of_either_paper_with_every_step() -> None:
    examples = Path(__file__).parents[2] / "examples" / "formulas"
    loaf = read_formula((examples / "harbour-loaf.toml").read_text("utf-8"), "harbour-loaf.toml")
    here = at_hand(NOW, demonstration_text(), "kitchen.toml")
    plan = Sheets(here, NOW).planned(loaf, f"{NOW + timedelta(days=2):%Y-%m-%d}T09:00", None)
    assert plan.steps
    for paper in Paper:
        sheets = Sheets(here, NOW, paper, "http://kitchen.example:8000")
        reader = PdfReader(BytesIO(sheets.as_pdf(sheets.bench(loaf, plan=plan))))
        assert len(reader.pages) == 1
        assert all(re.sub(r"\s", "", title(step)) in text_of(reader) for step in plan.steps)


@pytest.mark.parametrize(("paper", "labels"), LABEL_SHEETS)
@pytest.mark.long
def test_no_row_of_a_labels_panel_runs_into_another(paper: Paper, labels: str) -> None:
    """A name without room was set on two lines, and over the figure beside it."""
    examples = Path(__file__).parents[2] / "examples" / "formulas"
    loaf = read_formula((examples / "harbour-loaf.toml").read_text("utf-8"), "harbour-loaf.toml")
    made = LabelPrinter({}, paper, LabelWishes(labels=labels)).pdf(loaf)
    (page,) = PdfReader(BytesIO(made)).pages
    row = "Total carbohydrate" if paper is Paper.LETTER else "of which saturates"
    assert page.extract_text().count(row) == int(labels)


def test_each_bowl_of_a_batch_has_a_ladder_of_its_own() -> None:
    pours = tuple(
        Pour(PourKind.INGREDIENT, name, 500.0, display)
        for display, name in ((1000.0, "water"), (1500.0, "salt")) * 2
    )
    ladder = Ladder("Mixing bowl", 500.0, 1.0, pours, more=(Bowl("Tub", 250.0),))
    first, second = ladder_tables([NamedLadder("Dough", ladder)])
    assert (first.heading, second.heading) == ("Dough, bowl 1 of 2", "Dough, bowl 2 of 2")
    assert [row[-1] for row in first.rows] == ["500", "1000", "1500"]
    assert second.rows[0] == ("Tub", "", "250")
    assert len(second.rows) == 3


@pytest.mark.long
def test_a_dough_too_large_for_a_bowl_is_shared_out_without_a_plan_too() -> None:
    text = (Path(__file__).parents[2] / "examples/formulas/harbour-loaf.toml").read_text()
    sheets = Sheets(at_hand(NOW, demonstration_text(), "kitchen.toml"), NOW)
    loaf = read_formula(text, "harbour-loaf.toml")

    def of(pieces: int) -> str:
        return text_of(PdfReader(BytesIO(sheets.as_pdf(sheets.bench(loaf, pieces)))))

    assert "bowl1of" not in of(8)
    assert "Dough,bowl1of2" in of(11)
    assert "Nobowlshere" not in of(11)
    assert "Nobowlsherehold36kgofdough" in of(40)


def test_tables_are_read_down_one_column_and_then_the_next() -> None:
    tables = [PrintedTable(name, ("",), (("x",),) * rows, "l") for name, rows in
              (("build", 4), ("levain", 5), ("soaker", 3), ("dough", 8))]  # fmt: skip
    (page,) = printed(Sheet("Loaf", "", (PrintedColumns(tuple(tables)),))).pages
    at: dict[str, tuple[float, float]] = {}

    def seen(text: str, cm: list[float], tm: list[float], *_: object) -> None:
        if text.strip() in ("build", "levain", "soaker", "dough"):
            at[text.strip()] = (tm[4] * cm[0] + cm[4], tm[5] * cm[3] + cm[5])

    page.extract_text(visitor_text=seen)
    assert at["build"][0] == at["levain"][0] < at["soaker"][0] == at["dough"][0]
    assert abs(at["build"][1] - at["soaker"][1]) < 1
