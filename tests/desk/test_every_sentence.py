"""Every sentence of the desk's wording, in a made-up language: none is left behind in English."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import product
from zoneinfo import ZoneInfo

import pytest
from tests.made_up import made_up
from tests.web.test_made_up_language import SIGNS

from pointage.desk.jobs import OF_BAKES
from pointage.desk.wording import (
    conflict_name,
    conflict_words,
    difference_words,
    narrowed,
    odds_words,
    pour_label,
    remark_words,
    title,
)
from pointage.desk.wording.jobs import OF_NAMES, work_words
from pointage.desk.wording.pours import BatchNow, batch_words
from pointage.formula.ladder import Pour, PourKind, PourState
from pointage.language import language, speaking
from pointage.shown import DAYS, MONTHS
from pointage.timetable.changed import Difference, DifferenceKind, ShareChange
from pointage.timetable.plan import Conflict, Manner, Remark, Step, StepKind
from pointage.timetable.remark import Argument, ConflictName, RemarkCode, number

ZONE = ZoneInfo("Europe/Dublin")
AT = datetime(2026, 11, 28, 9, 0, tzinfo=UTC)
NAMES = ("culture", "place", "warm_place", "vessel", "larger", "then", "capacity")
NUMBERS = ("mass", "hours", "discard", "odds", "volume", "temperature", "reached", "rise", "core",
           "pieces", "loads", "needed", "free", "missing", "most")  # fmt: skip
INSTANTS = ("at", "moved", "ready", "possible", "since", "freed", "begin", "spells")
SOMEBODYS = "Ñ 1"  # a name, which nobody translates
WORD = re.compile(r"[A-Za-z]{3,}")


def left_in_english(text: str) -> list[str]:
    known = {*SIGNS, "rack", *DAYS, *MONTHS, *language().days, *language().months}
    return [word for word in WORD.findall(text) if word not in known]


def abouts() -> Iterator[dict[str, Argument]]:
    """All that a remark or a conflict may be about, and with what may be missing left out."""
    whole: dict[str, Argument] = dict.fromkeys(NAMES, SOMEBODYS)
    whole |= {name: number(2.5) for name in NUMBERS}
    whole |= dict.fromkeys(INSTANTS, AT)
    whole |= {"spells": (AT, AT), "work": StepKind.FOLD.value}
    yield whole
    for missing in (("hours",), ("then",), ("larger", "vessel"), ("freed",), ("work",)):
        yield {name: each for name, each in whole.items() if name not in missing}
    yield whole | {"place": "Ñ rack", "discard": number(0.0)}


def steps() -> Iterator[Step]:
    plain = Step("step", StepKind.MIX, AT, AT, True, SOMEBODYS, SOMEBODYS)
    for kind, manner, of in product(StepKind, Manner, (1, 2)):
        if manner is not Manner.PLAIN and kind in (StepKind.BULK, StepKind.PROOF):
            continue
        added = (SOMEBODYS,) * (of - 1)
        yield replace(plain, kind=kind, manner=manner, number=of, of=of, added=added)


def differences() -> Iterator[Difference]:
    later = (timedelta(hours=3), timedelta(hours=2))
    for kind, numbers, spans, retarded, sooner in product(
        DifferenceKind,
        ((2.0, 1.0), (1.0, 2.0)),
        (later, later[::-1]),
        product((True, False), (True, False)),
        (None, timedelta(0), timedelta(hours=1), timedelta(hours=-1)),
    ):
        yield Difference(
            kind,
            numbers,
            spans,
            (SOMEBODYS, f"{SOMEBODYS} 2"),
            retarded,
            (ShareChange("wheat-white", 60.0, 50.0), ShareChange(SOMEBODYS, 1.5, 2.5, True)),
            sooner,
        )


def said() -> Iterator[str]:
    for code, about in product(RemarkCode, abouts()):
        yield remark_words(Remark(code, about), ZONE)
    for name, about in product(ConflictName, abouts()):
        conflict = Conflict(name, about)
        yield from (conflict_name(conflict), *conflict_words(conflict, ZONE))
    yield from map(title, steps())
    yield from map(difference_words, differences())
    yield from (odds_words(share / 10) for share in range(11))
    yield narrowed(timedelta(hours=2), timedelta(hours=1))
    yield from (work_words(kind, SOMEBODYS) for kind in OF_NAMES)
    short = ((Pour(PourKind.CULTURE, SOMEBODYS, 1.0, state=PourState.RIPE), 2.0),)
    yield batch_words(BatchNow(1.0, in_all=True))
    yield batch_words(BatchNow(1.01, short=short))
    for state in PourState:
        yield pour_label(Pour(PourKind.INGREDIENT, "salt", 1.0, state=state))


def test_nothing_is_left_in_english() -> None:
    english = set(said())
    with speaking(made_up()):
        left = {text: words for text in said() if (words := left_in_english(text))}
    assert left == {}
    assert all(map(left_in_english, english - {""}))  # the sieve lets English through


@pytest.mark.parametrize("kind", sorted(OF_BAKES))
def test_what_needs_no_words_has_none(kind: str) -> None:
    assert work_words(kind, SOMEBODYS) == ""
