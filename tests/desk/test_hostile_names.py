"""Names that would be code elsewhere: on paper, in calendars and linked data they are names."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path

import icalendar
import pytest
from pypdf import PdfReader

from pointage.desk.at_hand import at_hand
from pointage.desk.kitchen.kitchens import demonstration_text
from pointage.desk.now.present import Present
from pointage.desk.sheets.calendar import kitchen_calendar
from pointage.desk.sheets.label import LabelPrinter
from pointage.desk.sheets.linked_data import recipe_of
from pointage.desk.sheets.sheets import Sheets
from pointage.documents.calendar import CalendarTask, calendar_text
from pointage.documents.page.write import formula_html
from pointage.formula.file.read import read_formula
from pointage.formula.formula import Formula

EXAMPLE = Path(__file__).parents[2] / "examples" / "formulas" / "harbour-loaf.toml"
NOW = datetime(2026, 11, 27, 9, tzinfo=UTC)
TYPST = '#read("/etc/passwd") #panic("run") #image("/etc/hosts")'
NAMES = (
    "</script><script>window.ran = 1</script><img src=x onerror=alert(1)>",
    TYPST,
    'Loaf";ALTREP="http://x.example/":END:VEVENT;BEGIN:VALARM,\\nACTION:PROCEDURE',
    "<!-- {{ 7 * 7 }} {% raw %} ${7*7} &lt;b&gt; --> ]]>",
)
BREAKS = ("\r\n", "\n", "\r", "\x0b", "\x0c", "\x1e", "\x85", "\u2028", "\u2029")
INJECTED = "END:VEVENT{0}BEGIN:VEVENT{0}UID:x{0}ATTACH:http://x.example/{0}BEGIN:VALARM"


def squeezed(text: str) -> str:
    return re.sub(r"[\s\u200b\xad]", "", text)


def words_of(pdf: bytes) -> str:
    return squeezed("".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages))


def named_formula(name: str) -> Formula:
    text = EXAMPLE.read_text(encoding="utf-8").replace('"Harbour loaf"', json.dumps(name))
    return read_formula(text, "loaf.toml")


def named_culture(name: str) -> Present:
    text = demonstration_text().replace('"Plover"', json.dumps(name))
    return at_hand(NOW, text, "kitchen.toml")


def called_throughout(name: str) -> Formula:
    """A formula with it as name, author, licence, a caution, words and an ingredient."""
    said = json.dumps(name)
    text = EXAMPLE.read_text(encoding="utf-8").replace('"Harbour loaf"', said)
    head = f"author = {said}\nyear = 2026\nlicence = {said}\ncautions = [{said}]\nabout = "
    own = f'\n[[ingredient]]\nname = {said}\nid = "own"\nlike = "linseed"\nallergens = []\n'
    text = text.replace("about = ", head, 1).replace("salt = ", "own = 5\nsalt = ", 1)
    return read_formula(f"{text}\n[words]\nmix = {said}\n{own}", "loaf.toml")


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.soon(1)
def test_a_formulas_name_is_printed_and_not_carried_out(name: str) -> None:
    present, formula = named_culture("Plover"), called_throughout(name)
    sheets, printer = Sheets(present, NOW), LabelPrinter(present.flours)
    bench, handout, label = (
        words_of(made).casefold().count(squeezed(name).casefold())
        for made in (
            sheets.as_pdf(sheets.bench(formula)),
            sheets.as_pdf(sheets.handout(formula)),
            printer.pdf(formula),
        )
    )
    # Title, author and licence, caution, words; the ingredient in the table, and in its ladder.
    assert bench == 7
    assert handout == 6
    assert label == 2


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.soon(1)
def test_a_cultures_name_is_printed_and_only_a_text_of_the_calendar(name: str) -> None:
    present = named_culture(name)
    sheets = Sheets(present, NOW)
    assert squeezed(name) in words_of(sheets.as_pdf(sheets.culture(name)))
    made = kitchen_calendar(present, NOW)
    events = list(icalendar.Calendar.from_ical(made).walk("VEVENT"))
    assert any(name in str(event["SUMMARY"]) for event in events)
    usual = kitchen_calendar(named_culture("Plover"), NOW)
    assert fields_of(made) == fields_of(usual)


def fields_of(calendar: str) -> list[str]:
    """What each line is, folded lines put together; identifiers hang on names."""
    lines = calendar.replace("\r\n ", "").split("\r\n")
    return [re.split("[:;]", line)[0] for line in lines]


@pytest.mark.parametrize("line_break", BREAKS)
def test_no_break_in_a_name_begins_a_line_of_the_calendar(line_break: str) -> None:
    """Whatever a reader takes for the end of a line: many split where Unicode has one."""
    name = INJECTED.format(line_break)

    def made(title: str) -> str:
        task = CalendarTask(
            uid="bake-1@pointage", start=NOW, end=NOW, title=title, text=title, place=title,
            sequence=1, changed=NOW, alarm=timedelta(minutes=10),
        )  # fmt: skip
        return calendar_text(title, [task])

    unfolded = made(name).replace("\r\n ", "")
    plain = made("Loaf")
    assert len(unfolded.splitlines()) == len(plain.splitlines())
    assert fields_of(made(name)) == fields_of(plain)
    (event,) = icalendar.Calendar.from_ical(made(name)).walk("VEVENT")
    assert "ATTACH" not in event


@pytest.mark.parametrize("name", NAMES)
def test_a_name_adds_no_element_to_a_shared_page_and_none_to_its_linked_data(name: str) -> None:
    """The page without its tables, which take seconds; test_shared_page_in_a_browser opens one."""
    kitchen = named_culture("Plover").kitchen

    def read(title: str) -> Elements:
        formula = replace(called_throughout(title), about=title)
        linked = recipe_of(formula, kitchen).as_script()
        page = Elements()
        page.feed(formula_html(formula, {"name": title}, cautions=(title,), linked=linked))
        return page

    found = read(name)
    assert found.tags == read("Loaf").tags
    assert found.titles == [name]
    assert [each["name"] for each in found.data] == [name, name]


class Elements(HTMLParser):
    """The elements of a page, its headings, and its data of scripts."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[tuple[str, list[str]]] = []
        self.titles: list[str] = []
        self.data: list[dict[str, str]] = []
        self._in, self._text = "", ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, [name for name, _ in attrs]))
        kind = dict(attrs).get("type") or ""
        self._in, self._text = ("json" if "json" in kind else tag), ""

    def handle_data(self, data: str) -> None:
        self._text += data

    def handle_endtag(self, tag: str) -> None:
        if self._in == "json":
            self.data.append(json.loads(self._text))
        elif self._in == "h1":
            self.titles.append(self._text.strip())
        self._in = ""
