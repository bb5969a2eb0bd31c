"""A formula's draft as a page to type in."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from pointage.desk.formulas.changes import NEW_STAGE, has_hydration
from pointage.desk.formulas.draft import (
    PROCESS,
    STAGE,
    TOTAL,
    Draft,
    Entered,
    cell,
    shown,
)
from pointage.errors import InputError
from pointage.formula.compare import Comparison
from pointage.formula.formula import Formula
from pointage.formula.ingredients import ingredient, ingredients
from pointage.kitchen.kitchen import Kitchen
from pointage.quantities import print_number
from pointage.web.forms.faults import by_field
from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Frame
from pointage.web.screens.culture.page import Table
from pointage.web.screens.formula_edit.choices import (
    choices,
    may_have,
    new_choices,
    process_choices,
    stage_choices,
)
from pointage.web.screens.formula_edit.outcomes import changed, outcomes
from pointage.web.screens.formula_edit.packed import pack
from pointage.web.screens.formula_edit.page import (
    EditCell,
    EditColumn,
    EditPage,
    EditRow,
    Outcome,
    StageForm,
)
from pointage.web.words.words import mass, percent

SIDES = {
    Entered.TOTAL: "the total, in percent",
    Entered.TOTAL_GRAMS: "the total, in grams",
    Entered.STAGES_GRAMS: "each stage, in grams",
    Entered.STAGES: "each stage, in percent of its own flour",
}
FIRST = ("hydration", "dough yield", "prefermented flour", "bulk", "cost of a piece")
HINTS = {
    "temperature": "after mixing, such as 25C",
    "seed": 'percent of its flour, or "fit"',
    "least": "such as 2h",
    "most": "such as 16h",
    "when": '"mix", or "fold 2"',
    "name": "",
}
NEW_HINTS = {
    "flour": "percent of all flour",
    "flours": "such as rye-whole 60, wheat-white 40",
    "water": "hydration, percent of its flour",
    "takes": "percent of all flour, such as oats 10, water 20",
    "parts_of": "stages that go into it, such as First build 100",
    "seed": HINTS["seed"],
}
LABELS = {"parts_of": "Takes from", "takes": "Also", "flours": "Kinds", "about": "In a sentence"}
MUCH_RISE = "least, wanted and most, such as 1.4, 1.55, 1.75"


def edit_page(
    draft: Draft,
    found: Comparison,
    text: str,
    kitchen: Kitchen,
    frame: Frame,
    *,
    path: str,
    after: int = 0,
    column: str = TOTAL,
    typed: Mapping[str, str] | None = None,
    error: InputError | None = None,
    is_kept: bool = False,
) -> EditPage:
    """text: of the draft's file. found: what was kept, beside the draft. typed: what came back with
    an error. is_kept: there is nothing to keep."""
    typed = typed or {}
    column = column if column in draft.columns else TOTAL
    cells = {cell(c, r) for c in draft.columns for r in draft.rows if draft.is_open(c, r)}
    near = {f"stage-{c}" for c in draft.columns} | {TOTAL, "row"}
    beside = cells | near | set(draft.fields) | {f"new-{key}" for key in NEW_STAGE}
    beside |= {f"stage-{c}-hydration" for c in draft.columns}
    told, stray = by_field(error, beside)
    fields = _Fields(draft, typed, told)
    own = draft.formula
    return EditPage(
        frame=frame,
        path=path,
        title=own.name,
        back=path.removesuffix("/edit") if after else "/formulas",
        what_if=f"{path.removesuffix('/edit')}/what-if" if after else "",
        draft=pack(text),
        side=Field(
            "enter", "What is typed", draft.side.value, "select",
            tuple(Choice(side.value, words) for side, words in SIDES.items()),
        ),
        extra=" ".join(draft.extra),
        column=column,
        after=str(after),
        keep="" if is_kept else _keep(after),
        columns=tuple(_column(draft, each, column) for each in draft.columns),
        rows=tuple(_row(draft, row, column, fields) for row in draft.rows),
        stages=tuple(_stage(draft, i, column, fields, kitchen) for i in range(len(own.stages))),
        total_error=told.get(TOTAL, ""),
        outcomes=_outcomes(found, own, first=True),
        further=_outcomes(found, own, first=False),
        changed=_changed(found),
        head=tuple(fields.field(name) for name in ("name", "pieces", "piece")
                   if name != "piece" or not draft.in_grams),
        words=(
            fields.field("culture", choices(own.culture, [c.name for c in kitchen.cultures])),
            fields.field("about"),
            fields.field("cautions", hint="a line each", kind="long"),
            fields.field("may_contain", hint="such as nuts, sesame"),
        ),
        process=tuple(
            fields.field(f"process-{key}", process_choices(key, draft, kitchen),
                         hint=MUCH_RISE if key.endswith("rise") else "", key=key)
            for key in PROCESS
        ),
        new_stage=tuple(
            fields.field(f"new-{key}", new_choices(key, kitchen),
                         hint=NEW_HINTS.get(key, ""), key=key)
            for key in NEW_STAGE
        ),
        ingredient=fields.field("row", hint="by its name", key="ingredient"),
        known=tuple(Choice(each.name, each.label) for each in ingredients().values()),
        opened=_opened(told),
        error=stray,
    )  # fmt: skip


def _keep(after: int) -> str:
    return f"Keep as revision {after + 1}" if after else "Keep as a new formula"


class _Fields:
    """Fields of the form, as they were typed, with their errors."""

    def __init__(self, draft: Draft, typed: Mapping[str, str], told: Mapping[str, str]) -> None:
        self._shown = draft.fields
        self._typed = typed
        self._told = told

    def value(self, name: str) -> str:
        return self._typed.get(name, self._shown.get(name, ""))

    def error(self, name: str) -> str:
        return self._told.get(name, "")

    def field(
        self, name: str, choices: tuple[Choice, ...] = (), *,
        hint: str = "", kind: str = "text", key: str = "",
    ) -> Field:  # fmt: skip
        key = key or name
        label = LABELS.get(key, key.replace("_", " ").capitalize())
        kind = "select" if choices else kind
        return Field(name, label, self.value(name), kind, choices, hint, self.error(name))


def _column(draft: Draft, column: str, shown_column: str) -> EditColumn:
    here = column == shown_column
    own, total = draft.formula, draft.amounts
    inside = sum((v for (c, r), v in total.items() if c == column and r[0] != "@"), Fraction())
    if column == TOTAL:
        return EditColumn(column, "Total", _unit(draft, column), "", shown(inside), here)
    stage = own.stages[int(column)]
    return EditColumn(
        column, stage.name, _unit(draft, column), _water(own, int(column)), shown(inside), here
    )


def _unit(draft: Draft, column: str) -> str:
    if draft.in_grams:
        return "g"
    return "% of its flour" if draft.side is Entered.STAGES and column != TOTAL else "%"


def _water(own: Formula, i: int) -> str:
    whole = own.whole(own.stages[i])
    return f"hydration {percent(whole.hydration)}" if whole.flour and whole.water else ""


def _row(draft: Draft, row: str, column: str, fields: _Fields) -> EditRow:
    is_stage = row.startswith("@")
    name = draft.formula.stages[int(row[1:])].name if is_stage else ingredient(row).label
    own_percent = draft.side is Entered.STAGES
    label = f"{name}{'' if own_percent else ', % of it'}" if is_stage else name
    return EditRow(
        label,
        "" if is_stage else row,
        tuple(_cell(draft, (each, row), label, each == column, fields) for each in draft.columns),
    )


def _cell(draft: Draft, at: tuple[str, str], label: str, here: bool, fields: _Fields) -> EditCell:
    (column, row), name = at, cell(*at)
    open_ = draft.is_open(column, row)
    where = "the total" if column == TOTAL else draft.formula.stages[int(column)].name
    text = fields.value(name) if open_ else shown(draft.amounts.get((column, row)))
    return EditCell(
        name, name if open_ else "", text, f"{label}, {where}", fields.error(name), here
    )


def _stage(draft: Draft, i: int, column: str, fields: _Fields, kitchen: Kitchen) -> StageForm:
    own = draft.formula
    stage = own.stages[i]
    keys = [key for key in STAGE if may_have(stage.kind, key)]
    told = [
        fields.field(f"stage-{i}-{key}", stage_choices(key, stage.place, kitchen),
                     hint=HINTS.get(key, ""), key=key)
        for key in keys
    ]  # fmt: skip
    if has_hydration(own, i):
        now = print_number(100 * float(own.whole(stage).hydration), 1)
        hint = f"now {now} %; the water follows what is typed here"
        told.append(fields.field(f"stage-{i}-hydration", hint=hint, key="hydration"))
    facts = " · ".join(filter(None, (stage.kind.value, _water(own, i), stage.place or "")))
    return StageForm(
        str(i), stage.name, facts, tuple(told), fields.error(f"stage-{i}"), str(i) == column,
        stage is own.dough,
    )  # fmt: skip


def _outcomes(found: Comparison, own: Formula, *, first: bool) -> tuple[Outcome, ...]:
    order = {name: i for i, name in enumerate(FIRST)}
    kept = [each for each in found.consequences if (each.name in order) == first]
    told = outcomes(sorted(kept, key=lambda each: order.get(each.name, 0)))
    return told if first else (*told, Outcome("Dough", mass(own.pieces * own.piece_g), ""))


def _changed(found: Comparison) -> Table | None:
    told = changed((*found.total, *found.stages), "Changed, in percent of all flour")
    return told if told.rows else None


def _opened(told: Mapping[str, str]) -> str:
    """The folded part of the form that has an error."""
    for name in told:
        for part in ("process", "new", "row"):
            if name.startswith(part):
                return part
        if name in ("culture", "about", "cautions", "may_contain"):
            return "words"
    return ""
