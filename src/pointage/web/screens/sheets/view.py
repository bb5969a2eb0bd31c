"""What there is to print, in words and links."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from urllib.parse import quote, urlencode

from pointage.culture.life import Life
from pointage.desk.answers import Bake, FormulaSummary
from pointage.desk.now.cultures.young import is_young
from pointage.desk.sheets.subject import SheetKind
from pointage.documents.paper import Paper
from pointage.errors import InputError
from pointage.language import mark, say, within
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form
from pointage.web.frame import Frame
from pointage.web.screens.sheets.page import PreviewPage, PrintableRow, SheetGroup, SheetsPage
from pointage.web.words.clock import Clock
from pointage.web.words.words import count, mass

BAKE, NEW = "bake", "new"
"""Kinds of addresses beside those of `SheetKind`: a planned bake, a culture to begin."""
NAMES: Mapping[str, str] = {
    SheetKind.BENCH: mark("Bench sheet"),
    SheetKind.HANDOUT: mark("Class handout"),
    SheetKind.LABEL: mark("Label"),
    SheetKind.CULTURE: mark("Culture sheet"),
    SheetKind.TRAVEL: mark("Sheet to give with it"),
    SheetKind.WEEK: mark("Week sheet"),
    SheetKind.SHOPPING: mark("Shopping list"),
    BAKE: mark("Bench sheet"),
    NEW: mark("A new culture"),
}
OF_FORMULA = (SheetKind.BENCH, SheetKind.HANDOUT, SheetKind.LABEL)
PAPERS = {Paper.A4: mark("A4"), Paper.LETTER: mark("Letter")}
LETTER_COUNTRIES = ("US", "CA", "MX", "PH", "CL", "CO", "CR", "GT", "PA", "PR", "SV", "VE", "DO")
"""Where Letter is the usual paper; from memory."""

_PAPER = Asked(
    "paper",
    mark("Paper"),
    choices=tuple(Choice(paper.value, name) for paper, name in PAPERS.items()),
    ours=True,
)
_TRAVEL = (
    Asked("at", mark("Their room"), mark("if it is known"), needed=False, warm="point"),
    Asked("author", mark("From"), needed=False),
    Asked("year", mark("Year"), kind="numeric", needed=False),
    Asked("licence", mark("Licence"), mark("such as CC BY 4.0"), needed=False),
)
_PIECES = Asked("pieces", mark("Pieces"), kind="numeric", needed=False)
_LABEL = (
    Asked(
        "style",
        mark("By the rules of"),
        choices=(Choice("us", mark("United States")), Choice("eu", mark("European Union"))),
        ours=True,
    ),
    Asked("labels", mark("On a sheet"), choices=(
        Choice("1", mark("one by itself")), Choice("4", "4"), Choice("6", "6"), Choice("8", "8"),
    ), ours=True),
    Asked("maker", mark("Made by"), mark("name and place"), needed=False),
    Asked("best-before", mark("Best before"), kind="date", needed=False),
    Asked("storage", mark("Storage"), mark("the usual, if left empty"), needed=False),
    Asked("serving", mark("Serving"), mark("such as 50g"), needed=False),
    Asked("loss", mark("Loss in the oven"), mark("such as 12%"), needed=False),
    Asked("may-contain", mark("May contain"), mark("such as nuts"), needed=False),
    Asked("nutrition", mark("Nutrition"), choices=(
        Choice("yes", mark("printed")), Choice("no", mark("left out")),
    ), ours=True),
)  # fmt: skip


def form_of(kind: str) -> Form:
    """What may be asked of a kind of sheet."""
    if kind == SheetKind.LABEL:
        return Form((_PAPER, *_LABEL))
    if kind in (SheetKind.BENCH, SheetKind.HANDOUT):
        return Form((_PAPER, _PIECES))
    if kind == SheetKind.TRAVEL:
        return Form((_PAPER, *_TRAVEL))
    return Form((_PAPER,))


def path_of(kind: str, name: str = "", ending: str = "") -> str:
    """The address of a sheet."""
    of = f"/{quote(name, safe='')}" if name else ""
    return f"/sheets/{kind}{of}{ending}"


def sheets_page(
    formulas: Sequence[FormulaSummary],
    bakes: Sequence[Bake],
    lives: Sequence[Life],
    frame: Frame,
    *,
    paper: Paper,
    clock: Clock,
    feed: str = "",
    offered: bool = False,
    trouble: str = "",
) -> SheetsPage:
    """Everything that can be printed, what is soonest wanted first."""

    def sheet(kind: str, name: str = "") -> Choice:
        return Choice(f"{path_of(kind, name)}?paper={paper.value}", say(NAMES[kind]))

    planned = [
        PrintableRow(
            bake.plan.formula,
            say(
                "{pieces}, ready {time}",
                pieces=count(bake.plan.pieces, "piece"),
                time=clock.text(bake.plan.ready),
            ),
            (sheet(BAKE, bake.key),),
        )
        for bake in bakes
        if bake.plan.steps
    ]
    ahead = PrintableRow(
        say("The days ahead"), say("what hands do, and what is to be bought"),
        (sheet(SheetKind.WEEK), sheet(SheetKind.SHOPPING)),
    )  # fmt: skip
    books = [
        PrintableRow(
            each.name,
            say(
                "{pieces} of {mass}", pieces=count(each.pieces, "piece"), mass=mass(each.piece_g)
            ),
            (
                *(sheet(kind, each.slug) for kind in OF_FORMULA),
                Choice(f"/formulas/{quote(each.slug, safe='')}/share", say("Page to share")),
                Choice(path_of("recipe", each.slug, ".jsonld"), say("Recipe for a website")),
            ),
        )
        for each in formulas
    ]  # fmt: skip
    living = [
        PrintableRow(
            life.name,
            "",
            (sheet(SheetKind.CULTURE, life.name),)
            if is_young(life, clock.now)
            else (
                sheet(SheetKind.TRAVEL, life.name),
                Choice(f"/cultures/{quote(life.name, safe='')}/share", say("Page to give with it")),
            ),
        )
        for life in lives
        if life.state == "living" and not life.is_empty
    ]
    class_page = Choice("/cultures/raise/share", say("Page for a class"))
    begin = PrintableRow(say("From flour and water"), "", (sheet(NEW), class_page))
    groups = (
        SheetGroup(say("This week"), (ahead, *planned)),
        SheetGroup(say("Formulas"), tuple(books)),
        SheetGroup(say("Cultures"), (*living, begin)),
    )
    return SheetsPage(
        frame=frame,
        papers=tuple(Choice(each.value, say(name)) for each, name in PAPERS.items()),
        paper=paper.value,
        groups=tuple(each for each in groups if each.rows),
        feed=feed,
        offered=offered,
        trouble=trouble,
    )


def preview_page(
    kind: str,
    name: str,
    typed: Mapping[str, str],
    frame: Frame,
    *,
    title: str = "",
    error: InputError | None = None,
) -> PreviewPage:
    """A sheet before it is printed; title: of what it is. typed: as the form was sent."""
    fields, above = form_of(kind).fields(typed, error)
    query = urlencode({key: text for key, text in typed.items() if text})
    heading = say(NAMES[kind])
    if title:
        heading = say("{name}: {sheet}", name=title, sheet=within(heading))
    path = path_of(kind, name)
    pdf = Choice(f"{path_of(kind, name, '.pdf')}?{query}", say("Download the PDF"))
    return PreviewPage(
        frame=frame,
        title=heading,
        path=path,
        fields=fields,
        error=above,
        picture="" if error else f"{path_of(kind, name, '.png')}?{query}",
        words=say("{sheet}, as it will be printed", sheet=heading),
        files=() if error else (pdf,),
    )
