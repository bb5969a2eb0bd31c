"""Revisions, two formulas side by side, and what if, as pages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from urllib.parse import urlencode

from pointage.daybook.entry import FormulaRecord
from pointage.desk.formulas.book import can_be_read, formula_of, unread
from pointage.desk.formulas.draft import packed
from pointage.desk.formulas.what_if import Changed, WhatIf
from pointage.errors import InputError
from pointage.formula.compare import Comparison, PercentChange, compare
from pointage.formula.file.figures import number
from pointage.formula.formula import Formula
from pointage.formula.ingredients import ingredient, split
from pointage.formula.names import find_ingredient
from pointage.language import mark, say, say_many
from pointage.quantities import parse_duration, parse_percent
from pointage.shown import dated_text, day_name
from pointage.web.forms.faults import under_field
from pointage.web.forms.field import Choice, Field
from pointage.web.forms.form import Asked, Form
from pointage.web.frame import Frame, Moment
from pointage.web.screens.culture.page import Table
from pointage.web.screens.formula_book.page import (
    RevisionLine,
    RevisionsPage,
    SideBySidePage,
    WhatIfPage,
    WishForm,
)
from pointage.web.screens.formula_edit.outcomes import amount, changed, outcomes
from pointage.web.words.asked import flour_choices
from pointage.web.words.clock import Clock

MOST_NAMED = 4
MARKED = {
    "removed": (mark("Removed."), mark("Brought back.")),
    "put_away": (mark("Put away."), mark("Brought back.")),
    "favourite": (mark("A favourite."), mark("No longer a favourite.")),
}
"""What a mark on a formula, and its going, is called among its revisions."""
TITLES = {
    WhatIf.FLOUR: mark("Swap the flour"),
    WhatIf.YIELD: mark("Another dough yield"),
    WhatIf.SALT: mark("More or less salt"),
    WhatIf.LEVAIN: mark("A levain of another hydration"),
    WhatIf.RIPE: mark("Another ripening time"),
}


def revisions_page(records: Sequence[FormulaRecord], clock: Clock, frame: Frame) -> RevisionsPage:
    """records: the first first."""
    slug = records[-1].slug
    lines = []
    for i, record in enumerate(records):
        before = records[i - 1] if i else None
        lines.append(_revision(record, before, clock))
    name = next((formula_of(each).name for each in reversed(records) if can_be_read(each)), slug)
    last = records[-1]
    book = RevisionsPage(frame, slug, name, tuple(reversed(lines)))
    if not can_be_read(last):
        return book
    now = formula_of(last)
    return replace(book, put_away=now.put_away, removed=now.removed)


def hanging(under_way: int, baked: int, varied: Sequence[str]) -> tuple[str, ...]:
    """What hangs on a formula, and what becomes of it when the formula is removed."""
    lines = []
    if under_way:
        lines.append(
            say_many(
                "{n} bake is under way and goes on as it is planned.",
                "{n} bakes are under way and go on as they are planned.",
                under_way,
            )
        )
    if baked:
        lines.append(
            say_many(
                "{n} bake in the daybook keeps the revision it was planned from.",
                "{n} bakes in the daybook keep the revision they were planned from.",
                baked,
            )
        )
    if varied:
        lines.append(say("Variations stay: {names}.", names=", ".join(varied)))
    return tuple(lines)


def _what(record: FormulaRecord, before: FormulaRecord | None) -> str:
    """What a revision changed, or why it cannot be read."""
    if reason := unread(record):
        return say("Set aside: {reason}.", reason=reason)
    if before is None:
        return say("The first.")
    if not can_be_read(before):
        return say("The one before cannot be read.")
    was, now = formula_of(before), formula_of(record)
    for mark_of, words in MARKED.items():
        before_it, is_so = getattr(was, mark_of), getattr(now, mark_of)
        if before_it != is_so:
            return say(words[not is_so])
    return _summary(was, now)


def _revision(record: FormulaRecord, before: FormulaRecord | None, clock: Clock) -> RevisionLine:
    at = f"/formulas/{record.slug}"
    number = record.revision
    both = before is not None and can_be_read(before) and can_be_read(record)
    query = urlencode({"a": f"{record.slug}@{number - 1}", "b": f"{record.slug}@{number}"})
    return RevisionLine(
        str(number),
        None if record.kept is None else _kept(record.kept, clock),
        _what(record, before),
        f"{at}/edit?revision={number}"
        if can_be_read(record)
        else f"/formulas/import?for={record.slug}",
        f"{at}.toml?revision={number}",
        f"/formulas/compare?{query}" if both else "",
    )


def _kept(at: datetime, clock: Clock) -> Moment:
    """With its year, for a book is old one day."""
    day = clock.local(at).date()
    text = say(
        "{weekday} {date}, {time}",
        weekday=day_name(day), date=dated_text(day), time=clock.time(at),
    )  # fmt: skip
    return replace(clock.moment(at), text=text)


def _summary(before: Formula, after: Formula) -> str:
    """What changed in a line: "water 72 to 74, salt 2 to 2.2"."""
    found = compare(before, after)
    changes = [each for each in found.total if each.difference]
    changes = changes or list(found.stages)
    words = [_change(each) for each in changes[:MOST_NAMED]]
    if len(changes) > MOST_NAMED:
        words.append(say("and more"))
    if words:
        return f"{', '.join(words)}."
    other = [say(each.name) for each in found.consequences if each.is_changed]
    return (
        say("Another {other}.", other=", ".join(other))
        if other
        else say("Notes, pieces or process.")
    )


def _change(change: PercentChange) -> str:
    """ "Water 72 to 74", "Salt in the dough 2 to 2.2"."""
    name = say(ingredient(change.name).label)
    if change.stage:
        name = say("{name} in the {stage}", name=name, stage=change.stage)
    before, after = amount(change.before), amount(change.after)
    return say("{name} {before} to {after}", name=name, before=before, after=after)


def side_by_side_page(
    asked: tuple[str, str],
    errors: Mapping[str, str],
    choices: Sequence[tuple[str, str]],
    found: Comparison | None,
    frame: Frame,
) -> SideBySidePage:
    """asked: two of the choices, each "slug@revision" with its words."""
    labels = say("This one"), say("with")
    options = (Choice("", "–"), *(Choice(*each) for each in choices))
    sides = tuple(
        Field(name, label, value, "select", options, "", errors.get(name, ""))
        for name, label, value in zip("ab", labels, asked, strict=True)
    )
    (slug, _, number), (other, _, _) = (each.partition("@") for each in asked)
    tables = [] if found is None else [_whole(found.total)]
    if found is not None and found.stages:
        tables.append(changed(found.stages, say("What each stage adds")))
    if found is None:
        title = say("Compare two")
    elif slug == other:
        title = found.after
    else:
        title = say("{before} and {after}", before=found.before, after=found.after)
    return SideBySidePage(
        frame,
        title,
        sides,
        () if found is None else outcomes(found.consequences),
        tuple(tables),
        f"/formulas/{slug}/edit?revision={number}" if found and slug == other and number else "",
        say("They are the same.") if found is not None and found.is_same else "",
    )  # fmt: skip


def _whole(total: Sequence[PercentChange]) -> Table:
    rows = tuple(
        (
            ingredient(each.name).label,
            amount(each.before),
            amount(each.after),
            f"{float(each.difference):+.2f}" if each.difference else "",
        )
        for each in total
    )
    return Table(
        say("The total, in percent of all flour"), ("", say("this"), say("that"), say("more")), rows
    )


def what_if_page(
    formula: Formula,
    slug: str,
    after: int,
    frame: Frame,
    *,
    wish: WhatIf | None = None,
    typed: Mapping[str, str] | None = None,
    error: InputError | None = None,
    answer: Changed | None = None,
    found: Comparison | None = None,
) -> WhatIfPage:
    """found: the formula beside the answer."""
    typed = typed or {}
    changes = {each.field: under_field(each) for each in error.faults} if error else {}
    take = ""
    if answer is not None:
        query = {"draft": packed(answer.formula), "after": after}
        take = f"/formulas/{slug}/edit?{urlencode(query)}"
    return WhatIfPage(
        frame=frame,
        slug=slug,
        name=formula.name,
        draft=packed(formula),
        after=str(after),
        wishes=tuple(
            WishForm(each.value, say(TITLES[each]), form.shown(typed, changes), each is wish)
            for each, form in wish_forms(formula).items()
        ),
        error=changes.get("wish", ""),
        outcomes=() if found is None else outcomes(found.consequences),
        changed=None
        if found is None
        else changed((*found.total, *found.stages), say("Changed, in percent of all flour")),
        notes=() if answer is None else answer.notes,
        take=take,
    )


def wish_forms(formula: Formula) -> dict[WhatIf, Form]:
    """What may be asked of a formula, each by its form."""
    mine = tuple(
        Choice(name, say(ingredient(name).label)) for name in formula.total if split(name).flour
    )
    flours = flour_choices()
    keep = Choice("", mark("is adjusted")), Choice("yes", mark("stays"))
    own = {
        WhatIf.FLOUR: (
            Asked("old", mark("Replace"), read=_ingredient, choices=mine),
            Asked(
                "share",
                mark("how much"),
                mark("all of it if left empty, such as 50 %"),
                parse_percent,
                needed=False,
            ),
            Asked("new", mark("with"), read=_ingredient, choices=flours),
            Asked("keep", mark("The water"), choices=keep, needed=False, ours=True),
        ),
        WhatIf.YIELD: (
            _percent(
                "yield", mark("Dough yield"), mark("flour and water for 100 of flour, such as 172")
            ),
        ),
        WhatIf.SALT: (_percent("salt", mark("Salt"), mark("percent of the flour, such as 2")),),
    }
    if formula.levains:
        levains = tuple(Choice(each.name, each.name) for each in formula.levains)
        hydration = _percent(
            "hydration", mark("Hydration"), mark("percent of its flour, such as 60")
        )
        own[WhatIf.LEVAIN] = (Asked("stage", mark("Levain"), choices=levains), hydration)
        own[WhatIf.RIPE] = (
            Asked("hours", mark("Ripe after"), mark("such as 8h; the seed is calculated"), _hours),
        )
    return {wish: Form(asked) for wish, asked in own.items()}


def _percent(name: str, label: str, what: str) -> Asked:
    return Asked(name, label, what, lambda text, field: number(text, field, say(what)))


def _ingredient(text: str, field: str) -> str:
    return find_ingredient(text, field).name


def _hours(text: str, field: str) -> float:
    return parse_duration(text, field).total_seconds() / 3600
