"""A kitchen without a fridge, without an oven, or without either, on every page and in a plan."""

from __future__ import annotations

import re
from datetime import timedelta
from fractions import Fraction
from pathlib import Path
from uuid import uuid4

import pytest
from tests.timetable.hall import NOW
from tests.web.conftest import Idle
from tests.web.screens.test_first_pages import ANSWERS, CULTURE, get, post

from pointage.desk.bakes.plan import plan_bake
from pointage.desk.desk import StoredDesk
from pointage.desk.kitchen.kitchens import demonstration_formulas
from pointage.desk.opening import open_own
from pointage.desk.wording import note
from pointage.errors import InputError
from pointage.formula.file.read import read_formula
from pointage.timetable.plan import Status, StepKind

WITHOUT = {
    "fridge": {"fridge_c": "none"},
    "oven": {"loaves": "none"},
    "fridge and oven": {"fridge_c": "No", "loaves": "0"},
}
LINK = re.compile(r'href="(/[^"#]*)"')


@pytest.fixture(params=WITHOUT)
def bare(
    request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> StoredDesk:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.delenv("POINTAGE_STORE", raising=False)
    desk = open_own(NOW, None, {"harbour-loaf": demonstration_formulas()["harbour-loaf"]}, Idle())
    assert post(desk, "/begin", ANSWERS | WITHOUT[request.param]).status_code == 303
    revision = str(desk.kitchen_file.last.revision)
    brought = CULTURE | {"name": "Plover", "revision": revision, "place": "Counter"}
    assert post(desk, "/begin/culture", brought).status_code == 303
    return desk


@pytest.mark.long
def test_every_page_opens(bare: StoredDesk) -> None:
    """Every link is followed that leads from the Bench to another screen."""
    seen, ahead = set[str](), ["/"]
    while ahead:
        path = ahead.pop()
        answer = get(bare, path)
        # What needs a fridge, or more to be known, says so on its page.
        assert answer.status_code in {200, 303, 422}, path
        for link in LINK.findall(answer.text):
            plain = link.partition("?")[0]
            if plain not in seen and not plain.startswith(
                ("/static", "/daybook/archive", "/look", "/kitchen/log")
            ):
                seen.add(plain)
                ahead.append(plain)
    assert {"/oven", "/kitchen", "/cultures/Plover/rest", "/formulas/harbour-loaf"} <= seen


def test_what_can_be_planned_is_and_the_rest_is_said(bare: StoredDesk) -> None:
    kitchen = bare.kitchen()
    text = demonstration_formulas()["harbour-loaf"]
    for place in set(re.findall(r'place = "(.*)"', text)):
        cold = place == "Fridge"
        text = text.replace(f'place = "{place}"', f'place = "{"Fridge" if cold else "Counter"}"')
    assert "retard_place" in text
    formula = read_formula(text, "harbour-loaf.toml")

    def plan() -> object:
        ready = NOW + timedelta(hours=44)
        return plan_bake(formula, kitchen, ready, NOW, pieces=2, piece_g=Fraction(900))

    if not kitchen.ovens:
        with pytest.raises(InputError, match="oven: none; expected an oven on the Kitchen screen"):
            plan()
        return
    found = plan()
    assert found.status is Status.BEST  # type: ignore[attr-defined]
    (proof,) = (s for s in found.steps if s.kind in {StepKind.PROOF, StepKind.RETARD})  # type: ignore[attr-defined]
    assert proof.kind is StepKind.PROOF
    assert "no fridge" in note(proof, kitchen.zone)


@pytest.mark.parametrize("bare", ["oven", "fridge and oven"], indirect=True)
def test_a_wish_that_needs_an_oven_says_so_in_its_form(bare: StoredDesk) -> None:
    fields = {"entry": str(uuid4()), "formula": "harbour-loaf", "day": "2026-12-05"}
    answer = post(bare, "/week/wish", fields | {"clock": "09:00", "pieces": "1"})
    assert answer.status_code == 422
    assert "an oven on the Kitchen screen" in answer.text
