"""A label as a page."""

from __future__ import annotations

from collections.abc import Mapping

from pointage.desk.formulas.label import LabelAnswer
from pointage.errors import InputError
from pointage.language import mark, say
from pointage.quantities import print_number
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form
from pointage.web.frame import Frame
from pointage.web.screens.label.page import LabelPage, ListedPart, PanelLine
from pointage.web.words.words import mass, percent

FORM = Form((
    Asked("style", mark("By the rules of"),
          choices=(Choice("us", mark("United States")), Choice("eu", mark("European Union"))),
          ours=True),
    Asked("serving", mark("Serving")),
    Asked("loss", mark("Loss in the oven")),
    Asked("may-contain", mark("May contain"), mark("such as nuts")),
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
    loss = percent(float(label.loss))
    if not label.loss_given:
        loss = say("{loss}, as usual", loss=loss)
    return LabelPage(
        frame=frame,
        slug=label.slug,
        name=label.name,
        facts=(
            (say("A baked piece"), mass(label.bread_g)),
            (say("Of dough"), mass(label.piece_g)),
            (say("Lost in the oven"), loss),
            (say("Servings in a piece"), say("about {servings}", servings=label.servings)),
        ),
        fields=fields,
        error=above,
        portion_head=mass(label.serving_g),
        with_daily=any(row.share is not None for row in label.panel),
        panel=tuple(
            PanelLine(
                say(row.line.name), row.line.part, row.per_100_g, row.per_serving, row.share or ""
            )
            for row in label.panel
        ),
        ingredients=tuple(
            ListedPart(say(each.label), bool(each.allergens), say(each.source))
            for each in label.listed
        ),
        contains=", ".join(map(say, label.contains)) or say("no allergen that must be named"),
        may_contain=", ".join(map(say, label.may_contain)),
        cautions=label.cautions,
    )
