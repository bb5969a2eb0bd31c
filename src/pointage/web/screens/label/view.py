"""A label as a page."""

from __future__ import annotations

from collections.abc import Mapping

from pointage.desk.formulas.label import LabelAnswer
from pointage.errors import InputError
from pointage.quantities import print_number
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form
from pointage.web.frame import Frame
from pointage.web.screens.label.page import LabelPage, ListedPart, PanelLine
from pointage.web.words.words import mass, percent

FORM = Form((
    Asked("style", "By the rules of",
          choices=(Choice("us", "United States"), Choice("eu", "European Union"))),
    Asked("serving", "Serving"),
    Asked("loss", "Loss in the oven"),
    Asked("may-contain", "May contain", "such as nuts"),
))  # fmt: skip


def label_page(
    label: LabelAnswer, typed: Mapping[str, str], error: InputError | None, frame: Frame
) -> LabelPage:
    """typed: the form's fields as they were typed, shown again beside their errors."""
    shown = {
        "style": label.style.value,
        "serving": f"{print_number(float(label.serving_g))}g",
        "loss": f"{print_number(float(100 * label.loss))}%",
    }
    fields, above = FORM.fields(shown | dict(typed), error)
    usual = "" if label.loss_given else ", as usual"
    return LabelPage(
        frame=frame,
        slug=label.slug,
        name=label.name,
        facts=(
            ("A baked piece", mass(label.bread_g)),
            ("Of dough", mass(label.piece_g)),
            ("Lost in the oven", percent(float(label.loss)) + usual),
            ("Servings in a piece", f"about {label.servings}"),
        ),
        fields=fields,
        error=above,
        portion_head=mass(label.serving_g),
        with_daily=any(row.share is not None for row in label.panel),
        panel=tuple(
            PanelLine(row.line.name, row.line.part, row.per_100_g, row.per_serving, row.share or "")
            for row in label.panel
        ),
        ingredients=tuple(
            ListedPart(each.label, bool(each.allergens), each.source) for each in label.listed
        ),
        contains=", ".join(label.contains) or "no allergen that must be named",
        may_contain=", ".join(label.may_contain),
        cautions=label.cautions,
    )
