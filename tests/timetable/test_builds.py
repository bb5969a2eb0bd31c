"""Levains in several builds, old dough and additions: planned, or refused in one line."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from tests.timetable.hall import NOW, SATURDAY, kitchen, of_kind, step

from pointage.desk.bakes.plan import plan_bake
from pointage.desk.kitchen.kitchens import demonstration_formulas
from pointage.desk.wording import title
from pointage.errors import InputError
from pointage.formula.file.read import read_formula
from pointage.timetable.plan import Plan, Status
from pointage.timetable.remark import RemarkCode

SPELT = demonstration_formulas()["sunday-spelt"]
SECOND = """[[stage]]
name = "Levain"
kind = "levain"
parts_of = { "First build" = 100 }
flour = 20              # the first build's counted
"""
THIRD = """[[stage]]
name = "Second build"
kind = "levain"
parts_of = { "First build" = 100 }
flour = 10
flours = { spelt-white = 100 }
water = 70
place = "Boiler cupboard"

[[stage]]
name = "Levain"
kind = "levain"
parts_of = { "Second build" = 100 }
flour = 25
"""
OLD = """
[[stage]]
name = "Old dough"
kind = "old dough"
flour = 6
"""


def planned(*changes: tuple[str, str], more: str = "") -> Plan:
    text = SPELT
    for old, new in changes:
        assert old in text, f"the formula has no {old!r} to change"
        text = text.replace(old, new, 1)
    head, process = text.split("[process]")
    formula = read_formula(f"{head}{more}\n[process]{process}", "spelt.toml")
    return plan_bake(formula, kitchen(), SATURDAY, NOW)


def test_three_builds_each_from_the_one_before() -> None:
    plan = planned((SECOND, THIRD), ("flour = 5 ", "flour = 3 "))
    assert plan.status is Status.BEST
    builds = of_kind(plan, "build")
    assert [each.mixture for each in builds] == ["First build", "Second build", "Levain"]
    for before, after in pairwise(builds):
        assert after.ladder is not None
        first = after.ladder.pours[0]
        assert (first.name, first.state) == (before.mixture, "ripe")
        assert first.grams == pytest.approx(before.grams)
        assert before.standing is not None
        assert before.standing.ripe_from is not None
        assert before.standing.ripe_until is not None
        assert before.standing.ripe_from.p50 <= after.start <= before.standing.ripe_until.p50


def test_old_dough_is_poured_and_told_of() -> None:
    held_back = ("water = 4, salt = 2 }", "water = 4, salt = 1.88 }")  # it has salt of its own
    plan = planned(held_back, more=OLD)
    mix = step(plan, "mix")
    assert mix.ladder is not None
    kept = next(each for each in mix.ladder.pours if each.name == "Old dough")
    # By hand: 6 of 100 parts of flour, and the whole is made as the old dough is.
    assert kept.grams == pytest.approx(6 * 850 * 0.06, abs=1)
    assert kept.state == "kept"
    assert RemarkCode.OLD_DOUGH in [each.code for each in mix.remarks]


def test_what_is_added_goes_in_with_its_fold_or_last() -> None:
    fold = step(planned(), "fold-1")
    assert fold.ladder is not None
    assert [each.name for each in fold.ladder.pours] == ["water", "salt"]
    assert title(fold) == "Fold, 1 of 3, with the salt and held-back water"
    mix = step(planned(('when = "fold 1"', 'when = "mix"')), "mix")
    assert mix.ladder is not None
    assert [each.name for each in mix.ladder.pours][-2:] == ["water", "salt"]
    total = sum(Fraction(str(each.grams)) for each in mix.ladder.pours)
    assert total == 6 * 850


@pytest.mark.parametrize(
    ("changes", "more", "line"),
    [
        (
            (),
            '[[stage]]\nname = "Rye"\nkind = "levain"\nflour = 5\nwater = 100\n',
            "Sunday spelt, stage: 'First build' and 'Levain' and 'Rye' cannot be used; expected",
        ),
        (
            (('{ "First build" = 100 }', '{ "First build" = 50 }'),),
            "",
            "Sunday spelt, stage Levain, parts_of: 50 % of 'First build' cannot be used; expected",
        ),
        (
            (('{ "First build" = 100 }', '{ "First build" = 100, Scald = 50 }'),
             ("water = 65", "water = 90")),
            "",
            "Sunday spelt, stage Levain, parts_of: 100 % of 'First build' and 50 % of 'Scald'",
        ),
    ],
)  # fmt: skip
def test_what_cannot_be_planned_is_one_line(
    changes: tuple[tuple[str, str], ...], more: str, line: str
) -> None:
    with pytest.raises(InputError) as error:
        planned(*changes, more=more)
    assert str(error.value).startswith(line)
    assert "\n" not in str(error.value)
