"""The daybook gone through: bakes, cultures, stores, and what had to be set aside.

Nothing here hangs on the clock. A line that reads otherwise takes out what it said before and puts
in what it says now; only what that touches is gone through again.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import cached_property
from typing import TypeVar

from pointage.culture.life import Life
from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.journal import Journal, Turned
from pointage.daybook.replay import Line, amended, holds, in_order, unclear
from pointage.desk.answers import Bake
from pointage.desk.now import ledger
from pointage.desk.now.bakes.bake import (
    MEASURED,
    ends,
    measured_of,
    news_of,
    planned_bake,
    with_news,
)
from pointage.desk.now.bakes.record import BakeRecord, Ready, placed
from pointage.desk.now.counts import counts
from pointage.desk.now.cultures.lives import (
    LIVES_OF,
    Lives,
    NamedEvent,
    events_of_bake,
    events_of_entry,
    of_file,
    with_event,
)
from pointage.desk.now.fold import Fold, Key
from pointage.desk.now.set_aside import SetAside, set_aside
from pointage.desk.now.takings import MixedAs, takings
from pointage.errors import InputError
from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.language import mark, say
from pointage.larder.stock import Event as StockEvent
from pointage.larder.stock import Shelf, Stock, flours_in_use
from pointage.mixture.flours import Flours

Event = TypeVar("Event")
NEVER = datetime.min.replace(tzinfo=UTC)
OF_A_BAKE = ledger.MIX_KINDS | MEASURED
Said = Mapping[str, Entry]
"""Standing entries by id."""


Upkept = Mapping[ledger.Feed, ledger.AssumedFeed]
"""What the feeds of a culture took that nobody recorded, feed by feed."""


A_BAKE = mark("a bake that was planned here")
NO_PLANS: Mapping[str, BakeRecord] = {}


@dataclass(frozen=True, eq=False)
class Replayed:
    """Everything the daybook says, by subject.

    aside: by entry. about: standing entries by the bake, and by the culture, that they name.
    waiting: news of bakes whose plan is not here, or cannot be read. stock: the standing entries
    about the stores; own: those that describe an ingredient of one's own. read, measured: the bakes
    not given up of which something was read, by culture, and measured, by the name of the oven; in
    the order in which they are ready. flours: the figures of the sacks in use.
    """

    file: Kitchen
    journal: Journal = field(default_factory=Journal)
    aside: Mapping[str, SetAside] = field(default_factory=dict)
    bakes: Mapping[str, BakeRecord] = field(default_factory=dict)
    waiting: Mapping[str, Said] = field(default_factory=dict)
    about_bake: Mapping[str, Said] = field(default_factory=dict)
    about_culture: Mapping[str, Said] = field(default_factory=dict)
    stock: Said = field(default_factory=dict)
    own: Said = field(default_factory=dict)
    lives: Fold[Lives, NamedEvent] = field(default_factory=lambda: Fold(Lives()))
    shelves: Mapping[str, Fold[Shelf, StockEvent]] = field(default_factory=dict)
    upkept: Mapping[str, Upkept] = field(default_factory=dict)
    read: Mapping[str, Sequence[Ready]] = field(default_factory=dict)
    measured: Mapping[str, Sequence[Ready]] = field(default_factory=dict)
    flours: Flours = field(default_factory=dict)

    def with_new(self, entries: Iterable[Entry], change: int) -> Replayed:
        """With these entries too."""
        journal, turned = self.journal.with_new(entries, change)
        return _Turning(self, journal).all(turned)

    def with_file(self, file: Kitchen) -> Replayed:
        """Under another text of the kitchen: what its cultures are is gone through anew."""
        journal, turned = Journal().with_new(self.journal.entries.values(), self.journal.change)
        return _Turning(opened(file), journal, self.bakes).all(turned)

    @cached_property
    def kitchen(self) -> Kitchen:
        """The kitchen's file with the figures of the sacks in use."""
        return replace(self.file, flours=self.flours)

    @property
    def set_asides(self) -> Iterator[SetAside]:
        """All that cannot be used, whether it counts for nothing or only in part."""
        yield from self.aside.values()
        for line in self.journal.waiting():
            if line.now is not None:
                name = amended(line.now)
                here = name in self.journal.entries
                expected = (
                    say("one that does not amend this one") if here else say("one of this daybook")
                )
                error = InputError("entry", repr(name), expected)
                yield set_aside("entry", line.now.id, error)
        yield from self._about_nothing()
        for record in self.bakes.values():
            yield from record.fold.state.aside
        for key, said in self.waiting.items():
            for entry in said.values():
                error = InputError("bake", repr(key), say(A_BAKE))
                yield set_aside("entry", entry.id, error)
        for odd in self.lives.state.oddities:
            if odd.source:
                yield SetAside("entry", odd.source, odd.field, odd.value, odd.expected, odd.counts)

    def _about_nothing(self) -> Iterator[SetAside]:
        """What was recorded of a culture or a bake that is not here, and is no news of a bake."""
        for name, said in self.about_culture.items():
            if self.lives.state.named(name) is None:
                known = ", ".join(life.name for life in self.lives.state.lives.values())
                for entry in said.values():
                    if entry.kind not in LIVES_OF:
                        culture = repr(entry.body["culture"])
                        expected = say(
                            "a culture of this kitchen: {known}",
                            known=known or say("none is kept yet"),
                        )
                        yield SetAside("entry", entry.id, "culture", culture, expected)
        for key, said in self.about_bake.items():
            if key not in self.bakes:
                for entry in said.values():
                    if news_of(entry) is None:
                        counts = entry.kind not in MEASURED  # a note is read all the same
                        yield SetAside("entry", entry.id, "bake", repr(key), say(A_BAKE), counts)


def opened(file: Kitchen) -> Replayed:
    """A kitchen of which nothing is recorded yet."""
    start, said = of_file(file)
    lives: Fold[Lives, NamedEvent] = Fold(start)
    lives, _ = lives.with_events((), said, with_event)
    return Replayed(file, lives=lives)


class _Turning:
    """One journal on its way into the next picture.

    plans: bakes whose plans were read before, for another picture of the same journal.
    """

    def __init__(
        self, before: Replayed, journal: Journal, plans: Mapping[str, BakeRecord] = NO_PLANS
    ) -> None:
        self._before = before
        self._plans = plans
        self._journal = journal
        self._aside = dict(before.aside)
        self._bakes = dict(before.bakes)
        self._waiting = {key: dict(said) for key, said in before.waiting.items()}
        self._about_bake = dict(before.about_bake)
        self._about_culture = dict(before.about_culture)
        self._stock = dict(before.stock)
        self._own = before.own
        self._read = dict(before.read)
        self._measured = dict(before.measured)
        self._news: dict[str, tuple[list[Key], list[tuple[Key, Entry]]]] = {}
        self._touched: set[str] = set()
        self._lived: tuple[list[Key], list[tuple[Key, NamedEvent]]] = ([], [])
        self._took: dict[str, tuple[list[Key], list[tuple[Key, StockEvent]]]] = {}

    def all(self, turned: Iterable[Turned]) -> Replayed:
        lines = list(turned)
        counts.entries += len(lines)
        old = [line.before.now for line in lines if line.before and line.before.now]
        for entry in sorted(old, key=lambda entry: entry.kind is not EntryKind.PLAN):
            self._out(entry)
        for line in lines:
            for each in line.before.amendments if line.before else ():
                self._aside.pop(each.id, None)
            if line.now.now is not None:
                self._aside |= {each.name: each for each in _unclear(line.now, self._journal.about)}
        # Plans come first: the clock of what was done may be a little behind that of the plan.
        new = [line.now.now for line in lines if line.now.now is not None]
        for entry in sorted(new, key=lambda entry: entry.kind is not EntryKind.PLAN):
            self._in(entry)
        for key in self._touched | self._news.keys():
            self._bake(key)
        before = self._before.lives
        lives, again = before.with_events(*self._lived, with_event)
        upkept = self._upkept(lives.state.lives)
        shelves = dict(self._before.shelves)
        for name, (gone, came) in self._took.items():
            fold = shelves.get(name, Fold(Shelf()))
            shelves[name], more = fold.with_events(gone, came, Shelf.after)
            again += more
        flours = self._before.flours
        if self._took:
            flours = flours_in_use(Stock({name: each.state for name, each in shelves.items()}))
        counts.entries += again
        return replace(
            self._before,
            journal=self._journal,
            aside=self._aside,
            bakes=self._bakes,
            waiting={key: said for key, said in self._waiting.items() if said},
            about_bake=self._about_bake,
            about_culture=self._about_culture,
            stock=self._stock,
            own=self._own,
            lives=lives,
            shelves={name: fold for name, fold in shelves.items() if fold.events},
            upkept=upkept,
            read=self._read,
            measured=self._measured,
            flours=flours,
        )

    def _out(self, entry: Entry) -> None:
        """What an entry said is taken out again."""
        if self._aside.pop(entry.id, None) is not None:
            return
        self._index(entry, there=False)
        if entry.kind is EntryKind.PLAN:
            record = self._bakes.pop(entry.id, None)
            if record is not None:
                said = {news.id: news for _, news in record.fold.events}
                self._waiting[entry.id] = said
                self._lives(record.lived, ())
                self._stores(record.took, ())
                placed(self._read, self._measured, record, None)
            return
        if (key := news_of(entry)) is not None:
            self._waiting.get(key, {}).pop(entry.id, None)
            self._of(key)[0].append(_key(entry))
        if entry.kind in LIVES_OF:
            self._lives(events_of_entry(entry), ())
        if entry.kind in ledger.STOCK_KINDS or entry.kind in ledger.MIX_KINDS:
            self._stores(ledger.stock_events(entry), ())

    def _in(self, entry: Entry) -> None:
        """What an entry says is brought in; one that cannot be used is set aside."""
        from pointage.daybook.bodies import usable  # slow to load, and many commands have no entry

        try:
            usable(entry)
            if entry.kind is EntryKind.PLAN:
                read = self._plans.get(entry.id)
                start = planned_bake(entry) if read is None else read.fold.start
                self._bakes[entry.id] = BakeRecord(Fold(start))
                self._touched.add(entry.id)
                for news in self._waiting.pop(entry.id, {}).values():
                    self._of(entry.id)[1].append((_key(news), news))
            lived = events_of_entry(entry) if entry.kind in LIVES_OF else ()
            in_stores = entry.kind in ledger.STOCK_KINDS or entry.kind in ledger.MIX_KINDS
            took = ledger.stock_events(entry) if in_stores else ()
            if entry.kind in ledger.MIX_KINDS:
                ledger.mix_of(entry)
        except InputError as error:
            self._aside[entry.id] = set_aside("entry", entry.id, error)
            return
        except (KeyError, ValueError, TypeError, ArithmeticError) as error:
            unread = InputError("body", type(error).__name__, say("an entry that can be read"))
            self._aside[entry.id] = set_aside("entry", entry.id, unread)
            return
        self._index(entry, there=True)
        if (key := news_of(entry)) is not None:
            if key in self._bakes:
                self._of(key)[1].append((_key(entry), entry))
            else:
                self._waiting.setdefault(key, {})[entry.id] = entry
        self._lives((), lived)
        self._stores((), took)

    def _index(self, entry: Entry, *, there: bool) -> None:
        """Note, or forget, what an entry is about."""
        body = entry.body
        for index, name in (
            (self._about_bake, body.get("bake")),
            (self._about_culture, str(body["culture"]).casefold() if "culture" in body else None),
        ):
            if isinstance(name, str):
                index[name] = _changed(index.get(name, {}), entry, there=there)
        if entry.kind in ledger.STOCK_KINDS:
            self._stock = _changed(self._stock, entry, there=there)
        if entry.kind is EntryKind.INGREDIENT:
            self._own = _changed(self._own, entry, there=there)
        if entry.kind in OF_A_BAKE and "bake" in body:
            self._touched.add(str(body["bake"]))

    def _of(self, bake: str) -> tuple[list[Key], list[tuple[Key, Entry]]]:
        return self._news.setdefault(bake, ([], []))

    def _lives(
        self,
        gone: Iterable[tuple[Key, NamedEvent]],
        came: Iterable[tuple[Key, NamedEvent]],
    ) -> None:
        self._lived[0].extend(key for key, _ in gone)
        self._lived[1].extend(came)

    def _stores(
        self, gone: Iterable[tuple[Key, StockEvent]], came: Iterable[tuple[Key, StockEvent]]
    ) -> None:
        for key, event in gone:
            self._took.setdefault(event.ingredient, ([], []))[0].append(key)
        for key, event in came:
            self._took.setdefault(event.ingredient, ([], []))[1].append((key, event))

    def _bake(self, key: str) -> None:
        """A bake with its news, what that did to its culture, and what it took of the stores."""
        record = self._bakes.get(key)
        if record is None:
            return
        gone, came = self._news.get(key, ((), ()))
        fold, again = record.fold.with_events(gone, came, with_news)
        counts.entries += again
        bake = fold.state.bake
        lived = tuple(events_of_bake(bake))
        self._lives(*_differing(record.lived, lived))
        found = takings(bake, _culture(bake, self._before), self._mixed(key))
        took = tuple(ledger.events_of_takings(bake, found))
        self._stores(*_differing(record.took, took))
        has_news = key in self._news or not record.stamp
        now = BakeRecord(
            fold,
            self._journal.change if has_news else record.stamp,
            found,
            lived,
            took,
            ends(bake.plan),
            measured_of(sorted(self._about_bake.get(key, {}).values(), key=in_order)),
        )
        self._bakes[key] = now
        placed(self._read, self._measured, record, now)

    def _mixed(self, bake: str) -> dict[str, MixedAs]:
        """By step, what the daybook says went into the mixes of a bake."""
        steps: dict[str, list[MixedAs]] = {}
        for entry in self._about_bake.get(bake, {}).values():
            if entry.kind in ledger.MIX_KINDS and "step" in entry.body:
                steps.setdefault(str(entry.body["step"]), []).append(ledger.mix_of(entry))
        return {step: ledger.together(mixes) for step, mixes in steps.items()}

    def _upkept(self, lives: Mapping[str, Life]) -> dict[str, Upkept]:
        """What the feeds took that nobody recorded; only of cultures that changed, or are gone."""
        upkept = dict(self._before.upkept)
        known = self._before.lives.state.lives
        for first in known.keys() | lives.keys():
            life = lives.get(first)
            if known.get(first) is life:
                continue
            before = upkept.get(first, {})
            came = {} if life is None else ledger.upkeep_of(life, before)
            gone = [each for feed, each in before.items() if came.get(feed) is not each]
            new = [each for feed, each in came.items() if before.get(feed) is not each]
            self._stores(
                *_differing(
                    (event for each in gone for event in each.events),
                    (event for each in new for event in each.events),
                )
            )
            upkept[first] = came
        return upkept


def _unclear(line: Line, about: Mapping[str, Sequence[Entry]]) -> Iterator[SetAside]:
    """The corrections after the last one that was heard, which takes the place of those before."""
    for each in reversed(line.amendments):
        error = unclear(each)
        if not holds(each, about):
            continue
        if error is None:
            return
        # Of one whose time cannot be read, the rest holds.
        yield replace(set_aside("entry", each.id, error), counts=error.field == "happened")


def _differing(
    before: Iterable[tuple[Key, Event]], now: Iterable[tuple[Key, Event]]
) -> tuple[list[tuple[Key, Event]], list[tuple[Key, Event]]]:
    """What is gone of some events, and what has come."""
    old, new = dict(before), dict(now)
    return (
        [(key, event) for key, event in old.items() if new.get(key) != event],
        [(key, event) for key, event in new.items() if old.get(key) != event],
    )


def _changed(said: Said, entry: Entry, *, there: bool) -> dict[str, Entry]:
    changed = dict(said)
    if there:
        changed[entry.id] = entry
    else:
        changed.pop(entry.id, None)
    return changed


def _culture(bake: Bake, before: Replayed) -> CultureAtHand | None:
    """The bake's culture as it was kept when the bake was planned, else as the file has it."""
    if bake.wished is not None and bake.wished.culture is not None:
        return bake.wished.culture
    wanted = bake.plan.culture.casefold()
    return next((e for e in before.file.cultures if e.name.casefold() == wanted), None)


def _key(entry: Entry) -> Key:
    return entry.happened, 0, entry.id
