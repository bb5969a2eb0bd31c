"""Formulas in the trade's table."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from fractions import Fraction
from urllib.parse import urlencode

from markupsafe import Markup

from pointage.desk.answers import (
    FormulaSheet,
    FormulaSummary,
    SheetRow,
    StageColumn,
)
from pointage.desk.formulas.methods import methods
from pointage.desk.formulas.read import taken_label
from pointage.desk.formulas.scale import FOR_ONE_G
from pointage.desk.formulas.volumes import TRUTH, MeasuredRow, measured
from pointage.desk.sheets.parts.others import others
from pointage.desk.sheets.parts.process import worked
from pointage.formula.formula import Formula, StageKind
from pointage.formula.reading.typed import TypedLine
from pointage.kitchen.kitchen import Kitchen
from pointage.language import say, written
from pointage.quantities import print_number
from pointage.shown import FIXED
from pointage.web.forms.field import Choice, Field
from pointage.web.frame import Frame
from pointage.web.screens.formulas.page import (
    FormulaPage,
    FormulasPage,
    ListedFormula,
    SheetLine,
    StageCard,
)
from pointage.web.words.words import (
    count,
    mass,
    percent,
    upper_first,
    warmth,
)

NOTHING = "–"
FAVOURITES = "favourites"
FEW = 3
"""Formulas that need no search."""
NO_MARKUP = Markup()


def formulas_page(
    formulas: Sequence[FormulaSummary],
    frame: Frame,
    aside: Mapping[str, str] | None = None,
    query: str = "",
    found: Collection[str] | None = None,
    *,
    kind: str = "",
    alike: Sequence[tuple[Formula, Formula]] = (),
) -> FormulasPage:
    """aside: by slug, why a formula cannot be read. found: what `query` finds, None for all. kind:
    what is listed alone, FAVOURITES or a kind of bread. alike: pairs that are much the same."""
    searched = len(formulas) > FEW
    removed = tuple(_listed(each) for each in formulas if each.removed)
    formulas = [each for each in formulas if not each.removed]
    kinds = _kinds(formulas)
    if kind in dict(kinds):
        formulas = [e for e in formulas if (e.favourite if kind == FAVOURITES else e.kind == kind)]
    else:
        kind = ""
    formulas = sorted(formulas, key=lambda each: not each.favourite)
    if found is not None:
        formulas = [each for each in formulas if each.slug in found]
    listed, away = (
        tuple(_listed(each) for each in formulas if each.put_away is put_away)
        for put_away in (False, True)
    )
    unread = tuple(ListedFormula(slug, slug, reason) for slug, reason in (aside or {}).items())
    pairs = tuple(
        (
            say("{one} and {other}", one=one.name, other=other.name),
            "/formulas/compare?" + urlencode({"a": one.slug, "b": other.slug}),
        )
        for one, other in alike
    )
    return FormulasPage(
        frame, listed, unread, away, query, searched, removed, kinds, kind,
        () if query or kind else pairs,
    )  # fmt: skip


def _kinds(formulas: Sequence[FormulaSummary]) -> tuple[tuple[str, str], ...]:
    """What the list can be narrowed to, of what is in it."""
    here = {each.kind for each in formulas}
    found = ((key, say(label)) for key, label in methods().items() if key in here)
    favourites = ((FAVOURITES, say("Favourites")),) if any(e.favourite for e in formulas) else ()
    return (*favourites, *found)


def _listed(each: FormulaSummary) -> ListedFormula:
    facts = say(
        "{pieces} of {mass}; water {hydration}; {prefermented} of the flour prefermented",
        pieces=count(each.pieces, "piece"),
        mass=mass(each.piece_g),
        hydration=percent(each.hydration),
        prefermented=percent(each.prefermented),
    )
    if each.favourite:
        facts = say("A favourite. {facts}", facts=facts)
    if each.varies:
        facts = say("A variation of {parent}. {facts}", parent=each.varies, facts=facts)
    return ListedFormula(each.slug, each.name, facts)


def formula_page(
    sheet: FormulaSheet,
    typed: Mapping[str, str],
    errors: Mapping[str, str],
    frame: Frame,
    *,
    cost: str = "",
    kitchen: Kitchen | None = None,
    formula: Formula | None = None,
    past: Sequence[tuple[str, str, str]] = (),
    linked: Markup = NO_MARKUP,
    after: str = "",
) -> FormulaPage:
    """typed: the form's fields as they were typed, shown again beside their errors.

    cost: of one piece, in words. kitchen: whose vessels and scales may be chosen. formula: for its
    culture, its method and what was typed. after: its last revision.
    """
    summary = sheet.summary
    asked = bool(typed.get("volumes"))
    cups = _measured(sheet) if asked else {}
    return FormulaPage(
        frame=frame,
        slug=summary.slug,
        name=summary.name,
        pieces=typed.get("pieces", str(summary.pieces)),
        piece=typed.get("piece", f"{print_number(float(summary.piece_g), 1)}g"),
        wants=_wants(typed, errors, kitchen),
        errors=dict(errors),
        facts=(
            (say("Dough"), mass(sheet.total_g)),
            (say("Hydration"), percent(summary.hydration)),
            (say("Dough yield"), print_number(summary.dough_yield, 0)),
            (say("Flour prefermented"), percent(summary.prefermented, 1)),
            *(((say("A piece costs"), cost),) if cost else ()),
            *(((say("Culture"), formula.culture),) if formula and formula.culture else ()),
        ),
        stages=tuple((stage.name, _stage_facts(stage)) for stage in sheet.stages),
        cards=tuple(_card(sheet, i) for i in range(len(sheet.stages))),
        rows=tuple(_line(row, cups) for row in sheet.rows),
        totals=SheetLine(
            say("Total"),
            _percent(sheet.total_percent),
            _grams(sheet.total_g),
            tuple(_grams(stage.total_g) for stage in sheet.stages),
        ),
        notes=_notes(sheet, typed, cups),
        cautions=sheet.cautions,
        volumes="yes" if asked else "",
        others=() if formula is None else others(formula),
        past=tuple(past),
        method=() if formula is None else tuple((it.title, it.text) for it in worked(formula)),
        typed=() if formula is None else tuple(_typed(each) for each in formula.typed if each.line),
        linked=linked,
        varies=_varies(summary),
        favourite=summary.favourite,
        after=after,
    )


def _typed(line: TypedLine) -> tuple[str, str]:
    return line.line, upper_first(taken_label(line.taken)) if line.taken else say("left out")


def _varies(summary: FormulaSummary) -> str:
    if not summary.varies:
        return ""
    said = say("A variation of {parent}.", parent=summary.varies)
    return f"{said} {summary.because}".rstrip()


def _wants(
    typed: Mapping[str, str], errors: Mapping[str, str], kitchen: Kitchen | None
) -> tuple[Field, ...]:
    scales = [] if kitchen is None else sorted({each.step_g for each in kitchen.scales})[:-1]
    fine = tuple(
        Choice(str(float(step)), say("in {step:g} g", step=float(step))) for step in scales
    )
    words = {
        "people": (say("People"), say("{grams} g of bread each", grams=FOR_ONE_G)),
        "tin": (say("Tin"), say("litres; a piece fills it when it has proofed")),
        "baked": (say("Baked mass"), say("out of the oven, such as 800g")),
        "oven-loss": (say("Loss in the oven"), say("12 % if left empty")),
        "bowl-loss": (say("Loss to the bowl"), say("such as 1 %")),
        "flour-on-hand": (say("Flour available"), say("5kg, or rye-whole:2kg, wheat-white:4kg")),
        "levain-on-hand": (
            say("Levain available"),
            say("ripe, such as 300g"),
        ),
        "levain-hydration": (say("Its water"), say("% of its flour, if other than this one's")),
        "levain-flour": (say("Its flour"), say("if other, such as rye-whole 60, wheat-white 40")),
        "levain-age": (say("Its age"), say("hours since it was mixed")),
        "discard": (say("Discard to use up"), say("such as 150g; part of the flour and water")),
        "discard-hydration": (
            say("Water of the discard"),
            say("% of its flour, if not the levain's"),
        ),
        "vessel": (say("Vessel"), say("litres, such as 12l")),
        "rise": (say("It rises to"), say("the most of the bulk if left empty")),
        "loads": (say("Loads of the oven"), say("a number")),
        "fine-step": (say("Second scale"), say("for small amounts")),
    }
    return tuple(
        Field(
            name, label, typed.get(name, ""), "select" if name == "fine-step" and fine else "text",
            (Choice("", "–"), *fine) if name == "fine-step" and fine else (), hint,
            errors.get(name, ""),
        )
        for name, (label, hint) in words.items()
    )  # fmt: skip


def _stage_facts(stage: StageColumn) -> str:
    """ "levain, hydration 60 %, seed 20 %, 25 °C, Boiler cupboard"."""
    traits = [say(stage.kind.value)] if stage.kind is not StageKind.DOUGH else []
    if stage.hydration:
        traits.append(say("hydration {share}", share=percent(stage.hydration)))
    if stage.seed is not None:
        traits.append(say("seed {share}", share=percent(stage.seed)))
    if stage.temperature is not None:
        traits.append(warmth(stage.temperature.celsius))
    if stage.place is not None:
        traits.append(stage.place)
    return ", ".join(traits)


def _card(sheet: FormulaSheet, i: int) -> StageCard:
    stage = sheet.stages[i]
    rows = ((_name(row), row.in_stage[i]) for row in sheet.rows)
    return StageCard(
        stage.name,
        _stage_facts(stage),
        tuple((name, _grams(grams)) for name, grams in rows if grams is not None),
        _grams(stage.total_g),
    )


def _measured(sheet: FormulaSheet) -> dict[str, MeasuredRow]:
    grams = {row.ingredient: row.total_g for row in sheet.rows if row.total_g and row.ingredient}
    return {row.name: row for row in measured(grams)}


def _notes(
    sheet: FormulaSheet, typed: Mapping[str, str], cups: Mapping[str, MeasuredRow]
) -> tuple[str, ...]:
    """What rounding did, what is too little to weigh, and how good the measures are."""
    step, drift = f"{float(sheet.step_g):g}", float(sheet.drift_g)
    made = say("rounding adds nothing")
    if drift:
        made = say("rounding makes it {drift} g", drift=written(f"{drift:+.2f}"))
    if fine := typed.get("fine-step"):
        weighed = say(
            "Weighed in {step} g, small amounts in {fine} g: {made}.",
            step=step, fine=fine, made=made,
        )  # fmt: skip
    else:
        weighed = say("Weighed in {step} g: {made}.", step=step, made=made)
    notes = [weighed, *(f"{upper_first(each)}." for each in sheet.lost)]
    notes += sheet.flours
    if cups:
        notes.append(say(TRUTH))
        sources = dict.fromkeys(row.source for row in cups.values() if row.source)
        notes += [say("Density: {source}.", source=each) for each in sources]
    return tuple(notes)


def _line(row: SheetRow, cups: Mapping[str, MeasuredRow]) -> SheetLine:
    found = cups.get(row.ingredient)
    measure = ""
    if found is not None:
        measure = found.measure or say("weigh it")
        if found.measure and found.off:
            most = f"{print_number(found.off, 0)}{FIXED}%"
            measure = say("{measure}, off by {most} at most", measure=measure, most=most)
    return SheetLine(
        _name(row),
        _percent(row.percent),
        _grams(row.total_g),
        tuple(_grams(grams) for grams in row.in_stage),
        measure,
    )


def _name(row: SheetRow) -> str:
    """An ingredient by its label; a stage by its own name."""
    return say(row.name) if row.ingredient else row.name


def _percent(value: Fraction | None) -> str:
    return NOTHING if value is None else _number(value, 1 if value < 100 else 0)


def _grams(value: Fraction | None) -> str:
    return NOTHING if value is None else _number(value, 1)


def _number(value: Fraction, places: int) -> str:
    return written(print_number(float(value), places))
