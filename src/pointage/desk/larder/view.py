"""The ledger seen from all sides: shelves, shopping list, cost, and discard with its uses."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction
from functools import cached_property
from math import floor

from pointage.culture.keeping import FeedBack
from pointage.desk.answers import Bake
from pointage.desk.calculators.firing import energy_kwh, formula_kwh
from pointage.desk.larder.answers import (
    BakeCost,
    BatchCost,
    FormulaCost,
    Offer,
    PricedDiscard,
    ShelfNow,
)
from pointage.desk.now.ledger import Batch, Ledger
from pointage.desk.now.takings import KEPT, added
from pointage.formula.discard import most_discard, with_discard
from pointage.formula.formula import Formula
from pointage.formula.ingredients import ingredients
from pointage.formula.scale import Scaled, scale
from pointage.kitchen.kitchen import CultureAtHand, Kitchen
from pointage.kitchen.needs import CultureNeed
from pointage.language import say
from pointage.larder.cost import (
    Cost,
    cost_of,
    cost_of_draws,
    is_stocked,
    total,
    worth,
)
from pointage.larder.shopping import (
    Need,
    ShoppingLine,
    past_best,
    shopping,
)
from pointage.larder.stock import NONE, Lot
from pointage.larder.upkeep import (
    Discard,
    discard_of,
    idle_feeds,
    upkeep,
)

SOONEST = timedelta(hours=12)
"""From feed to feed of a culture, at the least."""


@dataclass(frozen=True)
class View:
    """A ledger, with the kitchen and formulas it belongs to, looking ahead until `until`.

    needs: what the cultures need next, as the Bench has it.
    """

    ledger: Ledger
    kitchen: Kitchen
    formulas: Mapping[str, Formula]
    until: datetime
    needs: Sequence[CultureNeed] = ()

    def shelves(self) -> tuple[ShelfNow, ...]:
        """Each ingredient that was ever here or is asked for, flours first."""
        stock = self.ledger.stock
        wanted = added(mix.grams for batch in self.ledger.batches for mix in batch.needs)
        here = {name for name, shelf in stock.shelves.items() if shelf.lots or shelf.short}
        found = []
        for name, it in ingredients().items():
            if (name not in here and not wanted.get(name)) or not is_stocked(name):
                continue
            lots = stock.lots_of(name)
            found.append(
                ShelfNow(
                    ingredient=name,
                    label=say(it.label),
                    stock_g=stock.grams(name),
                    reserved_g=wanted.get(name, NONE),
                    worth=worth(name, stock, self.kitchen.currency),
                    best_before=min(
                        (lot.best_before for lot in lots if lot.best_before), default=None
                    ),
                    short_g=stock.shelf(name).short,
                    lots=tuple((lot, stock.shelf(name).left[lot.key]) for lot in lots),
                )
            )
        return tuple(found)

    def shopping(self, wanted: Sequence[tuple[Formula, int]] = ()) -> tuple[ShoppingLine, ...]:
        """What the days to come need: bakes in hand, upkeep, and bakes that are only wanted."""
        needs = []
        for batch in self.ledger.batches:
            for mix in batch.needs:
                if mix.at < self.until:
                    needs += _needs(mix.grams, mix.at, batch.bake.plan.formula)
        for culture, feed, at in self._idle:
            needs += _needs(feed.flours, at, say("{name}, upkeep", name=culture.name))
        for formula, pieces in wanted:
            rows = self._scaled(formula, pieces, formula.piece_g).rows
            grams = {row.name: row.grams for row in rows}
            needs += _needs(grams, self.until, say("{name}, if baked", name=formula.name))
        return shopping(needs, self.ledger.stock, self.kitchen.currency)

    def past(self) -> tuple[Lot, ...]:
        """Lots that will be past their best by the end."""
        return tuple(past_best(self.ledger.stock, self.until.astimezone(self.kitchen.zone).date()))

    def formula_costs(self) -> tuple[FormulaCost, ...]:
        """Each formula for its own pieces, out of the stock as it is."""
        return tuple(
            FormulaCost(slug, self.batch_cost(formula, formula.pieces, formula.piece_g))
            for slug, formula in self.formulas.items()
        )

    def batch_cost(self, formula: Formula, pieces: int, piece_g: Fraction) -> BatchCost:
        """A batch of a formula that has the oven to itself."""
        rows = self._scaled(formula, pieces, piece_g).rows
        grams = {row.name: row.grams for row in rows}
        cost = cost_of(grams, self.ledger.stock, self.kitchen.currency)
        kwh = formula_kwh(formula, self.kitchen, pieces)
        return BatchCost(formula.name, pieces, cost, self._priced(kwh))

    def bake_costs(self) -> tuple[BakeCost, ...]:
        """Each bake in hand, by what it took and will take; the soonest ready first."""
        found = [
            BakeCost(bake.key, bake.plan.ready, self._bake_cost(batch))
            for batch in self.ledger.batches
            if batch.in_hand
            for bake in (batch.bake,)
        ]
        return tuple(sorted(found, key=lambda each: each.ready))

    def week(self) -> tuple[Cost, Fraction | None]:
        """What the bakes in hand until the end and the upkeep cost, and the energy of those bakes.

        The energy is None where one of them has no known price.
        """
        bakes = [each.batch for each in self.bake_costs() if each.ready <= self.until]
        idle = added(feed.flours for _, feed, _ in self._idle)
        upkept = cost_of(idle, self.ledger.ahead, self.kitchen.currency)
        known = [batch.energy for batch in bakes if batch.energy is not None]
        energy = sum(known, NONE) if len(known) == len(bakes) else None
        return total(batch.ingredients for batch in bakes) + upkept, energy

    def coming(self) -> tuple[PricedDiscard, ...]:
        """What will be poured off: at bakes in hand and at feeds between them."""
        found = [
            (discard, max(built, self.ledger.now))
            for discard, built in self._at_builds()
            if built < self.until
        ]
        found += [(discard_of(culture, feed.discard_g), at) for culture, feed, at in self._idle]
        return self._costed(found)

    def gone(self, since: datetime) -> tuple[PricedDiscard, ...]:
        """What was discarded since: at feeds and between them."""
        return self._costed(self.ledger.gone(since))

    def offers(self, poured: Iterable[PricedDiscard]) -> tuple[Offer, ...]:
        """Which formulas can take the discard of each culture, and how."""
        by_culture: dict[str, Discard] = {}
        for each in (one.discard for one in poured):
            before = by_culture.get(each.culture)
            grams = each.grams + (before.grams if before else NONE)
            by_culture[each.culture] = Discard(each.culture, grams, each.hydration, each.flours)
        return tuple(
            offer
            for discard in by_culture.values()
            for slug, formula in self.formulas.items()
            if (offer := self._offer(slug, formula, discard)) is not None
        )

    def _offer(self, slug: str, formula: Formula, discard: Discard) -> Offer | None:
        batch = self._scaled(formula, formula.pieces, formula.piece_g)
        whole = floor(discard.grams / batch.step_g) * batch.step_g
        grams = min(whole, most_discard(batch, discard.hydration))
        if not grams:
            return None
        found = with_discard(formula.name, batch, grams, discard.hydration, discard.flours)
        return Offer(
            slug,
            formula.name,
            formula.pieces,
            discard.culture,
            grams,
            found.rows,
            found.stands_in,
            found.is_much,
        )

    @cached_property
    def _idle(self) -> list[tuple[CultureAtHand, FeedBack, datetime]]:
        """Feeds of resting cultures. One that a bake wakes rests again from its build on."""
        found = []
        needed = {each.culture: each for each in self.needs}
        for culture in self.kitchen.cultures:
            builds = [
                batch.takings.built
                for batch in self.ledger.batches
                if batch.in_hand
                and batch.takings.built is not None
                and culture.called(batch.bake.plan.culture)
            ]
            need = needed.get(culture.name)
            if need is not None and not builds:
                found += [(culture, *fed) for fed in _feeds(need, culture.fed, self)]
                continue
            last = max((culture.fed, *builds))
            start = max(self.ledger.now, last)
            found += [(culture, upkeep(culture), at) for at in idle_feeds(last, start, self.until)]
        return found

    @cached_property
    def _batches(self) -> dict[tuple[str, int, Fraction], Scaled]:
        """What was scaled for this look; costs and offers ask for the same batches."""
        return {}

    @cached_property
    def _kwh(self) -> Mapping[str, Fraction]:
        bakes: list[Bake] = [batch.bake for batch in self.ledger.batches if batch.in_hand]
        return energy_kwh(bakes, self.kitchen)

    def _bake_cost(self, batch: Batch) -> BatchCost:
        plan, ahead = batch.bake.plan, self.ledger.ahead
        taken = {mix.step: set(mix.grams) for mix in batch.takings.mixes}
        taken[KEPT] = set(ahead.shelves)  # which flours, the culture's life says
        costs = [
            cost_of_draws(name, draws, ahead, self.kitchen.currency)
            for step, names in taken.items()
            for name in sorted(names)
            if (draws := ahead.shelf(name).draws.get(f"{batch.bake.key}/{step}/{name}")) is not None
        ]
        kwh = self._kwh.get(batch.bake.key)
        return BatchCost(plan.formula, plan.pieces, total(costs), self._priced(kwh))

    def _priced(self, kwh: Fraction | None) -> Fraction | None:
        price = self.kitchen.energy_price
        return None if kwh is None or price is None else kwh * price

    def _at_builds(self) -> list[tuple[Discard, datetime]]:
        """What the builds still to come will discard."""
        return [
            (found.discard, found.built)
            for batch in self.ledger.batches
            for found in (batch.takings,)
            if batch.in_hand and found.discard is not None and found.built is not None
        ]

    def _costed(self, found: Iterable[tuple[Discard, datetime]]) -> tuple[PricedDiscard, ...]:
        return tuple(
            PricedDiscard(
                discard, at, cost_of(discard.flour_g, self.ledger.stock, self.kitchen.currency)
            )
            for discard, at in sorted(found, key=lambda each: each[1])
            if discard.grams
        )

    def _scaled(self, formula: Formula, pieces: int, piece_g: Fraction) -> Scaled:
        asked = formula.slug, pieces, piece_g
        if asked not in self._batches:
            step = self.kitchen.scale_for(float(pieces * piece_g)).step_g
            self._batches[asked] = scale(formula, pieces, piece_g, step)
        return self._batches[asked]


def _needs(grams: Mapping[str, Fraction], at: datetime, what: str) -> list[Need]:
    return [Need(name, mass, at, what) for name, mass in grams.items()]


def _feeds(need: CultureNeed, fed: datetime, view: View) -> Iterator[tuple[FeedBack, datetime]]:
    """The feed that a culture needs next, and as many more as far apart as fit in the time."""
    if need.feed is None:
        return
    feed = need.feed
    back = FeedBack(feed.seed_g, feed.flours_g, feed.water_g, need.discard_g)
    at, every = max(need.at, view.ledger.now), max(need.at - fed, SOONEST)
    while at < view.until:
        yield back, at
        at += every
