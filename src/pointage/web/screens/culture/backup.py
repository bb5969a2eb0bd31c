"""A backup of a culture: a spoonful dried or frozen, under a name of its own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pointage.bounds import WEIGHED_G
from pointage.culture.life import Life
from pointage.errors import InputError
from pointage.language import mark, say
from pointage.shown import warmth
from pointage.web.forms.field import Choice
from pointage.web.forms.form import NOTHING, Asked, Form
from pointage.web.screens.culture.names import free_name
from pointage.web.screens.culture.page import RecordForm
from pointage.web.visit import Visit

DRIED_BELOW_C = 30.0  # common practice, no source
SPOONFUL_G = "20"
HOW = {
    "drying": mark("dry it on baking paper: it lasts a year"),
    "frozen": mark("freeze it: it lasts three months"),
}
CAUTION = mark(
    "Dry it thinly spread, in moving air below {warmest}; in the freezer leave room in the bag "
    "(common practice, no source)."
)


def backup_form(
    visit: Visit, life: Life, given: Mapping[str, str] = NOTHING, wrong: InputError | None = None
) -> tuple[RecordForm, str]:
    """Folded, among what can be recorded of a culture; and the lines for what is of no field."""
    fields, above = form_of_backup(visit, life).fields(given, wrong)
    form = RecordForm(
        f"/cultures/{life.name}/backup", say("Make a backup"), say("Save"), fields,
        bool(wrong), say(CAUTION, warmest=warmth(DRIED_BELOW_C)),
    )  # fmt: skip
    return form, above


def form_of_backup(visit: Visit, life: Life, entry: str = "") -> Form:
    """entry: which may have given the name already."""

    def name(text: str, field: str) -> str:
        return text if visit.desk.records.has(entry) else free_name(visit, text, field)

    def how(text: str, field: str) -> str:
        if text not in HOW:
            raise InputError(field, repr(text), say("one of the choices"))
        return text

    taken: dict[str, Any] = {each.casefold(): 1 for it in visit.desk.lives() for each in it.names}
    usual = say("{name} backup", name=life.name)
    numbers = (f"{usual} {number}" for number in range(2, 1000))
    usual = usual if usual.casefold() not in taken else next(
        (each for each in numbers if each.casefold() not in taken), usual
    )  # fmt: skip
    choices = tuple(Choice(key, say(words)) for key, words in HOW.items())
    return Form((
        Asked("how", say("How"), "", how, choices=choices, usual="drying"),
        Asked("grams", say("How much of it"), say("grams"), WEIGHED_G.read, "decimal",
              usual=SPOONFUL_G),
        Asked("new_name", say("What the backup is called"), "", name, usual=usual),
    ))  # fmt: skip
