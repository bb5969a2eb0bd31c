"""Cultures raised, split off and renamed here: planned from, built from and kept like any other."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from fractions import Fraction
from pathlib import Path
from uuid import uuid4

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.web.stored_desk import NOW, hall

from pointage.culture.life import (
    Built,
    Event,
    Life,
    Moved,
    Renamed,
    Taken,
    after,
)
from pointage.culture.life import Fed as FedEvent
from pointage.daybook.entry import EntryKind
from pointage.desk.answers import Bake, Report
from pointage.desk.desk import StoredDesk
from pointage.desk.now.cultures.lives import (
    Lives,
    NamedEvent,
    SplitOff,
    is_of,
    of_file,
    takes,
    with_event,
)
from pointage.desk.now.fold import Fold, Key
from pointage.kitchen.kitchen import Kitchen
from pointage.timetable.plan import Plan, StepKind

HOUR = timedelta(hours=1)
DAY = timedelta(days=1)
BEGAN = NOW - 15 * DAY
DAILY_G = 60.0


@dataclass
class Clocked:
    """A desk whose clock can be set."""

    desk: StoredDesk
    now: datetime = NOW

    def record(self, kind: EntryKind, at: datetime, **body: object) -> None:
        self.desk.records.record(str(uuid4()), kind, at, body)

    def fed(self, name: str, at: datetime, seed_g: float, flour_g: float, place: str) -> None:
        parts = [{"ingredient": "wheat-white", "grams": flour_g},
                 {"ingredient": "water", "grams": flour_g}]  # fmt: skip
        self.record(EntryKind.FED, at, culture=name, seed_g=seed_g, parts=parts, place=place)

    def raised(self, name: str) -> None:
        """From flour and water, fed by the day for a fortnight; 20 g are kept of 140 g each day."""
        self.record(EntryKind.CULTURE, BEGAN, event="began", culture=name)
        for day in range(15):
            seed = 0.0 if day == 0 else 20.0
            self.fed(name, BEGAN + day * DAY, seed, DAILY_G, "Boiler cupboard")

    def plan_of_plover(self) -> Bake:
        """A harbour loaf, as its formula has it."""
        key = str(uuid4())
        self.desk.wish(key, "harbour-loaf", 8, NOW + 3 * DAY, self.now)
        return self.desk.present().every_bake[key]

    def plan(self, name: str) -> Bake:
        """A harbour loaf from that culture."""
        slug = "harbour-loaf"
        store, kitchen_id = self.desk._store, self.desk._id
        (last,) = [each for each in store.formulas(kitchen_id) if each.slug == slug]
        own = last.text.replace('culture = "Plover"', f'culture = "{name}"')
        assert own != last.text
        store.put_formula(kitchen_id, slug, own, self.now, after=last.revision)
        key = str(uuid4())
        plan = self.desk.wish(key, slug, 8, NOW + 3 * DAY, self.now)
        assert plan.steps, "there is a way"
        return self.desk.present().every_bake[key]

    def all_done(self, bake: Bake) -> None:
        for step in bake.plan.steps:
            if step.hands:
                self.now = step.end
                self.desk.mark_done(Report(str(uuid4()), bake.key, step.key, step.end))

    def life(self, name: str) -> Life:
        return self.desk.present().life(name)


@pytest.fixture
def kitchen(tmp_path: Path) -> Clocked:
    desk = hall(tmp_path, NOW)
    found = Clocked(desk)
    found.desk = StoredDesk(desk._store, desk._id, desk._since, clock=lambda: found.now)
    return found


def of_ladders(plan: Plan) -> tuple[float, float, float]:
    """Fresh grams of the waking feeds, seed of the first, and seed of the levain."""
    feeds = [step for step in plan.steps if step.kind is StepKind.FEED]
    (build,) = [step for step in plan.steps if step.kind is StepKind.BUILD]
    ladders = [step.ladder for step in (*feeds, build)]
    pours = [ladder.pours for ladder in ladders if ladder is not None]
    fresh = sum(pour.grams for each in pours[:-1] for pour in each[1:])
    return fresh, pours[0][0].grams, pours[-1][0].grams


def flour_out(kitchen: Clocked) -> Fraction:
    """White flour that went out of a store that was never filled."""
    shelves = {each.ingredient: each for each in kitchen.desk.larder.look(kitchen.now).shelves}
    return shelves["wheat-white"].short_g


def named(kitchen: Clocked, kind: str) -> str:
    """The culture to bake from: raised, split off a raised one, or renamed. Its name of today."""
    kitchen.raised("Dunlin")
    if kind == "split off":
        kitchen.record(EntryKind.CULTURE, NOW - 6 * HOUR, event="split", culture="Tern",
                       origin="Dunlin", grams=40.0)  # fmt: skip
        kitchen.fed("Tern", NOW - 5 * HOUR, 40.0, 50.0, "Boiler cupboard")
        return "Tern"
    if kind == "renamed":
        kitchen.record(EntryKind.CULTURE, NOW - 6 * HOUR, event="renamed", culture="Skua",
                       origin="Dunlin")  # fmt: skip
        return "Skua"
    return "Dunlin"


@pytest.mark.parametrize("kind", ["raised", "split off", "renamed"])
@pytest.mark.soon(1)
def test_a_bake_from_a_culture_of_ones_own_leaves_it_right(kitchen: Clocked, kind: str) -> None:
    name = named(kitchen, kind)
    before = kitchen.life(name)
    assert before.mass_g == 140.0
    bake = kitchen.plan("Dunlin" if kind == "renamed" else name)  # the formula has its old name
    assert bake.plan.culture == name
    fresh, first, seed = of_ladders(bake.plan)
    (build,) = [step for step in bake.plan.steps if step.kind is StepKind.BUILD]
    assert build.keep is not None
    assert build.keeping is not None
    assert build.keep.ladder is not None
    keeping_seed = build.keep.ladder.pours[0].grams
    keeping_flour = sum(pour.grams for pour in build.keep.ladder.pours[2:])
    there = first + fresh if first != seed or fresh else before.mass_g

    (take,) = takes(kitchen.desk.bakes(), before)
    assert take.grams == pytest.approx(seed)
    assert take.left_g == pytest.approx(there - seed)
    assert take.kept_g == pytest.approx(140.0)
    assert build.keeping.discard_g == pytest.approx(there - seed - keeping_seed, abs=0.01)

    out = flour_out(kitchen)
    kitchen.all_done(bake)
    life = kitchen.life(name)
    assert life.oddities == ()
    assert life.mass_g == pytest.approx(140.0, abs=0.01)
    assert life.place == "Boiler cupboard"
    last = life.stands[-1]
    assert not last.assumed
    assert last.fed.seed_g == pytest.approx(keeping_seed)
    assert timedelta() < last.fed.at - build.end <= timedelta(minutes=1)
    assert life.made[-1].what_for == "Harbour loaf"
    assert life.made[-1].grams == pytest.approx(seed)
    assert life.wasted[-1].grams == pytest.approx(build.keeping.discard_g, abs=0.01)
    assert set(life.flours) == {"wheat-white"}
    assert life.flours["wheat-white"] == pytest.approx(1.0)
    assert life.hydration == pytest.approx(1.0)

    white = sum(
        pour.grams
        for step in bake.plan.steps
        if step.ladder is not None
        for pour in step.ladder.pours
        if pour.name == "wheat-white"
    )
    assert float(flour_out(kitchen) - out) == pytest.approx(white + keeping_flour, abs=0.02)
    assert kitchen.desk.kitchen().culture(name).mass_g == pytest.approx(140.0, abs=0.01)


def test_what_is_assumed_is_what_the_plan_writes(kitchen: Clocked) -> None:
    """A build that is only known from the mix after it: its keeping feed is assumed, and the same.

    culture/keeping.py is the one formula; a plan writes it to a milligram.
    """
    bake = kitchen.plan_of_plover()
    (build,) = [step for step in bake.plan.steps if step.kind is StepKind.BUILD]
    kitchen.now = bake.plan.ready
    mix = next(step for step in bake.plan.steps if step.key == "mix")
    kitchen.desk.mark_done(Report(str(uuid4()), bake.key, "mix", mix.end))
    last = kitchen.life("Plover").stands[-1]
    assert last.assumed
    assert build.keep is not None
    assert build.keep.ladder is not None
    pours = {pour.name: pour.grams for pour in build.keep.ladder.pours}
    assert last.fed.seed_g == pytest.approx(pours["Plover"], abs=0.001)
    assert last.fed.water_g == pytest.approx(pours["water"], abs=0.001)
    assert dict(last.fed.flours_g) == {
        "wheat-white": pytest.approx(pours["wheat-white"], abs=0.001)
    }
    assert build.keep.key == f"{build.key}/keep"


def test_what_was_poured_of_the_keeping_feed_is_the_feed(kitchen: Clocked) -> None:
    """Six grams too much of Plover on the display, the proportions kept: all of it grows."""
    bake = kitchen.plan_of_plover()
    (build,) = [step for step in bake.plan.steps if step.kind is StepKind.BUILD]
    keep = build.keep
    assert keep is not None
    assert keep.ladder is not None
    seed = keep.ladder.pours[0]
    kitchen.now = bake.plan.ready
    told = Report(str(uuid4()), bake.key, keep.key, build.end)
    kitchen.desk.record_pour(told, 0, Fraction(str(seed.display_g)) + 6)
    kitchen.desk.mark_done(Report(str(uuid4()), bake.key, build.key, build.end))
    last = kitchen.life("Plover").stands[-1]
    poured = seed.display_g + 6 - keep.ladder.tare_g
    assert last.fed.seed_g == pytest.approx(poured)
    assert last.fed.mass_g == pytest.approx(120.0 * poured / seed.grams, abs=2.0)
    kitchen.desk.take_back(Report(str(uuid4()), bake.key, build.key, build.end))


def test_a_culture_raised_here_is_not_said_to_be_ripe_before_its_time(kitchen: Clocked) -> None:
    kitchen.record(EntryKind.CULTURE, NOW - HOUR, event="began", culture="Dunlin")
    kitchen.fed("Dunlin", NOW - HOUR, 0.0, DAILY_G, "Boiler cupboard")
    (dunlin,) = [e for e in kitchen.desk.cultures(NOW) if e.culture.name == "Dunlin"]
    assert dunlin.young is not None
    assert dunlin.young.number == 1
    assert (dunlin.to_peak_h, dunlin.holds_until) == (None, None)
    assert dunlin.standing is not None
    assert dunlin.standing.ripe_from is None


def test_days_are_the_feeds_that_were_done_and_a_late_one_finds_its_place(
    kitchen: Clocked,
) -> None:
    kitchen.now = NOW + 3 * DAY
    kitchen.record(EntryKind.CULTURE, NOW, event="began", culture="Dunlin")
    kitchen.fed("Dunlin", NOW, 0.0, DAILY_G, "Boiler cupboard")
    kitchen.fed("Dunlin", NOW + 2 * DAY, 30.0, 50.0, "Hall")
    first = kitchen.desk.raising("Dunlin")
    assert [day.at for day in first[:2]] == [NOW, NOW + 2 * DAY]
    kitchen.fed("Dunlin", NOW + DAY, 40.0, 40.0, "Boiler cupboard")  # recorded late
    days = kitchen.desk.raising("Dunlin")
    assert [day.at for day in days[:3]] == [NOW, NOW + DAY, NOW + 2 * DAY]
    assert [float(day.keep_g) for day in days[:3]] == [0.0, 40.0, 30.0]
    assert days[3].at >= kitchen.now


@pytest.mark.long
def test_a_move_and_a_changed_room_change_only_what_follows(kitchen: Clocked) -> None:
    """The first day stood in the cupboard as it was then, whatever becomes of it later."""
    kitchen.record(EntryKind.CULTURE, NOW, event="began", culture="Dunlin")
    kitchen.fed("Dunlin", NOW, 0.0, DAILY_G, "Boiler cupboard")
    kitchen.now = NOW + DAY
    kitchen.fed("Dunlin", NOW + DAY, 40.0, 40.0, "Boiler cupboard")
    before = kitchen.desk.raising("Dunlin")
    plover = kitchen.desk.kitchen().culture("Plover")
    states = kitchen.desk.present().culture_course(plover, kitchen.now).spells[0].rows[:24]
    kitchen.now = NOW + DAY + 2 * HOUR
    record = kitchen.desk.present().record
    colder = changed_cupboard(record.text)
    kitchen.desk._store.put_kitchen(replace(record, text=colder), kitchen.now, after=1)
    present = kitchen.desk.present()
    then = warmth(present.kitchen_at(NOW), NOW)
    assert warmth(present.kitchen_at(NOW - 30 * DAY), NOW) == then
    assert warmth(present.kitchen_at(kitchen.now), NOW) < then - 3
    after_change = kitchen.desk.raising("Dunlin")
    assert after_change[0].rise() == before[0].rise()
    assert after_change[0].ph() == before[0].ph()
    assert after_change[1].ph()[1] > before[1].ph()[1]  # two hours in, it stands colder
    plover = kitchen.desk.kitchen().culture("Plover")
    assert present.culture_course(plover, kitchen.now).spells[0].rows[:24] == states


def changed_cupboard(text: str) -> str:
    """The kitchen's file with its cupboard at 18 °C all day; its cultures as they were fed."""
    for days in (3, 4):
        fed = (NOW - days * DAY).isoformat(timespec="minutes")
        text = text.replace(f"fed_days_ago = {days}\n", f'fed = "{fed}"\n')
    head, rest = text.split('name = "Boiler cupboard"', 1)
    body, tail = rest.split("[[", 1)
    kind = next(line for line in body.splitlines() if line.startswith("kind"))
    return f'{head}name = "Boiler cupboard"\n{kind}\ntemperature = "18C"\n\n[[{tail}'


def warmth(kitchen: Kitchen, at: datetime) -> float:
    cupboard = kitchen.place("Boiler cupboard").surroundings
    return float(cupboard.temperatures(at, np.zeros(1))[0])


NAMES = ("Gannet", "Plover")


@st.composite
def told(draw: st.DrawFn) -> list[tuple[Key, NamedEvent]]:
    """Events of two cultures and of what was split off them, each at an instant of its own."""
    found: list[tuple[Key, NamedEvent]] = []
    for number in range(draw(st.integers(1, 10))):
        at = NOW + draw(st.floats(0.1, 200.0)) * HOUR
        name = draw(st.sampled_from((*NAMES, "Tern 1", "Tern 2")))
        grams = draw(st.floats(5.0, 100.0))
        fed = FedEvent(at, grams, {"rye-whole": 40.0}, 40.0, place="Hall", source=str(number))
        key = f"bake {number}"
        choices: list[Event | SplitOff] = [
            fed,
                replace(fed, for_bake=True),
                Built(at, grams, "Loaf", key),
                Built(at, grams, "Loaf", key, fed, draw(st.booleans())),
                Taken(at, grams, source=str(number)),
                Moved(at, "Fridge", source=str(number)),
                Renamed(at, f"{name} {number}", source=str(number)),
                SplitOff(at, f"Tern {number}", name, grams, str(number)),
        ]  # fmt: skip
        event = draw(st.sampled_from(choices))
        found.append(((at, 1, str(number)), NamedEvent(name, event)))
    return found


def begun(kitchen: Kitchen) -> Fold[Lives, NamedEvent]:
    start, said = of_file(kitchen)
    fold: Fold[Lives, NamedEvent] = Fold(start)
    return fold.with_events((), said, with_event)[0]


@pytest.fixture(scope="module")
def hall_kitchen(tmp_path_factory: pytest.TempPathFactory) -> Kitchen:
    return hall(tmp_path_factory.mktemp("hall"), NOW).present().file


def test_one_after_another_in_any_order_is_as_all_at_once(hall_kitchen: Kitchen) -> None:
    @given(told(), st.data())
    def holds(events: list[tuple[Key, NamedEvent]], data: st.DataObject) -> None:
        at_once = begun(hall_kitchen).with_events((), events, with_event)[0].state
        one_by_one = begun(hall_kitchen)
        for each in data.draw(st.permutations(events)):
            one_by_one, _ = one_by_one.with_events((), [each], with_event)
        assert one_by_one.state == at_once
        gone, *rest = events
        without, _ = one_by_one.with_events([gone[0]], (), with_event)
        assert without.state == begun(hall_kitchen).with_events((), rest, with_event)[0].state

    holds()


def test_split_off_and_fed_is_as_fed_with_as_much(hall_kitchen: Kitchen) -> None:
    @given(st.floats(1.0, 120.0))
    def holds(grams: float) -> None:
        lives = begun(hall_kitchen).state
        plover = lives.named("Plover")
        assert plover is not None
        fed = FedEvent(NOW + HOUR, grams, {"rye-whole": 40.0}, 40.0, place="Hall")
        direct = after(plover, fed)
        split = SplitOff(NOW + HOUR / 2, "Tern", "Plover", grams, "s")
        child = with_event(lives, NamedEvent("Plover", split))
        child = with_event(child, NamedEvent("Tern", fed))
        mother, tern = child.named("Plover"), child.named("Tern")
        assert tern is not None
        assert mother is not None
        assert tern.flours == direct.flours
        assert (tern.hydration, tern.mass_g) == (direct.hydration, direct.mass_g)
        assert tern.wasted == ()
        assert mother.mass_g == pytest.approx(plover.mass_g - grams, abs=1e-6)

    holds()


def test_a_bake_is_of_the_culture_under_each_of_its_names(kitchen: Clocked) -> None:
    bake = kitchen.plan_of_plover()
    kitchen.record(EntryKind.CULTURE, NOW, event="renamed", culture="Skua", origin="Plover")
    life = kitchen.life("Skua")
    assert is_of(bake, life)
    assert len(takes(kitchen.desk.bakes(), life)) == 1
