"""The larder: buy, count, use, take back; and see what is there, what it costs, what is lacking."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from fractions import Fraction

from pointage.daybook.entry import EntryKind
from pointage.desk.formulas.sheets import named
from pointage.desk.larder import recorded
from pointage.desk.larder.answers import BatchCost, LarderNow, RecentEntry
from pointage.desk.larder.recorded import Purchase, TakenOrCounted
from pointage.desk.larder.shopping import WEEK, view_of
from pointage.desk.larder.view import View
from pointage.desk.now.ledger import STOCK_KINDS, Ledger
from pointage.desk.one_kitchen import OneKitchen
from pointage.desk.records.records import Saved
from pointage.formula.formula import Formula
from pointage.formula.ingredients import ingredients
from pointage.language import say
from pointage.larder.stock import Lot

RECENT = 6


class LarderDesk:
    """The larder of one kitchen. Times are aware; what is recorded stays, once.

    sure: as in `RecordDesk.record`.
    """

    def __init__(self, kitchen: OneKitchen) -> None:
        self._in = kitchen

    def buy(self, entry: str, what: Purchase, now: datetime, *, sure: bool = True) -> Saved:
        """Stock came in. Raises InputError."""
        happened, body = recorded.bought(what, self._in.present().kitchen, now)
        return self._in.records.record(entry, EntryKind.BOUGHT, happened, body, sure=sure)

    def count(self, entry: str, what: TakenOrCounted, now: datetime, *, sure: bool = True) -> Saved:
        """A stock-take of one ingredient or lot. Raises InputError."""
        body = recorded.taken(what, self._in.present().ledger(now).stock)
        return self._in.records.record(entry, EntryKind.COUNTED, now, body, sure=sure)

    def use(self, entry: str, what: TakenOrCounted, now: datetime, *, sure: bool = True) -> Saved:
        """Stock went out for something that no bake records. Raises InputError."""
        body = recorded.taken(what, self._in.present().ledger(now).stock)
        return self._in.records.record(entry, EntryKind.USED, now, body, sure=sure)

    def lots(self, item: str, now: datetime) -> list[tuple[Lot, Fraction]]:
        """Every lot that ever came of an ingredient, the newest first, with what is left of it."""
        shelf = self._in.present().ledger(now).stock.shelf(item)
        return [(lot, shelf.left[key]) for key, lot in reversed(list(shelf.lots.items()))]

    def take_back(self, entry: str, wrong: str) -> Saved:
        """What entry `wrong` said of the larder does not hold. Raises NotThere."""
        self._in.records.line_of(wrong, STOCK_KINDS, "entry of the larder")
        return self._in.records.withdraw(entry, wrong)

    def look(
        self, now: datetime, days: int = WEEK.days, also: Sequence[tuple[str, int]] = ()
    ) -> LarderNow:
        """The larder at `now`, and the days to come: so many, or more until every bake is out.

        also: formulas by slug with pieces that may be baked besides what is planned; they are
        shopped for. Raises NotThere for a formula, InputError for a batch that is none.
        """
        present = self._in.present()
        kitchen, formulas = present.kitchen, present.formulas
        view = view_of(present, now, days)
        ledger = view.ledger
        wanted = [(named(formulas, slug), pieces) for slug, pieces in also]
        week, week_energy = view.week()
        coming = view.coming()
        return LarderNow(
            now=now,
            until=view.until,
            currency=kitchen.currency,
            shelves=view.shelves(),
            shopping=view.shopping(wanted),
            past=view.past(),
            formulas=view.formula_costs(),
            bakes=view.bake_costs(),
            week=week,
            week_energy=week_energy,
            coming=coming,
            gone=view.gone(now - timedelta(days=days)),
            offers=view.offers(coming),
            recent=self._recent(ledger),
            flags=tuple(dict.fromkeys(ledger.flags)),
        )

    def formula_cost(self, slug: str, pieces: int, piece_g: Fraction) -> BatchCost:
        """What a batch of a formula would cost out of the stock of now. Raises NotThere."""
        return self.cost_of(named(self._in.present().formulas, slug), pieces, piece_g)

    def cost_of(self, formula: Formula, pieces: int, piece_g: Fraction) -> BatchCost:
        """The same of one that need not be kept."""
        now, present = self._in.clock(), self._in.present()
        view = View(present.ledger(now), present.kitchen, {}, now + WEEK)
        return view.batch_cost(formula, pieces, piece_g)

    def _recent(self, ledger: Ledger) -> tuple[RecentEntry, ...]:
        known = ingredients()
        return tuple(
            RecentEntry(
                entry.id,
                entry.kind.value,
                entry.happened,
                say(known[name].label) if (name := str(entry.body["item"])) in known else name,
                recorded.exact(entry.body["grams"]),
            )
            for entry in ledger.said[:RECENT]
        )
