"""The formulas: the list, and each as the trade's table for so many pieces of such a mass."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import islice
from typing import Any

from markupsafe import Markup
from starlette.responses import Response
from starlette.routing import Route

from pointage.bounds import HYDRATION, LEVAIN_AGE_H, LOADS, PIECES_MADE
from pointage.desk.formulas.on_hand import read_flours
from pointage.desk.formulas.scale import Wants
from pointage.desk.sheets.linked_data import recipe_of
from pointage.errors import Faults, InputError
from pointage.formula.scale import FineScale
from pointage.kitchen.kitchen import Kitchen
from pointage.language import mark, say
from pointage.quantities import (
    parse_mass,
    parse_percent,
    parse_volume,
    split_number,
)
from pointage.web.forms.faults import under_field
from pointage.web.forms.form import LONGEST_FIELD
from pointage.web.screens.formulas.view import formula_page, formulas_page
from pointage.web.screens.larder.view import piece_words
from pointage.web.visit import (
    Visit,
    reads,
)
from pointage.web.words.aside import formulas_aside
from pointage.web.words.sense import sense_of

BLOCK = "sheet"
WANTS = (
    "people", "tin", "baked", "oven-loss", "bowl-loss", "flour-on-hand", "levain-on-hand",
    "levain-hydration", "levain-flour", "levain-age", "discard", "discard-hydration",
    "vessel", "rise", "loads", "fine-step",
)  # fmt: skip
NOTED_BAKES, MOST_NOTES = 20, 6
BACK = mark(
    "A formula of this name had been removed: it is back in the book with this as its latest "
    "revision. If it is another bread, give it another name."
)
INSTEAD = {"people": "pieces", "tin": "piece"}
FIELDS = {"pieces", "piece", "volumes", *WANTS}
FINE_CARRIES_G = Fraction(500)  # of a fine scale that the kitchen's file has not


def formulas(visit: Visit) -> Response:
    query = visit.request.query_params.get("q", "").strip()[:LONGEST_FIELD]
    found = visit.desk.book.found(query) if query else None
    aside = formulas_aside(visit.present)
    kind = visit.request.query_params.get("kind", "")
    page = formulas_page(
        visit.desk.formulas(), visit.frame("formulas"), aside, query, found, kind=kind,
        alike=visit.if_possible(lambda: tuple(visit.desk.book.much_the_same()), ()),
    )  # fmt: skip
    return visit.show(page)


def formula(visit: Visit) -> Response:
    """The sheet as asked for; as the formula's own, with the errors, when that cannot be used."""
    slug = visit.request.path_params["slug"]
    if slug in formulas_aside(visit.present):
        return visit.go(f"/formulas/import?for={slug}")
    given = {
        name: text.strip()[:LONGEST_FIELD]
        for name, text in visit.request.query_params.items()
        if name in FIELDS
    }
    typed = dict(given)
    for want, field in INSTEAD.items():
        if typed.get(want):  # it says what this would, which stands there already
            typed.pop(field, None)
    try:
        faults = Faults()
        pieces, piece_g = faults.take(_pieces, typed), faults.take(_piece, typed)
        wants = faults.take(_wants, typed, visit.kitchen, sense_of(visit))
        faults.check()
        if wants is None:
            sheet = visit.desk.formula(slug, pieces, piece_g)
        else:
            sheet = visit.desk.book.sheet(slug, pieces, piece_g, wants)
    except InputError as error:
        own = visit.desk.formula(slug, None, None)
        errors = {each.field: under_field(each) for each in error.faults}
        page = formula_page(
            own,
            given,
            errors,
            visit.frame("formulas"),
            kitchen=visit.kitchen,
            formula=visit.present.formulas.get(slug),
        )
        return visit.show(page, 422, BLOCK)
    batch = visit.desk.larder.formula_cost(slug, sheet.summary.pieces, sheet.summary.piece_g)
    page = formula_page(
        sheet,
        {name: text for name, text in typed.items() if text},
        {},
        visit.frame("formulas"),
        formula=visit.present.formulas.get(slug),
        past=visit.if_possible(lambda: _past(visit, slug), ()),
        cost=piece_words(batch, visit.kitchen.currency),
        kitchen=visit.kitchen,
        linked=_linked(visit, slug, sheet.summary.pieces),
        after=str(visit.present.records[slug].revision),
    )
    if visit.request.query_params.get("back"):
        page = replace(page, varies=f"{say(BACK)} {page.varies}".rstrip())
    return visit.show(page, 200, BLOCK)


def _past(visit: Visit, slug: str) -> tuple[tuple[str, str, str], ...]:
    """What was noted of the last bakes of a formula, the latest first."""
    name = visit.present.formulas[slug].name
    bakes = [b for b in visit.present.every_bake.values() if b.plan.formula == name]
    bakes.sort(key=lambda bake: bake.plan.ready, reverse=True)
    found = (
        (bake.key, visit.clock.past_by_date(bake.plan.ready), str(words))
        for bake in bakes[:NOTED_BAKES]
        for entry in visit.present.about_bake(bake.key)
        if (words := entry.body.get("text") or entry.body.get("words"))
    )
    return tuple(islice(found, MOST_NOTES))


def _linked(visit: Visit, slug: str, pieces: int) -> Markup:
    """For programs that read recipes; nothing where only a part of the page is wanted."""
    if visit.request.headers.get("HX-Request") == "true":
        return Markup()
    return visit.if_possible(
        lambda: Markup(
            recipe_of(visit.present.formula(slug), visit.present.kitchen, pieces).as_script()
        ),
        Markup(),
    )


def _wants(typed: Mapping[str, str], kitchen: Kitchen, country: str) -> Wants | None:
    """What the batch is made to beside pieces; None when nothing of that was typed."""
    wanted = {name: typed[name] for name in WANTS if typed.get(name)}
    if not wanted:
        return None
    found, faults = Wants(), Faults()
    for name, text in wanted.items():
        with faults:
            found = replace(found, **_want(name, text, kitchen, country))
    faults.check()
    return found


def _water(text: str, name: str) -> Fraction:
    return Fraction(str(HYDRATION.read(text, name))) / 100


READ: Mapping[str, tuple[str, Callable[[str, str], Any]]] = {
    "people": ("people", PIECES_MADE.count),
    "tin": ("tin_l", parse_volume),
    "baked": ("baked_g", parse_mass),
    "oven-loss": ("oven_loss", parse_percent),
    "bowl-loss": ("bowl_loss", parse_percent),
    "levain-on-hand": ("levain_g", parse_mass),
    "levain-hydration": ("levain_hydration", _water),
    "levain-age": ("levain_age_h", LEVAIN_AGE_H.read),
    "discard": ("discard_g", parse_mass),
    "discard-hydration": ("discard_hydration", _water),
    "vessel": ("vessel_l", parse_volume),
}


def _want(name: str, text: str, kitchen: Kitchen, country: str) -> dict[str, Any]:
    """The field of `Wants` that a field of the form fills."""
    if name in READ:
        field, read = READ[name]
        return {field: read(text, name)}
    match name:
        case "flour-on-hand":
            found: dict[str, Any] = {
                "flour_on_hand": tuple(each.strip() for each in text.split(","))
            }
        case "levain-flour":
            found = {"levain_flours": read_flours(text, name, country)}
        case "rise":
            found = {"rise": float(split_number(text, name, say("a rise such as 1.8"))[0])}
        case "loads":
            found = {"ovens": kitchen.ovens, "loads": LOADS.count(text, name)}
        case _:
            found = {"fine": _fine(text, name, kitchen)}
    return found


def _fine(text: str, name: str, kitchen: Kitchen) -> FineScale:
    step = parse_mass(f"{text}g" if text[-1:].isdecimal() else text, name)
    carries = [each.capacity_g for each in kitchen.scales if each.step_g == step]
    return FineScale(step, max(carries, default=FINE_CARRIES_G))


def _pieces(typed: Mapping[str, str]) -> int | None:
    text = typed.get("pieces", "")
    if not text:
        return None
    return PIECES_MADE.count(text, "pieces")


def _piece(typed: Mapping[str, str]) -> Fraction | None:
    text = typed.get("piece", "")
    if not text:
        return None
    grams = parse_mass(text, "piece")
    if not grams:
        raise InputError("piece", repr(text), say("more than 0 g, such as 850g"))
    return grams


ROUTES = [
    Route("/formulas", reads(formulas)),
    Route("/formulas/{slug}", reads(formula)),
]
