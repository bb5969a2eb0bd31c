"""How a bake came out, as a page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from pointage.desk.answers import Bake
from pointage.desk.now.bakes.so_far import began
from pointage.desk.past.outcome import BakeOutcome
from pointage.desk.wording import odds_words
from pointage.desk.wording.outcome.why import (
    SIGNS,
    cause_title,
    evidence_words,
    next_change,
    practice,
    signs_words,
)
from pointage.errors import InputError
from pointage.language import say, written
from pointage.quantities import print_number
from pointage.timetable.plan import StepKind
from pointage.web.forms.faults import by_field
from pointage.web.forms.field import Choice
from pointage.web.frame import Frame
from pointage.web.screens.bench.page import BenchPage
from pointage.web.screens.bench.whole import baked_path
from pointage.web.screens.outcome.page import LikelyCause, OutcomePage, Ticked
from pointage.web.words import asked
from pointage.web.words.clock import Clock
from pointage.web.words.entries import MARKS
from pointage.web.words.words import upper_first

ASKED = ("crust", "crumb", "flavour", "sour", "keeping", "words")


def outcome_page(
    found: BakeOutcome,
    before: Bake | None,
    typed: Mapping[str, str],
    ticked: Sequence[str],
    error: InputError | None,
    *,
    clock: Clock,
    frame: Frame,
    varied: str = "",
    bench: BenchPage | None = None,
) -> OutcomePage:
    """bench: what is to do and what stands, of a bake in hand.

    before: the bake of the same formula to compare it with. varied: the change of the formula
    that answers the first cause."""
    bake = found.bake
    errors, above = by_field(error, ASKED)
    fields = asked.with_errors(asked.fields(ASKED), typed, errors)
    marks = [
        f"{say(name)} {written(print_number(found.marks[name]))}"
        for name in MARKS
        if name in found.marks
    ]
    seen = signs_words(each.value for each in found.signs)
    nothing = found.signs and not found.causes and not found.waits
    out = found.asked or bake.plan.ready <= clock.now or began(bake, StepKind.BAKE) is not None
    onward = []
    if before is not None:
        address = f"/daybook/compare?a={before.key}&b={bake.key}"
        onward.append(Choice(address, say("What changed since the bake before")))
    if bench is not None:
        onward.append(Choice(baked_path(bake.key), say("Record how it baked")))
        if not out:
            onward.append(Choice(f"/week/change/{bake.key}", say("Another time")))
    onward.append(Choice(f"/daybook?bake={bake.key}#lines", say("All entries about it")))
    return OutcomePage(
        frame=frame,
        title=bake.plan.formula,
        baked=say("Out of the oven {time}", time=clock.text(bake.plan.ready)),
        path=f"/daybook/bake/{bake.key}",
        key=bake.key,
        signs=tuple(
            Ticked(each.value, say(text), each.value in ticked) for each, text in SIGNS.items()
        ),
        fields=fields,
        error=above,
        said=upper_first("; ".join(filter(None, [*seen, ", ".join(marks)]))),
        causes=tuple(
            LikelyCause(
                cause_title(each.kind),
                odds_words(each.odds),
                evidence_words(each),
                next_change(each.kind),
                each.kind.value,
                varied if number == 0 else "",
            )
            for number, each in enumerate(found.causes)
        ),
        practice=tuple(practice(each) for each in sorted(found.signs)) if nothing else (),
        pending=say("What the record says of it is being calculated.") if found.waits else "",
        onward=tuple(onward),
        bench=bench,
        out=out,
    )
