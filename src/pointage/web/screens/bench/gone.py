"""What went too far, beside the mixture that it is about."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from pointage.desk.answers import Bake
from pointage.desk.bakes.rescue import RECORDED, TooFar
from pointage.desk.now.bakes.so_far import standing
from pointage.desk.wording.outcome.rescue import (
    grounds,
    too_far_title,
    too_far_words,
    way_button,
    way_title,
    way_words,
)
from pointage.web.screens.bench.page import BenchPage, Gone, WayOut


def with_gone(
    page: BenchPage, bakes: dict[str, Bake], too_far: Callable[[Bake], TooFar | None]
) -> BenchPage:
    """The page with what can still be made of each mixture that went too far."""
    found = {}
    for bake in bakes.values():
        step, gone = standing(bake), too_far(bake)
        if step is not None and gone is not None:
            found[bake.key, step.key] = gone_words(gone)
    working = (replace(each, gone=found.get((each.bake, each.step))) for each in page.working)
    return replace(page, working=tuple(working))


def gone_words(found: TooFar) -> Gone:
    """What went too far, in words."""
    return Gone(
        too_far_title(found),
        too_far_words(found),
        tuple(
            WayOut(
                way_title(each),
                way_words(each),
                grounds(each),
                RECORDED.get(each.kind, ""),
                way_button(each) if each.kind in RECORDED else "",
            )
            for each in found.ways
        ),
    )
