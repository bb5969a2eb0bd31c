"""The care of a culture of Skerry Hall: keep, rest, wake, change, question, and a row of weeks."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from tests.web.stored_desk import NOW, hall

from pointage.culture.habits import KeptBetween
from pointage.culture.weeks import ChoreKind, Use
from pointage.desk.cultures.care import Care
from pointage.errors import InputError


@pytest.fixture(scope="module")
def gannet(tmp_path_factory: pytest.TempPathFactory) -> Care:
    return hall(tmp_path_factory.mktemp("hall"), NOW).care("Gannet")


@pytest.mark.parametrize("every_d", [0.5, 1, 3.5, 7, 30, 42])
@pytest.mark.parametrize("needed", [0, 60, 100])
def test_every_life_has_a_way_in_amounts_that_are_weighed_and_that_the_jar_holds(
    gannet: Care, every_d: float, needed: int
) -> None:
    advice = gannet.ways(every_d, Fraction(needed), away=every_d > 30)
    assert advice.jar_g == pytest.approx(250.0)  # a third of 0.75 l: common practice, no source
    assert advice.ways, "no life without a way"
    # Six weeks in the cold are not sure, which its page says, and still less work than drying.
    assert advice.ways[0].sure or every_d == 42
    for way in advice.ways:
        feeds = [each for each in way.chores if each.total_g]
        if way.upkeep is not None:
            feed = way.upkeep.feed
            assert feed.total_g <= advice.jar_g
            assert way.upkeep.spare_g >= needed
            assert feed.seed_g >= 5
            assert feed.flour_g <= 10 * feed.seed_g, "nobody feeds 400 g to 5 g"
        assert all(each.total_g <= advice.jar_g for each in feeds)
        assert all(each.seed_g >= 5 for each in feeds)
        assert way.fresh_g - way.needed_g <= way.waste_g


def test_seldom_bakes_are_kept_in_the_cold_for_less_waste_and_daily_ones_in_the_warm(
    gannet: Care,
) -> None:
    """Common practice, no source."""
    assert gannet.ways(7, Fraction(100)).ways[0].way is KeptBetween.COLD
    assert gannet.ways(30, Fraction(100)).ways[0].way is KeptBetween.COLD
    assert gannet.ways(1, Fraction(100)).ways[0].way is KeptBetween.WARM
    weekly = gannet.ways(7, Fraction(100)).ways
    warm = next(each for each in weekly if each.way is KeptBetween.WARM)
    assert warm.waste_g > 3 * weekly[0].waste_g
    away = gannet.ways(42, Fraction(100), away=True).ways
    assert [each.way for each in away] == [KeptBetween.LEFT, KeptBetween.DRIED]
    assert not away[0].sure  # which its page says


def test_what_was_worked_out_is_asked_for_once(tmp_path: Path) -> None:
    desk = hall(tmp_path, NOW)
    assert desk.care("Gannet").rest() is desk.care("Gannet").rest()


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
    assert gannet.trouble({"colour": "pink"}).causes[0].discard
    assert gannet.trouble({"colour": "pink"}).ask is None, "nothing more is asked of what goes away"
    with pytest.raises(InputError):
        gannet.trouble({"rise": "sideways"})


def test_trouble_asks_one_thing_at_a_time_safety_first_and_nothing_that_is_known(
    gannet: Care,
) -> None:
    answers, asked = dict[str, str](), list[str]()
    looks = {"colour": "usual", "surface": "liquid", "rise": "fallen", "smell": "solvent"}
    while (ask := gannet.trouble(answers).ask) is not None:
        asked.append(ask.key)
        answers[ask.key] = looks[ask.key]
    assert asked[:2] == ["colour", "surface"]
    assert len(asked) == len(set(asked))
    assert not {"age", "rest"} & set(asked)
    found = gannet.trouble(answers).causes[0]
    assert found.key == "hungry"
    assert set(found.evidence) >= {"surface", "rise"}
    assert found.give_up
    assert found.remedy is not None
    remedy = found.remedy
    assert remedy.seed_g + remedy.flour_g + remedy.water_g <= gannet.jar_g


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
