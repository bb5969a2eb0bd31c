"""The present: a kitchen as it stands, from its texts, its formulas and its daybook.

A pure function of these; the instant comes in where something hangs on it. Every page, command and
plan takes its facts from here. What takes long to work out comes from the jobs (`Learning`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import cached_property
from itertools import takewhile
from typing import TYPE_CHECKING, Any

from pointage.culture.life import Life
from pointage.daybook.entry import Entry, FormulaRecord, KitchenRecord
from pointage.daybook.replay import in_order
from pointage.desk.answers import Bake, CultureNow, NotThere
from pointage.desk.jobs import (
    MOVES,
    OF_BAKES,
    OF_OVENS,
    PLAN,
    RAISING_PAGE,
    SHARED,
    WEEK,
    Jobs,
    Subject,
)
from pointage.desk.now import ledger as stores
from pointage.desk.now.bakes.bake import KEPT_AFTER
from pointage.desk.now.bakes.record import BakeRecord
from pointage.desk.now.cultures.lives import at_hand
from pointage.desk.now.earlier import Earlier
from pointage.desk.now.replayed import Replayed
from pointage.desk.now.set_aside import SetAside, set_aside
from pointage.desk.now.texts import formula_of
from pointage.errors import InputError
from pointage.formula.formula import Formula
from pointage.kitchen.culture_state import remembered
from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.language import ENGLISH, speaking
from pointage.mixture.flours import Flours
from pointage.shown import PLAIN, showing

# Many commands never ask for the cultures: what follows them is loaded when one does.
if TYPE_CHECKING:
    from pointage.culture.raising import RaisedDay
    from pointage.desk.now.cultures.culture import CultureCourses
    from pointage.desk.now.cultures.followed import FollowedCultures
    from pointage.desk.now.cultures.young import Elsewhere
    from pointage.desk.now.learned.learning import Learning
    from pointage.desk.planner.planner import Planner
    from pointage.heat.own_oven import OwnOven
    from pointage.kitchen.friction import Friction
    from pointage.kitchen.needs import CultureNeed
    from pointage.mixture.learning.update import Posterior


@dataclass(frozen=True, eq=False)
class Present:
    """A kitchen as it stands.

    change: the store's change that it is of. record: the kitchen's last text, revision its number.
    file: what that says, or the last text that could be read. aside: texts that cannot be used.
    earlier: the texts before that.
    """

    change: int
    record: KitchenRecord
    revision: int
    records: Mapping[str, FormulaRecord]
    replayed: Replayed
    jobs: Jobs
    aside: tuple[SetAside, ...] = ()
    earlier: Earlier = field(default_factory=Earlier)
    _made: dict[str, tuple[dict[str, OwnOven], Kitchen]] = field(default_factory=dict, repr=False)

    @property
    def file(self) -> Kitchen:
        """The kitchen as its file says."""
        return self.replayed.file

    @property
    def flours(self) -> Flours:
        """The figures of the flours in use, by the sacks that the larder draws on."""
        return self.replayed.kitchen.flours

    @cached_property
    def learning(self) -> Learning:
        """What the daybook teaches."""
        from pointage.desk.now.learned.learning import Learning

        return Learning(self.replayed, self.jobs, self.kitchen_through)

    @property
    def planner(self) -> Planner:
        """Who solves what is planned in it."""
        return self.jobs.planner

    def believed(self, culture: str) -> Posterior | None:
        """What is believed of a culture, however long that takes; None where nothing was seen."""
        return self.learning.beliefs_now(culture)

    @cached_property
    def formulas(self) -> Mapping[str, Formula]:
        """The last revision of every formula that can be read, by slug."""
        found = {}
        for slug, record in self.records.items():
            try:
                found[slug] = replace(formula_of(record.text, f"{slug}.toml"), slug=slug)
            except InputError:
                continue  # it is among `set_asides`
        return found

    def formula(self, slug: str) -> Formula:
        """The last revision of a formula. Raises NotThere, and InputError for an unreadable one."""
        if slug in self.formulas:
            return self.formulas[slug]
        if slug not in self.records:
            raise NotThere("formula", slug)
        return formula_of(self.records[slug].text, f"{slug}.toml")

    @cached_property
    def set_asides(self) -> tuple[SetAside, ...]:
        """Everything in the store that cannot be used, with its reason."""
        with showing(PLAIN), speaking(ENGLISH):  # it is kept for every reader
            texts = []
            for slug, record in self.records.items():
                try:
                    formula_of(record.text, f"{slug}.toml")
                except InputError as error:
                    texts.append(set_aside("formula", slug, error))
            return (*self.aside, *texts, *self.replayed.set_asides)

    @cached_property
    def reasons(self) -> Mapping[str, SetAside]:
        """By entry, why it is set aside."""
        return {each.name: each for each in self.set_asides if each.what == "entry"}

    @property
    def kitchen(self) -> Kitchen:
        """The kitchen as it stands: its cultures as they were left, its ovens as they are known."""
        own = self.own_ovens()
        kept = self._made.get("kitchen")
        if kept is None or kept[0] != own:  # what an oven is like may be learned meanwhile
            ovens = (
                replace(each, offset_k=own[each.name].offset_k) if each.name in own else each
                for each in self.file.ovens
            )
            kept = own, replace(self._left, ovens=tuple(ovens))
            self._made["kitchen"] = kept
        return kept[1]

    @cached_property
    def _left(self) -> Kitchen:
        cultures = at_hand(self.replayed.lives.state)
        fed = (remembered(each)[0].fed.at for each in cultures)
        since = min(fed, default=datetime.max.replace(tzinfo=UTC))
        return replace(self.kitchen_through(since), cultures=cultures)

    def kitchen_at(self, instant: datetime) -> Kitchen:
        """The kitchen as its text of then said."""
        kitchens = self.earlier.kitchens(instant)
        return kitchens[0][1] if kitchens else self.file

    def kitchen_through(self, since: datetime) -> Kitchen:
        """The kitchen's file with its places as they were from `since` on, its sacks' figures."""
        return self.earlier.under(self.replayed.kitchen, since)

    @cached_property
    def _said_of_ovens(self) -> Mapping[str, dict[str, Mapping[str, Any]]]:
        if not self.replayed.measured:
            return {}
        from pointage.desk.now.learned.own_oven import said_of_oven

        return {each.name: said_of_oven(self.replayed, each) for each in self.file.ovens}

    def own_ovens(self) -> dict[str, OwnOven]:
        """How much hotter each oven bakes than it says, by the bakes that were measured in it."""
        found = {
            name: self.learning.oven(name, said).found for name, said in self._said_of_ovens.items()
        }
        return {name: own for name, own in found.items() if own is not None}

    @cached_property
    def lives(self) -> tuple[Life, ...]:
        """Every culture that was ever known here, those that are no more too."""
        return tuple(self.replayed.lives.state.lives.values())

    def life(self, name: str) -> Life:
        """The culture that has or had that name. Raises NotThere."""
        found = self.replayed.lives.state.named(name)
        if found is None:
            raise NotThere("culture", name)
        return found

    @cached_property
    def every_bake(self) -> Mapping[str, Bake]:
        """The bakes that were not given up, by key: news of one may come long after it is over."""
        records = self.replayed.bakes
        return {key: each.bake for key, each in records.items() if not each.bake.given_up}

    @cached_property
    def _last_first(self) -> list[BakeRecord]:
        """The bakes by when they end."""
        return sorted(self.replayed.bakes.values(), key=lambda record: record.ends, reverse=True)

    def _ended_after(self, at: datetime) -> Iterable[BakeRecord]:
        return takewhile(lambda record: record.ends > at, self._last_first)

    def in_hand(self, now: datetime) -> list[Bake]:
        """The bakes neither given up nor over, their courses moved by what was seen."""
        records = [
            record for record in self._ended_after(now - KEPT_AFTER) if not record.bake.given_up
        ]
        records.sort(key=lambda record: (record.bake.plan.ready, record.bake.key))
        watched = [self.learning.watched(record) for record in records]
        return [
            replace(each.found, under_way=True) if each.waits else each.found
            for each in watched
            if each.found is not None
        ]

    def ended_since(self, at: datetime) -> list[BakeRecord]:
        """The bakes whose last step ended after `at`, or is still to come, the latest first."""
        return [record for record in self._ended_after(at) if not record.bake.given_up]

    def is_subject(self, subject: Subject) -> bool:
        """Whether what a job is about is still here: a bake, an oven, a culture."""
        kind, name = subject
        if kind in (PLAN, MOVES, WEEK, RAISING_PAGE):
            return True  # of what is still to come
        if kind == SHARED:
            return name in self.records
        if kind in OF_BAKES:
            record = self.replayed.bakes.get(name)
            return record is not None and not record.bake.given_up
        if kind in OF_OVENS:
            return any(oven.name == name for oven in self.file.ovens)
        return self.replayed.lives.state.named(name) is not None

    @cached_property
    def _followed(self) -> FollowedCultures:
        from pointage.desk.now.cultures.followed import FollowedCultures

        return FollowedCultures(self)

    def culture_course(self, culture: CultureAtHand, now: datetime) -> CultureCourses:
        """What a culture does from its last feed on."""
        return self._followed.course(culture, now)

    def cultures(self, now: datetime) -> list[CultureNow]:
        """The cultures at hand, as they stand at `now`."""
        return [self.culture_now(each, now) for each in self.kitchen.cultures]

    def culture_now(self, culture: CultureAtHand, now: datetime) -> CultureNow:
        """One of them; one that is still being raised by the course of its raising."""
        return self._followed.now(culture, now)

    def needs(self, now: datetime) -> tuple[CultureNeed, ...]:
        """What the cultures need next, the soonest first."""
        return self._followed.needs(now)

    def raising(self, name: str, now: datetime) -> tuple[RaisedDay, ...]:
        """The days of a culture begun from flour and water. Raises NotThere, InputError."""
        return self._followed.raising(name, now)

    def raising_elsewhere(self, name: str, now: datetime) -> tuple[Elsewhere, ...]:
        """When it may be trusted in each place and by each means there is. Raises as `raising`."""
        return self._followed.raising_elsewhere(name, now)

    def about_culture(self, life: Life) -> list[Entry]:
        """What was recorded of a culture under any of its names, in order."""
        index = self.replayed.about_culture
        said = {
            entry.id: entry
            for name in life.names
            for entry in index.get(name.casefold(), {}).values()
        }
        return sorted(said.values(), key=in_order)

    def about_bake(self, key: str) -> list[Entry]:
        """What was recorded of a bake, in order."""
        return sorted(self.replayed.about_bake.get(key, {}).values(), key=in_order)

    def friction(self, minutes: float, dough_kg: float) -> Friction:
        """What mixing such a dough warms it by, as the file says and its doughs teach."""
        from pointage.desk.now.learned.friction import learned_friction

        return learned_friction(self._warmings, self.file, minutes, dough_kg)

    @cached_property
    def _warmings(self) -> list[float]:
        from pointage.desk.now.learned.friction import seen_warmings

        return seen_warmings(self.every_bake.values(), self.file)

    def ledger(self, now: datetime) -> stores.Ledger:
        """What came into the stores, went out of them and is reserved."""
        near = self._ended_after(now - max(KEPT_AFTER, stores.ASKED_FOR))
        return stores.ledger(
            now,
            [(record.bake, record.takings, record.ends) for record in near],
            {name: fold.state for name, fold in self.replayed.shelves.items()},
            self.lives,
            self.replayed.stock.values(),
        )


def present_of(
    record: KitchenRecord,
    file: Kitchen,
    formulas: Iterable[FormulaRecord],
    entries: Iterable[Entry],
    jobs: Jobs | None = None,
) -> Present:
    """The present of a kitchen from nothing but its records: what a keeper must come to as well."""
    from pointage.desk.now.replayed import opened

    every = list(entries)
    change = max((entry.number for entry in every), default=0)
    return Present(
        change,
        record,
        0,
        {each.slug: each for each in formulas},
        opened(file).with_new(every, change),
        jobs or Jobs(beside=False),
    )
