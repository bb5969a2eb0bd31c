"""Plan a bake: which formula, how many pieces, when out of the oven; and how far its plan is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from starlette.responses import Response
from starlette.routing import Route

from pointage.bounds import PIECES_MADE
from pointage.desk.answers import NotThere, Wish
from pointage.errors import MISSING, InputError
from pointage.language import mark, say
from pointage.quantities import parse_instant
from pointage.timetable.plan import Plan, Status
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form
from pointage.web.screens.kitchen.view import KINDS as KITCHEN
from pointage.web.screens.week.page import PlanningPage, WishPage
from pointage.web.screens.wishes.form import besides, besides_of, lean_form, lean_of
from pointage.web.visit import (
    Visit,
    reads,
    writes,
)
from pointage.web.words.asked import bread_choices
from pointage.web.words.conflicts import conflict_notes
from pointage.web.words.words import count, mass

FAR_ENOUGH = timedelta(days=2)  # a first guess at the form, which a wish may come under
BREAKFAST = "09:00"
STOPPED = mark("Planning was stopped and nothing was saved. Send it again to plan it.")


def blank(visit: Visit) -> Response:
    """The form with a first guess: the formula asked for, its own pieces, in two mornings."""
    formulas = [each for each in visit.desk.formulas() if not each.put_away]
    wanted = visit.request.query_params.get("formula", "")
    chosen = next((each for each in formulas if wanted in (each.slug, each.name)), None)
    chosen = chosen or (formulas[0] if formulas else None)
    day = visit.clock.local(visit.now + FAR_ENOUGH).date().isoformat()
    typed = {
        "formula": chosen.slug if chosen else "",
        **_last(visit, chosen.slug if chosen else ""),
        **{
            key: text
            for key in ("pieces", "culture")
            if (text := visit.request.query_params.get(key, ""))
        },
        **besides(visit.request.query_params),
        "day": visit.request.query_params.get("day", day),
        "clock": visit.request.query_params.get("clock", BREAKFAST),
    }
    return visit.show(_page(visit, typed))


def sent(visit: Visit) -> Response:
    """The Week with the new bake; or how far its plan is, where that takes longer than a moment."""
    try:
        said = _form(visit, visit.fields.get("formula", "")).read(_with_ready(visit.fields))
        visit.kitchen.check_oven()
        visit.kitchen.check_culture()
        pieces = said["pieces"] or _own_pieces(visit, said["formula"])
        _mend(visit, said["formula"])
        lean = tuple(lean_of(visit.fields).items())
        asked = Wish(said["formula"], pieces, said["ready"], said["culture"] or "", lean)
        planning = visit.desk.wish_beside(visit.entry(), asked, visit.now)
    except InputError as error:
        return visit.show(_page(visit, visit.fields, error), 422)
    if planning.plan is None:
        return visit.go(f"/week/wish/{visit.entry()}")
    if planning.plan.status is Status.IMPOSSIBLE:
        return visit.show(_page(visit, visit.fields, plan=planning.plan), 422)
    return visit.go("/week")


def begun(visit: Visit) -> Response:
    """How a plan stands that was begun: it goes on, is in hand, cannot be, or was stopped."""
    entry = visit.request.path_params["entry"]
    try:
        planning = visit.desk.planning(entry)
    except InputError as error:
        return visit.show(_page(visit, {}, error), 422)
    if planning is None:  # this run of the program knows nothing of it, but it may be in hand
        known = any(bake.key == entry for bake in visit.desk.bakes())
        return visit.go("/week" if known else "/week/wish")
    if planning.plan and planning.plan.status is not Status.IMPOSSIBLE:
        return visit.go("/week")
    typed = _as_typed(planning.asked, visit)
    if planning.waits:
        formula = _choice(visit, planning.asked.formula)
        words = f"{count(planning.asked.pieces, 'piece')}, {visit.clock.text(planning.asked.ready)}"
        return visit.show(PlanningPage(visit.frame("week"), formula, words))
    page = _page(visit, typed, plan=planning.plan)
    return visit.show(page if planning.plan else replace(page, above=say(STOPPED)))


def _mend(visit: Visit, slug: str) -> None:
    """What a plan cannot do without: how the bread is worked is filled in, where its kind is said.

    Raises InputError, field "method" or "formula".
    """
    formula = visit.present.formulas.get(slug)
    if formula is None or formula.process is not None:
        return
    if not formula.builds:  # nothing is filled in for what cannot be planned
        raise InputError("formula", formula.name, say("a formula with a levain"))
    kind = visit.fields.get("method", "")
    if not kind:
        expected = say("a kind of bread, which fills in how this formula is worked")
        raise InputError("method", MISSING, expected)
    visit.desk.book.keep_method(slug, kind, visit.kitchen)


def _missing(visit: Visit, slug: str) -> Iterator[tuple[str, str, str]]:
    """What no plan can do without and is not there, with where it is mended: of the kitchen, and of
    the formula that is chosen."""
    kitchen, chosen = visit.kitchen, visit.present.formulas.get(slug)
    cultures = [each.name for each in kitchen.cultures]
    if not cultures:
        said = say("There is no culture to build a levain from.")
        yield said, "/cultures", say("Raise or bring one")
    elif chosen is not None and chosen.culture and chosen.culture not in cultures:
        said = say(
            "{formula} is raised by {culture}, which is not here: choose another below.",
            formula=chosen.name, culture=chosen.culture,
        )  # fmt: skip
        yield said, f"/formulas/{slug}/edit", say("Change the formula")
    if chosen is not None and not chosen.builds:
        said = say("{formula} has no levain to plan a bake from.", formula=chosen.name)
        yield said, f"/formulas/{slug}/edit#add-stage", say("Add a levain")
    elif chosen is not None and len(chosen.builds) < len(chosen.levains):
        said = say(
            "{formula} has levains that ripen apart ({names}); a plan can ripen only one.",
            formula=chosen.name, names=", ".join(each.name for each in chosen.levains),
        )  # fmt: skip
        yield said, f"/formulas/{slug}/edit", say("Change the formula")
    oven = f"/kitchen#part-{1 + list(KITCHEN).index('oven')}"
    named = "" if chosen is None or chosen.process is None else chosen.process.oven_name
    if not kitchen.ovens:
        yield say("There is no oven to bake it in."), oven, say("Add an oven")
    elif named and kitchen.oven_called(named) is None:
        said = say("{formula} is baked in {oven!r}, which is not here.",
                   formula=chosen.name if chosen else "", oven=named)  # fmt: skip
        yield said, f"/formulas/{slug}/edit", say("Change the formula")


def _last(visit: Visit, slug: str) -> dict[str, str]:
    """Culture and pieces as the formula, or the one it varies, was baked the last time, where that
    can be again."""
    formula = visit.present.formulas.get(slug)
    if formula is None:
        return {}
    every = visit.present.every_bake.values()
    bakes = [bake for bake in every if bake.plan.formula in (formula.name, formula.varies)]
    last = max(bakes, key=lambda bake: bake.plan.ready, default=None)
    if last is None:
        return {}
    here = {each.name for each in visit.kitchen.cultures}
    found = {"pieces": str(last.plan.pieces)} if last.plan.pieces != formula.pieces else {}
    return found | ({"culture": last.plan.culture} if last.plan.culture in here else {})


def _choice(visit: Visit, slug: str) -> str:
    return next((each.name for each in visit.desk.formulas() if each.slug == slug), slug)


def _as_typed(asked: Wish, visit: Visit) -> dict[str, str]:
    typed = {"formula": asked.formula, "pieces": str(asked.pieces), "culture": asked.culture}
    typed |= besides_of(asked.lean)
    return typed | _day_and_clock(asked.ready, visit)


def _page(
    visit: Visit,
    typed: Mapping[str, str],
    error: InputError | None = None,
    plan: Plan | None = None,
) -> WishPage:
    (*fields, ready), above = _form(visit, typed.get("formula", "")).fields(typed, error)
    possible = _possible(plan)
    later = {each.name: each.value for each in fields} | besides(typed)
    return WishPage(
        frame=visit.frame("week"),
        fields=tuple(fields),
        ready=ready,
        day=typed.get("day", ""),
        clock=typed.get("clock", ""),
        above=above,
        conflicts=conflict_notes(plan) if plan else (),
        missing=tuple(_missing(visit, typed.get("formula", ""))),
        later=tuple((later | _day_and_clock(possible, visit)).items()) if possible else (),
        later_words=visit.clock.text(possible) if possible else "",
        lean=lean_form().shown(typed, {}),
        leans=bool(lean_of(typed)),
    )


def _possible(plan: Plan | None) -> datetime | None:
    """The first time at which it can be, of a plan that cannot be when it is wanted."""
    found = (each.about.get("possible") for each in (plan.conflicts if plan else ()))
    return next((at for at in found if isinstance(at, datetime)), None)


def _day_and_clock(at: datetime, visit: Visit) -> dict[str, str]:
    local = visit.clock.local(at)
    return {"day": local.date().isoformat(), "clock": f"{local:%H:%M}"}


def _form(visit: Visit, slug: str = "") -> Form:
    """slug: of the formula that is chosen: what it lacks for a plan is asked for."""
    zone = visit.kitchen.zone

    def ready(text: str, field: str) -> datetime:
        instant = parse_instant(text, zone, field)
        if instant <= visit.now:
            raise InputError(field, visit.clock.text(instant), say("a time still to come"))
        return instant

    formulas = tuple(
        Choice(
            each.slug,
            say(
                "{name}, {pieces} of {mass}",
                name=each.name,
                pieces=count(each.pieces, "piece"),
                mass=mass(each.piece_g),
            ),
        )
        for each in visit.desk.formulas()
        if not each.put_away
    )
    own = Choice("", say("the formula’s own"))
    cultures = (own, *(Choice(each.name, each.name) for each in visit.kitchen.cultures))
    chosen = visit.present.formulas.get(slug)
    lacks_method = chosen is not None and chosen.process is None
    method = Asked(
        "method", mark("Kind of bread"),
        mark("this formula does not say how it is worked; its kind fills that in"),
        choices=bread_choices(), needed=False,
    )  # fmt: skip
    return Form((
        Asked("formula", mark("Formula"), kind="select", choices=formulas),
        Asked("culture", mark("Culture"), kind="select", choices=cultures, needed=False),
        *(() if not lacks_method else (method,)),
        Asked("pieces", mark("Pieces"), mark("if other than the formula’s own"),
              PIECES_MADE.count, "numeric", needed=False),
        Asked("ready", mark("Out of the oven"), say("in {zone} time", zone=zone.key), ready),
    ))  # fmt: skip


def _with_ready(typed: Mapping[str, str]) -> dict[str, str]:
    """What was typed, its day and its time also as one."""
    day, clock = (typed.get(name, "").strip() for name in ("day", "clock"))
    return {**typed, "ready": f"{day}T{clock}"}


def _own_pieces(visit: Visit, slug: str) -> int:
    for each in visit.desk.formulas():
        if each.slug == slug:
            return each.pieces
    raise NotThere("formula", slug)


ROUTES = [
    Route("/week/wish", reads(blank), methods=["GET"]),
    Route("/week/wish", writes(sent), methods=["POST"]),
    # Made anew each time it is asked for: work goes on while the store stays as it is.
    Route("/week/wish/{entry}", writes(begun), methods=["GET"]),
]
