"""Edit a formula in place: a draft that lives in the page's address until it is kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from urllib.parse import urlencode

from starlette.responses import Response
from starlette.routing import Route

from pointage.daybook.errors import StaleRevisionError
from pointage.desk.formulas.book import formula_of
from pointage.desk.formulas.changes import (
    moved,
    settled,
    weighed_line,
    with_flour_kept,
    with_hydration,
    with_new_stage,
    without_ingredient,
    without_stage,
)
from pointage.desk.formulas.draft import (
    TOTAL,
    Draft,
    TypedCells,
    cell,
    new_formula,
    packed,
    unpacked,
)
from pointage.desk.formulas.methods import with_method
from pointage.errors import Faults, InputError
from pointage.formula.formula import LONGEST_WORDS, Formula
from pointage.formula.ingredients import ingredient
from pointage.formula.names import find_ingredient
from pointage.formula.reading.typed import TypedLine
from pointage.language import say, say_many
from pointage.quantities import print_number
from pointage.web.screens.formula_edit.forms import forms
from pointage.web.screens.formula_edit.page import EditPage
from pointage.web.screens.formula_edit.view import edit_page
from pointage.web.visit import (
    Visit,
    reads,
    whole,
    writes,
)
from pointage.web.words.asked import ingredient_typed
from pointage.web.words.both import both
from pointage.web.words.sense import sense_of

MOST_FIELDS = 4000  # forty stages of as many ingredients, and what else is said of them
LONGEST = LONGEST_WORDS
WAITING = {"row": "row", "new-name": "stage", "method": "method"}
"""Fields that wait for a button of their own: what it does."""


@dataclass(frozen=True)
class State:
    """A draft and how it is looked at. slug, after: the formula and its last revision, if any."""

    slug: str
    after: int
    formula: Formula
    side: TypedCells
    extra: tuple[str, ...]
    column: str

    @property
    def draft(self) -> Draft:
        return Draft(self.formula, self.side, self.extra)

    @property
    def path(self) -> str:
        return f"/formulas/{self.slug}/edit" if self.slug else "/formulas/new"

    @property
    def address(self) -> str:
        """Where this draft is found again."""
        return f"{self.path}?" + urlencode(
            {
                "draft": packed(self.formula),
                "side": self.side.value,
                "extra": " ".join(self.extra),
                "column": self.column,
                "after": self.after,
            }
        )


def edit(visit: Visit) -> Response:
    """The draft of the address; the last revision, or the one asked for, where there is none."""
    return _show(visit, _state(visit, visit.request.query_params))


def change(visit: Visit) -> Response:
    """What was typed and pressed; then the changed draft at its own address."""
    state = _state(visit, visit.fields)
    typed = {name: text for name, text in visit.fields.items() if name not in _SENT_ALONG}
    try:
        faults = Faults()
        for name, text in typed.items():
            if len(text) > LONGEST:
                expected = say_many("at most {n} character", "at most {n} characters", LONGEST)
                faults.found.append(InputError(name, text[:20] + "…", expected))
        sent = typed
        if visit.fields.get("do") == "method":  # it stands in for whatever is half typed there
            sent = {name: text for name, text in typed.items() if name[:8] != "process-"}
        read = faults.take(state.draft.read, _with_units(visit, state, sent))
        formula, in_grams = state.formula if faults.found else read, state.draft.in_grams
        for i in range(len(state.formula.stages)):
            if wanted := typed.get(f"stage-{i}-hydration", "").strip():
                with faults:
                    wetter = with_hydration(formula, i, wanted)
                    formula = with_flour_kept(wetter, formula) if in_grams else wetter
        faults.check()
        state = replace(state, formula=formula, side=_side(visit.fields.get("enter", "")))
        pressed, _, what = visit.fields.get("do", "").partition(":")
        if pressed in ("look", "keep"):  # what waits for its own button is not lost by another
            waits = (do for name, do in WAITING.items() if typed.get(name, "").strip())
            pressed = next(waits, pressed)
        if pressed == "keep":
            kept = visit.desk.book.keep(state.draft.text, state.slug, state.after)
            back = "" if state.slug or kept.revision == 1 else "?back=yes"
            return visit.go(f"/formulas/{kept.slug}{back}")
        state = _pressed(visit, state, pressed, what, typed)
    except StaleRevisionError:
        return _show_both(visit, state, typed)
    except InputError as error:
        return _show(visit, _state(visit, visit.fields), typed, error)
    there = _next(state, pressed)
    return visit.go(f"{state.address}#{there}" if there else state.address)


def _next(state: State, pressed: str) -> str:
    """The id of what is typed next, which a browser goes to: what came, or where it went."""
    if pressed == "row":
        return cell(state.column, state.extra[-1])
    if pressed in ("stage", "earlier", "later", "column"):
        return f"{'column' if pressed == 'column' else 'stage'}-{state.column}"
    return {
        "drop": "edit-row", "drop-stage": "stages", "settle": "typed-lines", "method": "process",
    }.get(pressed, "")  # fmt: skip


def _with_units(visit: Visit, state: State, typed: Mapping[str, str]) -> Mapping[str, str]:
    for form in forms(state.draft, visit.kitchen).values():
        typed = form.with_units(typed)
    return typed


def _pressed(
    visit: Visit, state: State, pressed: str, what: str, typed: Mapping[str, str]
) -> State:
    """The draft after a button beside "Calculate"."""
    formula = state.formula
    match pressed:
        case "column":
            state = replace(state, column=_column(formula, what))
        case "row":
            state = _with_row(state, typed.get("row", "").strip(), sense_of(visit))
        case "drop":
            extra = tuple(each for each in state.extra if each != what)
            if what in formula.total:
                formula = without_ingredient(formula, what, in_grams=state.draft.in_grams)
            state = replace(state, formula=formula, extra=extra)
        case "stage":
            stage = {name.removeprefix("new-"): text for name, text in typed.items()}
            made = with_new_stage(formula, stage, sense_of(visit))
            by_total = state.side is TypedCells.TOTAL_GRAMS
            formula = with_flour_kept(made, formula) if by_total else made
            names = [each.name for each in formula.stages]
            column = str(names.index(stage["name"].strip()))
            state = replace(state, formula=formula, column=column)
        case "settle":
            state = replace(state, formula=settled(formula, _number(what)))
        case "method":
            formula = with_method(formula, typed.get("method", ""), visit.kitchen)
            state = replace(state, formula=formula)
        case "drop-stage":
            state = replace(state, formula=without_stage(formula, _number(what)), column=TOTAL)
        case "earlier" | "later":
            by = -1 if pressed == "earlier" else 1
            column = str(_number(what) + by)
            state = replace(state, formula=moved(formula, _number(what), by), column=column)
    return state


def _with_row(state: State, words: str, country: str) -> State:
    """The draft with a row for an ingredient, its column shown; "60 g oats" is filled in."""
    found = weighed_line(words, country) if state.draft.in_grams else None
    name, weighed = found or (
        find_ingredient(ingredient_typed(words), "row", country).name,
        Fraction(),
    )
    formula = _with_typed(state.formula, words, name)
    state = replace(state, formula=formula, extra=(*state.extra, name))
    draft, dough = state.draft, str(formula.stages.index(formula.dough))
    state = replace(
        state, column=next(c for c in (state.column, TOTAL, dough) if draft.is_open(c, name))
    )
    if weighed:
        weighed += draft.amounts.get((state.column, name), 0)
        filled = draft.read({cell(state.column, name): f"{print_number(float(weighed), 2)}g"})
        state = replace(state, formula=filled)
    return state


def _with_typed(formula: Formula, words: str, name: str) -> Formula:
    """With what an ingredient was called, unless that is its name or its label."""
    if words.casefold() in (name, say(ingredient(name).label).casefold()):
        return formula
    line = TypedLine(words, name)
    return formula if line in formula.typed else replace(formula, typed=(*formula.typed, line))


def _state(visit: Visit, fields: Mapping[str, str]) -> State:
    slug = visit.request.path_params.get("slug", "")
    after = 0
    if fields.get("draft"):
        formula = unpacked(fields["draft"])
        after = (whole(fields.get("after", "")) or 0) if slug else 0
    elif slug:
        last, asked = visit.desk.book.revision(slug), fields.get("revision", "")
        after = last.revision
        formula = visit.desk.book.formula(slug, _number(asked)) if asked else formula_of(last)
    elif fields.get("like"):
        formula = visit.desk.book.another(fields["like"])
    else:
        formula = new_formula()
    if fields.get("method") and "do" not in fields and formula.process is None:
        formula = with_method(formula, fields["method"], visit.kitchen)
    side = _side(fields.get("side", ""))
    extra = dict.fromkeys(
        find_ingredient(each, "extra").name for each in fields.get("extra", "").split()
    )
    column = _column(formula, fields.get("column", TOTAL))
    return State(slug, after, formula, side, tuple(extra), column)


def _show(
    visit: Visit,
    state: State,
    typed: Mapping[str, str] | None = None,
    error: InputError | None = None,
) -> Response:
    return visit.show(_page(visit, state, typed, error), 200 if error is None else 422)


def _show_both(visit: Visit, state: State, typed: Mapping[str, str]) -> Response:
    """The draft beside the revision that was kept meanwhile, to be kept after it or left."""
    last = visit.desk.book.revision(state.slug)
    now = replace(state, formula=formula_of(last)).draft.text.splitlines()
    titles = say("Revision {revision}, as it is now", revision=last.revision), say("Your draft")
    sides = both(now, state.draft.text.splitlines(), titles)
    page = _page(visit, replace(state, after=last.revision), typed)
    return visit.show(replace(page, both=sides), 409)


def _page(
    visit: Visit,
    state: State,
    typed: Mapping[str, str] | None = None,
    error: InputError | None = None,
) -> EditPage:
    kept = visit.desk.book.formula(state.slug) if state.slug else state.formula
    return edit_page(
        state.draft,
        visit.desk.book.compare(kept, state.formula),
        visit.kitchen,
        visit.frame("formulas"),
        path=state.path,
        after=state.after,
        column=state.column,
        country=sense_of(visit),
        typed=typed,
        error=error,
        is_kept=bool(state.slug) and replace(kept, slug="") == replace(state.formula, slug=""),
    )


def _side(text: str) -> TypedCells:
    return TypedCells(text) if text in set(TypedCells) else TypedCells.TOTAL


def _column(formula: Formula, text: str) -> str:
    """The total, or a stage that there is."""
    return text if text in map(str, range(len(formula.stages))) else TOTAL


def _number(text: str) -> int:
    if (number := whole(text)) is None:
        raise InputError("form", repr(text), say("a number"))
    return number


_SENT_ALONG = ("draft", "side", "enter", "extra", "column", "after", "degrees", "do")
ROUTES = [
    Route("/formulas/new", reads(edit)),
    Route("/formulas/new", writes(change, MOST_FIELDS), methods=["POST"]),
    Route("/formulas/{slug}/edit", reads(edit)),
    Route("/formulas/{slug}/edit", writes(change, MOST_FIELDS), methods=["POST"]),
]
