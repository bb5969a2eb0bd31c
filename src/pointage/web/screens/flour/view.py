"""The sums of the flour page as words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from pointage.desk.calculators.flour import BlendAnswer, Converted
from pointage.formula.flour.types import FlourType
from pointage.language import say, written
from pointage.quantities import print_number
from pointage.shown import FIXED
from pointage.web.forms.field import Field
from pointage.web.frame import Frame
from pointage.web.screens.flour.forms import BASIS, BLEND, TYPES
from pointage.web.screens.flour.page import FlourPage, TypeLine

FORMS = (BLEND, BASIS, TYPES)


def flour_page(
    typed: Mapping[str, str],
    errors: Mapping[str, str],
    frame: Frame,
    *,
    blended: BlendAnswer | None = None,
    converted: Converted | None = None,
    types: Sequence[FlourType] = (),
) -> FlourPage:
    """An answer is None, or empty, where its form was not sent or cannot be used."""
    return FlourPage(
        frame=frame,
        fields={it.name: _read(it) for form in FORMS for it in form.shown(typed, errors)},
        beyond=errors.get("blend", ""),
        blended=() if blended is None else _blend(blended),
        blend_types=() if blended is None else _lines(blended.types),
        converted="" if converted is None else _converted(converted),
        types=_lines(types),
    )


def _read(field: Field) -> Field:
    """The field with its choices in the language of the reader."""
    choices = tuple(replace(each, text=say(each.text)) for each in field.choices)
    return replace(field, choices=choices)


def _blend(answer: BlendAnswer) -> tuple[tuple[str, str], ...]:
    found = answer.blend
    lines = [
        (say("Moisture"), _figure(found.moisture, 1, "%")),
        (say("Ash, dry"), _figure(found.ash_dry, 2, "%")),
        (say("Protein, dry"), _figure(found.protein_dry, 1, "%")),
        (say("Falling number"), _figure(found.falling_s, 0, "s")),
    ]
    if answer.share_one is not None:
        lines.insert(0, (say("First flour"), _figure(answer.share_one, 1, "%")))
    return tuple(lines)


def _figure(value: float | None, digits: int, unit: str) -> str:
    if value is None:
        return say("not known")
    return f"{written(print_number(value, digits))}{FIXED}{unit}"


def _converted(found: Converted) -> str:
    figure = print_number(found.value, 2)
    if not found.moisture:
        return say("{figure}\u00a0% of dry matter", figure=figure)
    moisture = print_number(found.moisture)
    return say("{figure}\u00a0% at {moisture} % moisture", figure=figure, moisture=moisture)


def _lines(types: Sequence[FlourType]) -> tuple[TypeLine, ...]:
    return tuple(TypeLine(say(each.country), each.name, _ash(each)) for each in types)


def _ash(each: FlourType) -> str:
    if each.least is None:
        return say("ash up to {most:.2f} %", most=each.most)
    if each.most is None:
        return say("ash from {least:.2f} %", least=each.least)
    return say("ash {least:.2f} to {most:.2f} %", least=each.least, most=each.most)
