"""Two texts of one document beside each other, each as the lines in which they differ."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import SequenceMatcher

from pointage.web.frame import Side

NEAR = 2
"""Lines that are the same, shown around each difference."""
LEFT_OUT = "…"


def both(now: Sequence[str], mine: Sequence[str], titles: tuple[str, str]) -> tuple[Side, Side]:
    """What stands now and what was typed, a mark where equal lines are left out."""
    left: list[tuple[str, bool]] = []
    right: list[tuple[str, bool]] = []
    shown = 0, 0
    for group in SequenceMatcher(None, now, mine, autojunk=False).get_grouped_opcodes(NEAR):
        for what, i, i_end, j, j_end in group:
            _go_on(left, now[i:i_end], what != "equal", i > shown[0])
            _go_on(right, mine[j:j_end], what != "equal", j > shown[1])
            shown = i_end, j_end
    _go_on(left, (), False, len(now) > shown[0])
    _go_on(right, (), False, len(mine) > shown[1])
    return Side(titles[0], tuple(left)), Side(titles[1], tuple(right))


def _go_on(
    side: list[tuple[str, bool]], lines: Sequence[str], differ: bool, after_some: bool
) -> None:
    if after_some:
        side.append((LEFT_OUT, False))
    side += [(line, differ) for line in lines]
