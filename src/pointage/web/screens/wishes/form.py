"""The form of wishes: rows that are added and removed without a script, read as a file's are."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta

from pointage.desk.week.desk import TypedWish
from pointage.desk.week.file import MOST_WISHES
from pointage.errors import InputError
from pointage.language import mark, say
from pointage.web.forms.faults import under_field
from pointage.web.forms.field import Choice
from pointage.web.forms.form import Asked, Form
from pointage.web.screens.wishes.page import WishesPage, WishRowForm
from pointage.web.visit import Visit

STAGES = (
    Choice("baked", mark("baked")),
    Choice("shaped", mark("shaped")),
    Choice("bulk", mark("dough at the end of its bulk")),
    Choice("mixed", mark("dough just mixed")),
    Choice("ripe", mark("ripe levain")),
)
WHENS = (
    Choice("ready", mark("by this time")),
    Choice("between", mark("at any time until the second")),
    Choice("earliest", mark("as early as can be, from now")),
)
FIRM = (Choice("yes", mark("yes")), Choice("no", mark("no, it may be late or left out")))
MORE = frozenset({"culture", "grams", "stage", "when", "until_day", "until", "firm"})
USUAL = {"stage": "baked", "when": "ready", "firm": "yes"}
BREAKFAST = "09:00"
FIRST_ROWS = 2


def row_form(visit: Visit) -> Form:
    """The fields of one wish."""
    formulas = [each for each in visit.desk.formulas() if not each.put_away]
    names = tuple(Choice(each.slug, each.name) for each in formulas)
    own = Choice("", say("the formula’s"))
    cultures = (own, *(Choice(each.name, each.name) for each in visit.kitchen.cultures))
    return Form((
        Asked("formula", mark("Formula"), choices=names),
        Asked("pieces", mark("Pieces"), mark("if other than its own"), kind="numeric",
              needed=False),
        Asked("day", mark("Day"), kind="date", needed=False),
        Asked("clock", mark("Time"), kind="time", needed=False),
        Asked("when", mark("When"), choices=WHENS, ours=True),
        Asked("until_day", mark("Second day"), kind="date", needed=False),
        Asked("until", mark("Second time"), kind="time", needed=False),
        Asked("stage", mark("As"), choices=STAGES, ours=True),
        Asked("grams", mark("Grams"), mark("instead of pieces"), kind="decimal", needed=False),
        Asked("culture", mark("Culture"), choices=cultures, needed=False),
        Asked("firm", mark("Must be kept"), choices=FIRM, ours=True),
    ))  # fmt: skip


def rows_of(typed: Mapping[str, str]) -> list[dict[str, str]]:
    """The rows that were typed, in order: the fields of each by their own names."""
    found: list[dict[str, str]] = []
    for number in range(1, MOST_WISHES + 1):
        start = f"wish-{number}-"
        row = {k.removeprefix(start): v for k, v in typed.items() if k.startswith(start)}
        if row:
            found.append(row)
    return found


def typed_of(rows: list[dict[str, str]]) -> dict[str, str]:
    """The same as fields of one form."""
    return {
        f"wish-{number}-{name}": text
        for number, row in enumerate(rows, start=1)
        for name, text in row.items()
    }


def blank_row(visit: Visit, number: int) -> dict[str, str]:
    """A first guess: the next formula, in two mornings."""
    formulas = [each for each in visit.desk.formulas() if not each.put_away]
    day = visit.clock.local(visit.now + timedelta(days=2)).date().isoformat()
    slug = formulas[number % len(formulas)].slug if formulas else ""
    return {"formula": slug, "day": day, "clock": BREAKFAST, **USUAL}


def wish_of(row: Mapping[str, str]) -> TypedWish:
    """A row as a [[wish]] of a file."""
    text = {name: value.strip() for name, value in row.items()}
    wish: dict[str, str | list[str] | bool] = {
        name: text.get(name, "") for name in ("formula", "culture", "pieces", "grams")
    }
    wish["stage"] = text.get("stage") or "baked"
    at = f"{text.get('day', '')}T{text.get('clock', '')}"
    match text.get("when"):
        case "between":
            second = text.get("until_day") or text.get("day", "")
            wish["between"] = [at, f"{second}T{text.get('until', '')}"]
        case "earliest":
            wish["earliest"] = "true"
        case _:
            wish["ready"] = at
    wish["firm"] = text.get("firm") != "no"
    return wish


_FIELD = {"ready": "clock", "between": "until", "earliest": "when", "piece": "pieces"}


def wishes_page(
    visit: Visit, rows: list[dict[str, str]], error: InputError | None = None, above: str = ""
) -> WishesPage:
    """The form with what was typed, each fault in its row; what is of no field above them."""
    form = row_form(visit)
    errors: list[dict[str, str]] = [{} for _ in rows]
    lines = [above] if above else []
    for fault in () if error is None else error.faults:
        path = fault.path
        at = path[1] if len(path) > 1 and isinstance(path[1], int) else -1
        name = str(path[2]) if len(path) > 2 else ""
        name = _FIELD.get(name, name)
        if 0 <= at < len(rows) and name in form:
            errors[at].setdefault(name, under_field(fault))
        elif 0 <= at < len(rows):
            errors[at].setdefault("formula", under_field(fault))
        else:
            lines.append(str(fault))
    shown = []
    for number, (row, wrong) in enumerate(zip(rows, errors, strict=True), start=1):
        fields = form.row(f"wish-{number}").shown(
            typed_of_row(number, row), {f"wish-{number}-{k}": v for k, v in wrong.items()}
        )
        names = [each.name.rpartition("-")[2] for each in fields]
        pairs = list(zip(names, fields, strict=True))
        opened = any(
            row.get(name, "") not in ("", USUAL.get(name, "")) or name in wrong for name in MORE
        )
        shown.append(
            WishRowForm(
                number,
                tuple(each for name, each in pairs if name not in MORE),
                tuple(each for name, each in pairs if name in MORE),
                opened,
            )
        )
    none = not any(not each.put_away for each in visit.desk.formulas())
    return WishesPage(visit.frame("week"), tuple(shown), "\n".join(lines), none)


def typed_of_row(number: int, row: Mapping[str, str]) -> dict[str, str]:
    return {f"wish-{number}-{name}": text for name, text in row.items()}
