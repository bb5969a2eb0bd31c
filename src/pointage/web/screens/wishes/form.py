"""The form of wishes: rows that are added and removed without a script, read as a file's are."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
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
STEPS = (
    Choice("", mark("none")),
    Choice("feed", mark("feed the culture")),
    Choice("build", mark("build the levain")),
    Choice("mix", mark("mix the dough")),
    Choice("divide", mark("divide")),
    Choice("shape", mark("shape")),
    Choice("retard", mark("into the fridge")),
    Choice("preheat", mark("heat the oven")),
    Choice("bake", mark("bake")),
)
AT_A_TIME = ("step", "step_day", "step_clock")
MORE = frozenset({"culture", "grams", "stage", "when", "until_day", "until", "firm", *AT_A_TIME})
USUAL = {"stage": "baked", "when": "ready", "firm": "yes"}
LEANS = (
    Choice("usual", mark("as usual")),
    Choice("rather", mark("rather")),
    Choice("strongly", mark("strongly")),
)
LEAN = "lean-"
LEANED = {
    "early": mark("Early rather than late"),
    "night": mark("Less work in the hour next to sleep"),
    "waste": mark("Less culture thrown away"),
    "chores": mark("Fewer feeds"),
}
BREAKFAST = "09:00"
FIRST_ROWS = 2
NOTHING: Mapping[str, str] = {}


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
        Asked("step", mark("A step at its own time"), choices=STEPS, needed=False, ours=True),
        Asked("step_day", mark("Day of the step"), mark("if another"), kind="date", needed=False),
        Asked("step_clock", mark("Time of the step"), kind="time", needed=False),
    ))  # fmt: skip


def lean_form() -> Form:
    """What may be leaned to."""
    return Form(
        tuple(
            Asked(LEAN + name, label, choices=LEANS, usual="usual", ours=True)
            for name, label in LEANED.items()
        )
    )


def lean_of(typed: Mapping[str, str]) -> dict[str, str]:
    """What is leaned to, of what was typed, but for what is as usual."""
    leaned = {name: typed.get(LEAN + name, "usual") for name in LEANED}
    return {name: how for name, how in leaned.items() if how != "usual"}


def besides(typed: Mapping[str, str]) -> dict[str, str]:
    """What was typed that is of no row."""
    kept = besides_of(lean_of(typed).items())
    return kept | ({"awake": "1"} if "awake" in typed else {})


def besides_of(leaned: Iterable[tuple[str, str]]) -> dict[str, str]:
    """What is leaned to, as the fields of a form."""
    return {LEAN + name: how for name, how in leaned}


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
    wish: dict[str, str | list[str] | bool | dict[str, str]] = {
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
    if _has_second(row) and "between" not in wish:
        wish["between"] = []
    wish["firm"] = text.get("firm") != "no"
    if any(text.get(name) for name in AT_A_TIME):
        day = text.get("step_day") or text.get("day", "")
        wish["at"] = {text.get("step", ""): f"{day}T{text.get('step_clock', '')}"}
    return wish


def _has_second(row: Mapping[str, str]) -> bool:
    return any(row.get(name, "").strip() for name in ("until_day", "until"))


_FIELD = {"ready": "clock", "between": "until", "earliest": "when", "piece": "pieces"}


def wishes_page(
    visit: Visit,
    rows: list[dict[str, str]],
    error: InputError | None = None,
    above: str = "",
    typed: Mapping[str, str] = NOTHING,
) -> WishesPage:
    """The form with what was typed, each fault in its row; what is of no row above them.

    typed: in the form as a whole.
    """
    faults = () if error is None else error.faults
    lines = [above] if above else []
    leans = {LEAN + str(f.path[1]): under_field(f) for f in faults if f.path[:1] == ("lean",)}
    lines += [
        str(fault)
        for fault in faults
        if fault.path[:1] != ("lean",) and not 0 <= _row_of(fault) < len(rows)
    ]
    none = not any(not each.put_away for each in visit.desk.formulas())
    shown = row_forms(visit, rows, faults)
    return WishesPage(
        visit.frame("week"), shown, "\n".join(lines), none,
        lean=lean_form().shown(typed, leans), leans=bool(lean_of(typed)),
    )  # fmt: skip


def row_forms(
    visit: Visit, rows: list[dict[str, str]], faults: Sequence[InputError]
) -> tuple[WishRowForm, ...]:
    """Every row with what was typed, and what is wrong in it under its field."""
    form = row_form(visit)
    return tuple(
        _row_form(form, number, row, [each for each in faults if _row_of(each) == number])
        for number, row in enumerate(rows)
    )


def _row_of(fault: InputError) -> int:
    """The number of the row that it is in, -1 of none."""
    at = fault.path[1] if len(fault.path) > 1 else -1
    return at if isinstance(at, int) else -1


def _of_step(row: Mapping[str, str], fault: InputError, line: str) -> tuple[str, str]:
    """Under which field it stands what is wrong with a step at its own time, and how."""
    step = row.get("step", "").strip()
    if len(fault.path) > 3:
        return "step_clock", line
    if not step:
        return "step", say("Choose the step that this time is for, or empty it.")
    if step in {each.value for each in STEPS}:
        return "step", say("What is chosen under “As” is there before that step.")
    return "step", line


def _row_form(
    form: Form, at: int, row: Mapping[str, str], faults: Sequence[InputError]
) -> WishRowForm:
    start = f"wish-{at + 1}"
    wrong: dict[str, str] = {}
    for fault in faults:
        key = str(fault.path[2]) if len(fault.path) > 2 else ""
        name, line = _FIELD.get(key, key), under_field(fault)
        if key in ("ready", "between", "earliest") and row.get("when") != "between":
            if _has_second(row):
                name = "until"
                line = say("Only for “at any time until the second”: choose that, or empty this.")
        elif key == "at":
            name, line = _of_step(row, fault, line)
        elif name not in form:
            name = "formula"
            line = say("{field}: {fault}", field=key, fault=line) if key else line
        wrong.setdefault(name, line)
    fields = form.row(start).shown(
        {f"{start}-{name}": text for name, text in row.items()},
        {f"{start}-{name}": line for name, line in wrong.items()},
    )
    pairs = [(each.name.rpartition("-")[2], each) for each in fields]
    opened = any(row.get(name, "") not in ("", USUAL.get(name, "")) or name in wrong
                 for name in MORE)  # fmt: skip
    return WishRowForm(
        at + 1,
        tuple(each for name, each in pairs if name not in MORE),
        tuple(each for name, each in pairs if name in MORE),
        opened,
    )
