"""The care of a culture of Skerry Hall: keep, rest, wake, change, question, and a row of weeks."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from tests.web.stored_desk import NOW, hall

from pointage.culture.upkeep import Upkeep
from pointage.culture.weeks import ChoreKind, Use
from pointage.desk.cultures.care import Care
from pointage.errors import InputError


@pytest.fixture(scope="module")
def gannet(tmp_path_factory: pytest.TempPathFactory) -> Care:
    return hall(tmp_path_factory.mktemp("hall"), NOW).care("Gannet")


def test_every_warm_place_is_weighed(gannet: Care) -> None:
    found = gannet.choices(Fraction(100))
    assert {choice.place for choice in found} == {"Hall", "Boiler cupboard"}
    good = [choice.found for choice in found if isinstance(choice.found, Upkeep)]
    assert good
    assert all(each.spare_g >= 100 for each in good)


def test_a_rest_has_its_odds_its_reminder_and_its_waking(gannet: Care) -> None:
    """Two to three weeks, and two or three feeds: common practice, no source."""
    advice = gannet.rest()
    assert 10 <= advice.best.days.p50 <= 28
    assert advice.remind_after_d == pytest.approx(advice.best.days.p10 - 2)
    assert list(advice.waking.values()) == sorted(advice.waking.values())
    assert advice.waking[14.0] in (2, 3)


def test_from_rye_to_wheat(gannet: Care) -> None:
    feeds = gannet.change({"wheat-white": Fraction(1)}, Fraction(3, 5), Fraction(1, 5))
    assert [float(each.old) for each in feeds] == pytest.approx([0.2, 0.04, 0.008])


def test_trouble_is_ranked(gannet: Care) -> None:
    assert gannet.trouble({"colour": "pink"})[0].discard
    with pytest.raises(InputError):
        gannet.trouble({"rise": "sideways"})


def test_irregular_weeks(gannet: Care) -> None:
    """Wednesday, Saturday, an idle fortnight, Saturday."""
    uses = [Use(NOW + timedelta(days=days), Fraction(80)) for days in (2, 5, 19)]
    found = gannet.weeks(uses)
    assert [chore.at for chore in found] == sorted(chore.at for chore in found)
    kinds = [chore.kind for chore in found]
    assert kinds.count(ChoreKind.BUILD) == 3
    assert ChoreKind.CHILL in kinds
    assert len(found) <= 16


def test_a_name_there_is_not(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="Gannet, Plover"):
        hall(tmp_path, NOW).care("Tern")
