"""The sums of the flour page as words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pointage.desk.calculators.flour import BlendAnswer, Converted
from pointage.formula.flour.types import FlourType
from pointage.quantities import print_number
from pointage.shown import FIXED
from pointage.web.frame import Frame
from pointage.web.screens.flour.forms import BASIS, BLEND, TYPES
from pointage.web.screens.flour.page import FlourPage, TypeLine

UNKNOWN = "not known"
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
        fields={it.name: it for form in FORMS for it in form.shown(typed, errors)},
        beyond=errors.get("blend", ""),
        blended=() if blended is None else _blend(blended),
        blend_types=() if blended is None else _lines(blended.types),
        converted="" if converted is None else _converted(converted),
        types=_lines(types),
    )


def _blend(answer: BlendAnswer) -> tuple[tuple[str, str], ...]:
    found = answer.blend
    lines = [
        ("Moisture", _figure(found.moisture, 1, "%")),
        ("Ash, dry", _figure(found.ash_dry, 2, "%")),
        ("Protein, dry", _figure(found.protein_dry, 1, "%")),
        ("Falling number", _figure(found.falling_s, 0, "s")),
    ]
    if answer.share_one is not None:
        lines.insert(0, ("First flour", _figure(answer.share_one, 1, "%")))
    return tuple(lines)


def _figure(value: float | None, digits: int, unit: str) -> str:
    return UNKNOWN if value is None else f"{print_number(value, digits)}{FIXED}{unit}"


def _converted(found: Converted) -> str:
    at = "of dry matter" if not found.moisture else f"at {print_number(found.moisture)} % moisture"
    return f"{print_number(found.value, 3)}{FIXED}% {at}"


def _lines(types: Sequence[FlourType]) -> tuple[TypeLine, ...]:
    return tuple(TypeLine(each.country, each.name, _ash(each)) for each in types)


def _ash(each: FlourType) -> str:
    ends = [f"{end:.2f}" for end in (each.least, each.most) if end is not None]
    if each.least is None:
        return f"ash up to {ends[0]} %"
    return f"ash from {ends[0]} %" if each.most is None else f"ash {ends[0]} to {ends[1]} %"
