"""A formula's draft as a page to type in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from pointage.desk.formulas.doubts import doubt_words
from pointage.desk.formulas.draft import (
    TOTAL,
    Draft,
    TypedCells,
    cell,
    packed,
    shown,
)
from pointage.desk.formulas.read import taken_label
from pointage.errors import InputError
from pointage.formula.compare import Comparison
from pointage.formula.formula import Formula
from pointage.formula.ingredients import ingredient, offered
from pointage.formula.names import common_name, names_of
from pointage.kitchen.kitchen import Kitchen
from pointage.language import language, mark, say
from pointage.web.forms.faults import by_field
from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Frame
from pointage.web.screens.culture.page import Table
from pointage.web.screens.formula_edit.forms import forms
from pointage.web.screens.formula_edit.outcomes import changed, outcomes
from pointage.web.screens.formula_edit.page import (
    EditCell,
    EditColumn,
    EditPage,
    EditRow,
    Outcome,
    StageForm,
    TypedRow,
)
from pointage.web.words.asked import bread_choices
from pointage.web.words.words import mass, percent, upper_first

SIDES = {
    TypedCells.TOTAL: mark("the total, in percent"),
    TypedCells.TOTAL_GRAMS: mark("the total, in grams"),
    TypedCells.STAGES_GRAMS: mark("each stage, in grams"),
    TypedCells.STAGES: mark("each stage, in percent of its own flour"),
}
NAMED = 4
"""Other names that are shown beside an ingredient's own."""
Texts = Mapping[str, str]
FIRST = ("hydration", "dough yield", "prefermented flour", "bulk", "cost of a piece")
"""The consequences that stand above the rest, by their names."""


def edit_page(
    draft: Draft,
    found: Comparison,
    kitchen: Kitchen,
    frame: Frame,
    *,
    path: str,
    after: int = 0,
    column: str = TOTAL,
    country: str = "",
    typed: Mapping[str, str] | None = None,
    error: InputError | None = None,
    is_kept: bool = False,
) -> EditPage:
    """found: what was kept, beside the draft. typed: what came back with an error. is_kept: there
    is nothing to keep."""
    column = column if column in draft.columns else TOTAL
    cells = {cell(c, r) for c in draft.columns for r in draft.rows if draft.is_open(c, r)}
    near = {f"stage-{c}" for c in draft.columns} | {TOTAL}
    asked = forms(draft, kitchen)
    of_forms = {each.name for form in asked.values() for each in form.asked}
    errors, stray = by_field(error, cells | of_forms | near)
    column = _with_the_fault(draft, column, errors)
    given = draft.fields | dict(typed or {})
    fields = {
        name: form.shown(form.without_units(draft.fields) | dict(typed or {}), errors)
        for name, form in asked.items()
    }
    own = draft.formula
    rows = tuple(_row(draft, row, column, given, errors) for row in draft.rows)
    return EditPage(
        frame=frame,
        path=path,
        title=own.name,
        back=path.removesuffix("/edit") if after else "/formulas",
        what_if=f"{path.removesuffix('/edit')}/what-if" if after else "",
        draft=packed(draft.formula),
        side=Field(
            "enter", say("Enter amounts as"), draft.side.value, "select",
            tuple(Choice(side.value, say(words)) for side, words in SIDES.items()),
        ),
        extra=" ".join(draft.extra),
        column=column,
        after=str(after),
        keep="" if is_kept else _keep(after),
        columns=tuple(_column(draft, each, column) for each in draft.columns),
        rows=rows,
        wrong=(
            *((f"e-{TOTAL}", say("Total"), errors[key]) for key in (TOTAL,) if key in errors),
            *((c.key, c.label, c.error) for row in rows for c in row.cells if c.error),
            *(
                (f"edit-{each.name}", each.label, each.error)
                for form in fields.values()
                for each in form
                if each.error
            ),
            *(
                (f"stage-{i}", each.name, errors[f"stage-{i}"])
                for i, each in enumerate(own.stages)
                if f"stage-{i}" in errors
            ),
        ),
        stages=tuple(
            _stage(draft, i, column, fields[f"stage-{i}"], errors.get(f"stage-{i}", ""))
            for i in range(len(own.stages))
        ),
        total_error=errors.get(TOTAL, ""),
        outcomes=_outcomes(found, own, first=True),
        further=_outcomes(found, own, first=False),
        changed=_changed(found),
        head=fields["head"],
        words=fields["words"],
        own_words=fields["own-words"],
        typed=typed_rows(own),
        unsettled=sum(bool(each.doubts) for each in own.typed),
        process=fields["process"],
        new_stage=fields["new"],
        ingredient=fields["row"][0],
        method=replace(fields["method"][0], choices=bread_choices()),
        known=known_ingredients(country),
        error=stray,
    )  # fmt: skip


def _with_the_fault(draft: Draft, column: str, errors: Texts) -> str:
    """The column that a phone shows: one in which something is wrong, if anything is."""
    wrong = [
        each
        for each in draft.columns
        if any(f"{key}-".startswith((f"cell-{each}-", f"stage-{each}-")) for key in errors)
    ]
    return column if column in wrong or not wrong else wrong[0]


def typed_rows(formula: Formula) -> tuple[TypedRow, ...]:
    """The lines that a formula was read from."""
    return tuple(
        TypedRow(
            str(number),
            each.line,
            upper_first(taken_label(each.taken)),
            tuple(upper_first(doubt_words(doubt)) for doubt in each.doubts),
        )
        for number, each in enumerate(formula.typed)
    )


def known_ingredients(country: str) -> tuple[Choice, ...]:
    """What there is by the name it has in a country, with what else it is called."""
    if language().tag != (country if country in ("de", "fr", "it") else "en"):
        return tuple(Choice(name, say(it.label)) for name, it in offered().items())
    found = []
    for name in offered():
        own = upper_first(common_name(name, country))
        others = (each for place in (country, "any") for each in names_of(name).get(place, ()))
        sure = (each for each in others if each[-1] != "?" and "(" not in each)
        also = dict.fromkeys(each for each in sure if each.casefold() != own.casefold())
        found.append(Choice(", ".join([*also][:NAMED]), own))
    return tuple(found)


def _keep(after: int) -> str:
    if not after:
        return say("Save as a new formula")
    return say("Save as revision {number}", number=after + 1)


def _column(draft: Draft, column: str, shown_column: str) -> EditColumn:
    here = column == shown_column
    own, total = draft.formula, draft.amounts
    inside = sum((v for (c, r), v in total.items() if c == column and r[0] != "@"), Fraction())
    if column == TOTAL:
        return EditColumn(column, say("Total"), _unit(draft, column), "", shown(inside), here)
    stage = own.stages[int(column)]
    return EditColumn(
        column, stage.name, _unit(draft, column), _water(own, int(column)), shown(inside), here
    )


def _unit(draft: Draft, column: str) -> str:
    if draft.in_grams:
        return "g"
    return say("% of its flour") if draft.side is TypedCells.STAGES and column != TOTAL else "%"


def _water(own: Formula, i: int) -> str:
    whole = own.whole(own.stages[i])
    if not (whole.flour and whole.water):
        return ""
    return say("hydration {share}", share=percent(whole.hydration))


def _row(draft: Draft, row: str, column: str, given: Texts, errors: Texts) -> EditRow:
    is_stage = row.startswith("@")
    name = draft.formula.stages[int(row[1:])].name if is_stage else say(ingredient(row).label)
    own_percent = draft.side is TypedCells.STAGES
    label = say("{name}, % of it", name=name) if is_stage and not own_percent else name
    cells = []
    for each in draft.columns:
        key, is_open = cell(each, row), draft.is_open(each, row)
        text = given.get(key, "") if is_open else shown(draft.amounts.get((each, row)))
        where = say("the total") if each == TOTAL else draft.formula.stages[int(each)].name
        error, field = errors.get(key, ""), key if is_open else ""
        cells.append(EditCell(key, field, text, f"{label}, {where}", error, each == column))
    return EditRow(label, "" if is_stage else row, tuple(cells))


def _stage(draft: Draft, i: int, column: str, fields: tuple[Field, ...], error: str) -> StageForm:
    own = draft.formula
    stage = own.stages[i]
    facts = " · ".join(filter(None, (say(stage.kind.value), _water(own, i), stage.place or "")))
    return StageForm(
        str(i), stage.name, facts, fields, error, str(i) == column,
        stage is own.dough,
    )  # fmt: skip


def _outcomes(found: Comparison, own: Formula, *, first: bool) -> tuple[Outcome, ...]:
    order = {name: i for i, name in enumerate(FIRST)}
    kept = [each for each in found.consequences if (each.name in order) == first]
    made = outcomes(sorted(kept, key=lambda each: order.get(each.name, 0)))
    return made if first else (*made, Outcome(say("Dough"), mass(own.pieces * own.piece_g), ""))


def _changed(found: Comparison) -> Table | None:
    made = changed((*found.total, *found.stages), say("Changed, in percent of all flour"))
    return made if made.rows else None
