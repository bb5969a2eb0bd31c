"""Pages and templates agree: every field is printed, and nothing is printed that is no field."""

from __future__ import annotations

import dataclasses
import re
from datetime import timedelta
from fractions import Fraction
from functools import cache
from importlib import import_module
from typing import Any
from uuid import uuid4

import pytest
from markupsafe import Markup
from tests.web import fixture_larder
from tests.web import fixture_plan as fixture
from tests.web.culture_examples import culture_examples
from tests.web.daybook_examples import daybook_examples
from tests.web.formula_examples import SUMMARIES, formula_examples
from tests.web.kitchen_examples import kitchen_examples
from tests.web.sheet_examples import sheet_pages

from pointage.culture.upkeep import WeighedFeed
from pointage.desk.answers import Bake
from pointage.desk.calculators.bake import bake_for
from pointage.desk.calculators.flour import convert, types
from pointage.desk.calculators.water_page import USUAL_G, Warmths, dough_mix, plain_mix
from pointage.desk.cultures.needed import need_ladder
from pointage.desk.formulas.label import label_formula
from pointage.desk.formulas.sheets import sheet
from pointage.desk.kitchen.kitchens import demonstration_formulas
from pointage.desk.larder.own import OwnHeld
from pointage.desk.now.bakes.bake import planned_bake
from pointage.errors import InputError, InputErrors
from pointage.formula.file.read import read_formula
from pointage.formula.own.ingredient import OwnIngredient
from pointage.formula.reading.typed import TypedLine
from pointage.kitchen.friction import Friction
from pointage.kitchen.needs import CultureNeed, NeedKind
from pointage.web import frame as frames
from pointage.web.assets import SCREENS
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form
from pointage.web.frame import Frame, Page
from pointage.web.render import environment, render, render_block
from pointage.web.screens.ask.page import AskPage
from pointage.web.screens.bench.cultures import Needed
from pointage.web.screens.bench.slip import Slip
from pointage.web.screens.bench.view import bench_page
from pointage.web.screens.cultures.view import cultures_page
from pointage.web.screens.devices.page import DevicesPage, Joined, JoinPage, OpenDoor
from pointage.web.screens.error.page import ErrorPage
from pointage.web.screens.first.page import BringPage, FirstPage, RoundPage
from pointage.web.screens.flour.forms import BLEND, FIRST
from pointage.web.screens.flour.routes import blend_of
from pointage.web.screens.flour.view import flour_page
from pointage.web.screens.formulas.view import formula_page, formulas_page
from pointage.web.screens.ingredients.view import ingredients_page
from pointage.web.screens.label.view import label_page
from pointage.web.screens.larder.view import larder_page, shopping_page
from pointage.web.screens.moves.page import (
    ChangePage,
    MoveNote,
    MovesBlock,
    MovesNote,
    StepLink,
    TakenNote,
)
from pointage.web.screens.oven import view as oven_room
from pointage.web.screens.oven.view import oven_page
from pointage.web.screens.share import routes as share_room
from pointage.web.screens.share.page import SharePage
from pointage.web.screens.units.page import UnitsPage
from pointage.web.screens.water.view import water_page
from pointage.web.screens.week.page import PlanningPage, WishPage
from pointage.web.screens.week.view import week_page
from pointage.web.screens.wishes.page import (
    AnswerPage,
    CanBeLine,
    CanBePage,
    ClashNote,
    WeekWaitsPage,
    WeekWayOut,
    WishesPage,
    WishLine,
    WishRowForm,
)
from pointage.web.words.clock import Clock

KITCHEN = fixture.skerry_hall()
CLOCK = Clock(KITCHEN.zone, fixture.NOW)
SLIPS = (
    None,
    Slip(fixture.HARBOUR, "mix", "display", "44", "it cannot be used", 0),
    Slip(fixture.HARBOUR, "build", "rise", "44", "it cannot be used"),
    Slip(fixture.HARBOUR, "build", "note", "44", "it cannot be used"),
)


FED = WeighedFeed(Fraction(10), {"rye-whole": Fraction(50)}, Fraction(50))


def needed() -> tuple[Needed, ...]:
    """What cultures may need: late, due, and to come; fed, moved or waited on."""
    day, now = timedelta(days=1), CLOCK.now
    found = []
    for number, kind in enumerate(NeedKind):
        at = now + (number - 2) * day / 4
        need = CultureNeed("Fulmar", kind, at, at + day / 8, "Hall", FED, Fraction(40),
                           "Fridge", 2.0, number + 1, number=3)  # fmt: skip
        readings = need_ladder(need, KITCHEN.jar_of("Fulmar"), KITCHEN, now)
        found.append(Needed(need, readings, "Jar", eaten=bool(number)))
    still = CultureNeed("Petrel", NeedKind.RAISE, now, now + day, "Hall", number=2)
    return (*found, Needed(still))


def frame(screen: str = "bench") -> Frame:
    aside = (("1 entry is set aside", "/daybook?aside=1#lines"),)
    return Frame("Skerry Hall", screen, "auto", CLOCK.moment(CLOCK.now), "/", aside=aside)


def moved_pages() -> list[Page]:
    """What has moved: offered, being worked out, at its end; and another time tried out."""
    (ready,) = Form((Asked("ready", "Out of the oven"),)).shown({}, {"ready": "Not a time"})
    take, other = MoveNote("Change the plan", "", "ab12"), MoveNote("Later bread", "At ten.", "cd")
    sent = (("bake", "harbour"),)
    notes = (
        MovesNote("45 min behind: shape at 15:05.", take, (other,), ("Shape at 15:05",), sent=sent),
        MovesNote("45 min behind.", waits=True),
        MovesNote("It cannot be.", again="/week/wish"),
    )
    at = CLOCK.moment(CLOCK.now)
    block = MovesBlock(notes, TakenNote("Plan changed: Harbour loaf", at, "ef34"), "It moved.", "/")
    page = week_page(KITCHEN, [fixture.friday_bake()], CLOCK, frame("week"))
    asked = "harbour", "Harbour loaf", at, ready, "2026-12-05", "09:00"
    drawn = "Its oven is lit.", Markup("<svg></svg>"), "A drawing"
    link = StepLink("mix", "Mix", at, "/week/change/harbour", held=True)
    changed = ChangePage(
        frame("week"), *asked, notes[0], *drawn, held="held at 07:00", steps=(link,)
    )
    return [dataclasses.replace(page, moves=block), changed]


def wishes_pages() -> list[Page]:
    """The form of several bakes, what becomes of them, and while that is worked out."""
    fields = Form((Asked("wish-1-formula", "Formula"), Asked("wish-1-pieces", "Pieces"))).shown()
    more = Form((Asked("wish-1-grams", "Grams"),)).shown({}, {"wish-1-grams": "Not a mass"})
    rows = (WishRowForm(1, fields, more, opened=True), WishRowForm(2, (), (), opened=False))
    sent = (("wish-1-formula", "harbour-loaf"),)
    at, week = CLOCK.moment(CLOCK.now), week_page(
        KITCHEN, [fixture.friday_bake()], CLOCK, frame("week")
    )  # fmt: skip
    assert [bar.name for bar in week.loads.bars], "an oven at the least"
    lines = (
        WishLine("Harbour loaf", at, "likely (80 in 100)", True, "by the clock: unlikely"),
        WishLine("Tinned rye", None, "", False, "left out"),
    )
    faulty = (*lines, WishLine("Rolls", None, "", False, "", rows[0]))
    clashes = (ClashNote("They cannot both be kept.", (WeekWayOut("Leave out the rye", sent),)),)
    drawn = Markup("<svg></svg>"), "A drawing", week.loads, week.days, sent, 2, "It moved."
    return [
        WishesPage(
            frame("week"),
            rows,
            "Wrong",
            none=False,
            lean=Form((Asked("lean-early", "Early"),)).shown(),
            leans=True,
        ),
        WishesPage(frame("week"), (), "", none=True),
        AnswerPage(frame("week"), "ab12", "All of it is kept.", lines, clashes, *drawn),
        AnswerPage(frame("week"), "ab12", "Not all.", faulty, (), *drawn, usable=sent),
        CanBePage(
            frame("week"),
            (CanBeLine("Rolls", at, "likely", True, ("a",), "/week"),),
            True,
            Asked("by", "By").field("", "Not a time"),
            "2026-12-05",
            "09:00",
        ),
        WeekWaitsPage(frame("week"), "It was stopped.", False, sent),
        WeekWaitsPage(frame("week"), "It goes on.", True, sent, (("Rolls", at), ("Rye", None))),
    ]


def first_pages() -> list[Page]:
    """Of a kitchen that is being begun."""
    town = Asked("town", "Where it is")
    ways = (Choice("raise", "Raise a culture"), Choice("later", "Neither yet"))
    here = dataclasses.replace(frame(), home="http://127.0.0.1:8317/")
    return [
        FirstPage(frame(), (town.field("Atlantis", "cannot be used"),), ways, "later", "No."),
        FirstPage(here, (town.field("Boston", ""),), ways, "raise"),
        BringPage(frame("cultures"), (town.field("", ""),), 1),
        BringPage(frame("cultures"), (town.field("", "no"),), 1, "No."),
        RoundPage(frame()),
        RoundPage(frame(), "It could not be opened."),
    ]


def own_pages() -> list[Page]:
    """Ingredients of one's own: known in part, used, removed; with a form that came back."""
    own = OwnIngredient("meal-1", "Meal", "barley", protein=9.0, allergens=("barley",))
    bare = dataclasses.replace(own, id="meal-2", name="Bran", protein=None, allergens=None)
    held = [OwnHeld("1", own, ("harbour-loaf",), 500.0), OwnHeld("2", bare, (), 0.0)]
    wrong, names = InputError("form", "x", "another"), {"harbour-loaf": "Harbour loaf"}
    given = {"name": "Meal", "price": "x"}
    parts = frame("larder"), held, [("3", own)], "EUR", names
    return [
        ingredients_page(*parts),
        ingredients_page(*parts, given=given, error=wrong),
        ingredients_page(*parts, given=given, error=wrong, which="1"),
    ]


@cache
def examples() -> list[Page]:
    """Pages of every kind, in every state that a template tells apart."""
    impossible = planned_bake(fixture.put_in_hand(fixture.impossible(), str(uuid4()))).bake
    busy, empty = [impossible, fixture.friday_bake()], list[Bake]()
    conflicts = week_page(KITCHEN, busy, CLOCK, frame()).bakes[0].conflicts
    assert conflicts
    late = Clock(KITCHEN.zone, fixture.NOW + timedelta(hours=30))
    harbour = read_formula(demonstration_formulas()["harbour-loaf"])
    table = sheet(harbour, KITCHEN, None, None)
    careful = dataclasses.replace(table, cautions=("Mind.",))
    choices = (Choice("harbour-loaf", "Harbour loaf"),)
    formula, ready = Asked("formula", "Formula", choices=choices), Asked("ready", "Out of the oven")
    right, wrong = (
        WishPage(frame("week"), (formula.field("harbour-loaf", error),), ready.field("", error),
                 "2026-12-05", "09:00", error, ())
        for error in ("", "cannot be used")
    )  # fmt: skip
    wrong_there = InputErrors(
        [InputError(name, "x", "another") for name in ("form", "item", "mass", "lot", "pieces")]
    )
    return [
        *(bench_page(KITCHEN, busy, CLOCK, frame(), slip) for slip in SLIPS),
        bench_page(KITCHEN, empty, CLOCK, frame()),
        *(bench_page(KITCHEN, each, CLOCK, frame(), needed=needed()) for each in (busy, empty)),
        bench_page(KITCHEN, busy, late, frame()),
        week_page(KITCHEN, busy, CLOCK, frame("week")),
        week_page(KITCHEN, [], CLOCK, frame("week")),
        right,
        dataclasses.replace(wrong, conflicts=conflicts),
        PlanningPage(frame("week"), "Harbour loaf", "12 pieces, Sat 5 Dec 09:00"),
        *moved_pages(),
        *wishes_pages(),
        cultures_page(fixture.cultures_now(), busy, CLOCK, frame("cultures")),
        cultures_page((), (), CLOCK, frame("cultures")),
        *culture_examples(frame("cultures")),
        *first_pages(),
        *kitchen_examples(frame("kitchen")),
        *daybook_examples(frame("daybook")),
        formulas_page(SUMMARIES, frame("formulas")),
        formulas_page((), frame("formulas")),
        formulas_page(SUMMARIES * 2, frame("formulas"), None, "rye", ["tinned-rye"]),
        formulas_page(SUMMARIES * 2, frame("formulas"), None, "moon", []),
        *formula_examples(frame("formulas")),
        *label_pages(),
        *share_pages(),
        *sheet_pages(frame("sheets")),
        *water_pages(),
        *flour_pages(),
        *oven_pages(),
        formula_page(
            careful,
            {},
            {},
            frame("formulas"),
            linked=Markup('{"@type": "Recipe"}'),
            past=[("0", "Sat 09:00", "Slow.")],
            formula=dataclasses.replace(
                harbour,
                words={"mix": "By hand."},
                typed=(TypedLine("flour", "wheat-white"),),
            ),
        ),
        formula_page(table, {"pieces": "x"}, {"pieces": "no", "flour": "no"}, frame("formulas")),
        formula_page(
            table,
            {"volumes": "1", "fine-step": "0.1"},
            {"baked": "no"},
            frame("formulas"),
            kitchen=KITCHEN,
        ),
        *(
            larder_page(each, SUMMARIES, CLOCK, frame("larder"), opened=form, error=wrong_there)
            for each in (fixture_larder.busy(), fixture_larder.bare())
            for form in ("", "buy", "count", "use", "also")
        ),
        *own_pages(),
        shopping_page(fixture_larder.busy(), CLOCK, frame("larder")),
        shopping_page(fixture_larder.bare(), CLOCK, frame("larder")),
        AskPage(
            frame(""),
            ("a rise of 7.5 is rare",),
            "/daybook/told/rise",
            (("rise", "7.5"),),
            "s",
            "b",
            "F",
        ),
        *device_pages(),
        UnitsPage(frame("units"), (Asked("degrees", "Temperatures").field("F"),), "/week"),
        ErrorPage(frame(""), "Not here", "There is no page at this address."),
    ]


def device_pages() -> list[Page]:
    """The door shut, open and not there, and the page of a device that has not joined."""
    here, now = frame("kitchen"), CLOCK.moment(CLOCK.now)
    others = ("https://192.0.2.8:8317/join",)
    address = "https://192.0.2.7:8317/join"
    opened = OpenDoor(Markup("<svg></svg>"), address, "ABCD-EFGH", 10, others, "A1:B2", "C3:D4")
    phones = tuple(Joined(str(number), "Phone", now, now) for number in range(2))
    return [
        DevicesPage(here, False, None, False, ()),
        DevicesPage(here, True, None, True, phones),
        DevicesPage(here, True, None, False, (), spoiled=True, error="It is full."),
        DevicesPage(here, True, opened, True, phones[:1]),
        JoinPage(frame(""), "ABCD", "Phone", "/week", "This key has expired."),
    ]


def water_pages() -> list[Page]:
    """A formula's dough and a plain mix, iced, out of reach and wrongly typed."""
    rolls = read_formula(demonstration_formulas()["seeded-rolls"])
    usual = Warmths(25.0, 17.0, 23.0, 17.0, 10.0, 2.0)
    mixes = (dough_mix(rolls, rolls.pieces), plain_mix(USUAL_G))
    warmths = (
        usual,
        dataclasses.replace(usual, flour=35.0, room=33.0, tap=25.0),
        dataclasses.replace(usual, wanted=40.0),
        dataclasses.replace(usual, wanted=34.0),
    )
    wrong = dict.fromkeys(("formula", "pieces", "flour_g", "flour_c"), "cannot be used")
    return [
        water_page(
            mix,
            at,
            Friction(3.1, 0.6, doughs),
            SUMMARIES,
            typed={},
            errors=errors,
            frame=frame("water"),
        )
        for mix in mixes
        for at, doughs, errors in zip(warmths, (0, 1, 6, 6), ({}, {}, {}, wrong), strict=True)
    ]


def oven_pages() -> list[Page]:
    """A loaf that comes right, one that will be dark, and one that is underbaked."""
    typed = oven_room.FIRST.typed({}) | oven_room.OTHERS.typed({})
    loaf, dark = (bake_for("900g", "boule", oven, "24C") for oven in ("240C", "280C"))
    wrong = InputErrors([InputError(name, "x", "another") for name in ("mass", "core")])
    return [
        oven_page(typed, loaf, None, KITCHEN, frame("oven")),
        oven_page(typed, dark, None, KITCHEN, frame("oven")),
        oven_page(typed, None, wrong, KITCHEN, frame("oven")),
    ]


def share_pages() -> list[Page]:
    back = Choice("/cultures/Gannet", "Back to Gannet")
    page = SharePage(frame("cultures"), "Share", "One file.", back, "/cultures/Gannet/share")
    fields, _ = share_room.RIGHTS.fields({"author": "Skerry Hall"}, None)
    return [
        dataclasses.replace(page, stopped=True),
        dataclasses.replace(page, file="/formulas/harbour-loaf/page.html"),
        dataclasses.replace(page, fields=fields, waits=True),
        dataclasses.replace(page, fields=fields, refused="year"),
    ]


def label_pages() -> list[Page]:
    text = demonstration_formulas()["seeded-rolls"]
    found = [
        label_formula(text, "rolls.toml", style=style, may_contain=more)
        for style, more in (("us", ()), ("eu", ("nuts",)))
    ]
    names = ("style", "serving", "loss", "may-contain", "flour")
    wrong = InputErrors([InputError(name, "x", "another") for name in names])
    plain = [label_page(each, {}, None, frame("formulas")) for each in found]
    return [*plain, label_page(found[0], {"loss": "x"}, wrong, frame("formulas"))]


def flour_pages() -> list[Page]:
    sent = {**FIRST, "wanted": "0.7"}
    wrong = dict.fromkeys((*FIRST, "blend"), "cannot be used")
    full = flour_page(
        sent,
        {},
        frame("flour"),
        blended=blend_of(BLEND.read(sent)),
        converted=convert(12, 14, 0),
        types=types("T65"),
    )
    return [full, flour_page(FIRST, wrong, frame("flour"))]


@pytest.mark.parametrize("page", examples(), ids=lambda page: type(page).__name__)
def test_every_page_renders_from_its_context_alone(page: Page) -> None:
    html = render(page)
    assert html.count("<h1") == 1
    assert html.count("</html>") == 1
    assert "None" not in re.sub(r"<[^>]*>", " ", html)
    assert " object at 0x" not in html
    assert " style=" not in html  # the policy would not let a browser apply it


@pytest.mark.parametrize("page", examples(), ids=lambda page: type(page).__name__)
def test_no_two_elements_of_a_page_share_an_id(page: Page) -> None:
    found = re.findall(r'\sid="([^"]+)"', render(page))
    assert len(found) == len(set(found))


def contexts() -> set[type[Any]]:
    """Every dataclass that a template is given: those of each screen's page, and of the frame."""
    names = [
        f"pointage.web.screens.{each.name}.page" for each in SCREENS if (each / "page.py").exists()
    ]
    return {
        each
        for module in (frames, *map(import_module, names))
        for each in vars(module).values()
        if isinstance(each, type) and dataclasses.is_dataclass(each)
    }


def test_every_kind_of_page_has_an_example() -> None:
    pages = {each for each in contexts() if "template" in vars(each)} - {frames.WorkBlock}
    assert len(pages) > 25
    assert {type(page) for page in examples()} == pages


def test_every_field_of_a_context_is_printed_somewhere() -> None:
    env = environment()
    assert env.loader is not None
    source = " ".join(
        env.loader.get_source(env, name)[0] for name in env.list_templates(extensions=["html"])
    )
    assert len(contexts()) > 60
    idle = [
        f"{context.__name__}.{field.name}"
        for context in contexts()
        for field in dataclasses.fields(context)
        if not re.search(rf"\.{field.name}\b", source)
    ]
    assert idle == []


def test_a_name_that_is_no_field_is_an_error() -> None:
    with pytest.raises(Exception, match="no attribute 'crumb'"):
        environment().from_string("{{ page.crumb }}").render(page=examples()[0])


def test_a_fragment_is_a_block_of_the_whole_page() -> None:
    page = examples()[0]
    block = re.sub(r'name="entry" value="[^"]+"', "", render_block(page, "bench"))
    whole = re.sub(r'name="entry" value="[^"]+"', "", render(page))
    assert "<html" not in block
    assert block in whole


@pytest.mark.parametrize("page", examples(), ids=lambda page: type(page).__name__)
def test_every_block_stands_on_its_own(page: Page) -> None:
    """What htmx asks for is one block without what stands before it."""
    for name in environment().get_template(page.template).blocks:
        if name not in {"title", "styles", "scripts", "main"}:
            assert render_block(page, name)


def test_what_a_person_typed_is_escaped() -> None:
    slip = Slip(fixture.HARBOUR, "mix", "display", '"><script>', "<b>no\u202e</b>", 0)
    html = render(bench_page(KITCHEN, [fixture.friday_bake()], CLOCK, frame(), slip))
    assert "<script>" not in html.replace("<script src", "")
    assert Markup.escape("<b>no</b>") in html
