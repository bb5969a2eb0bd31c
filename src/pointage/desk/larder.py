"""The larder: buy, count, use, take back; and see what is there, what it costs, what is lacking."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from fractions import Fraction
from typing import Any

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.store import Store
from pointage.desk import larder_told
from pointage.desk.answers import NotThere
from pointage.desk.larder_answers import BatchCost, Heard, LarderNow
from pointage.desk.larder_ledger import STOCK_KINDS, Ledger, read_ledger
from pointage.desk.larder_view import View
from pointage.desk.records import RecordDesk, Told
from pointage.desk.sheets import named
from pointage.formula.formula import Formula
from pointage.formula.ingredients import ingredients
from pointage.formula.read import read_formula
from pointage.kitchen.kitchen import Kitchen
from pointage.larder.stock import flours_in_use
from pointage.mixture.flours import FIGURES, Flours

WEEK = timedelta(days=7)
HEARD = 6


class LarderDesk:
    """The larder of one kitchen. Times are aware; what is told is told for good, once.

    kitchen: as it is now; file: as its file says, which has how much of a culture is kept.
    """

    def __init__(
        self,
        store: Store,
        kitchen_id: str,
        clock: Callable[[], datetime],
        kitchen: Callable[[], Kitchen],
        file: Callable[[], Kitchen],
    ) -> None:
        self._store = store
        self._id = kitchen_id
        self._clock = clock
        self._as_it_is = kitchen
        self._file = file
        self._records = RecordDesk(store, kitchen_id, clock)

    def buy(self, entry: str, fields: Mapping[str, str], now: datetime) -> Told:
        """Stock came in: the fields of `larder_told.bought`. Raises InputError by their names."""
        happened, body = larder_told.bought(fields, self._kitchen(), now)
        return self._records.record(entry, EntryKind.BOUGHT, happened, body)

    def count(self, entry: str, fields: Mapping[str, str], now: datetime) -> Told:
        """A stock-take of one ingredient or lot: item, mass, lot. Raises InputError."""
        body = larder_told.taken(fields, self._ledger(now).stock, counted=True)
        return self._records.record(entry, EntryKind.COUNTED, now, body)

    def use(self, entry: str, fields: Mapping[str, str], now: datetime) -> Told:
        """Stock went out for something no bake tells of: item, mass, lot, remark.

        Raises InputError.
        """
        body = larder_told.taken(fields, self._ledger(now).stock, counted=False)
        return self._records.record(entry, EntryKind.USED, now, body)

    def take_back(self, entry: str, wrong: str) -> Told:
        """What entry `wrong` said of the larder does not hold. Raises NotThere."""
        if not any(e.id == wrong for e in self._store.entries(self._id, STOCK_KINDS)):
            raise NotThere("entry of the larder", wrong)
        return self._records.withdraw(entry, wrong)

    def look(
        self, now: datetime, days: int = WEEK.days, also: Sequence[tuple[str, int]] = ()
    ) -> LarderNow:
        """The larder at `now`, and the days to come.

        also: formulas by slug with pieces that may be baked besides what is planned; they are
        shopped for. Raises NotThere for a formula, InputError for a batch that is none.
        """
        kitchen, formulas = self._kitchen(), self._formulas()
        ledger = self._ledger(now, kitchen)
        view = View(ledger, kitchen, formulas, now + timedelta(days=days))
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
            heard=self._heard(ledger),
            flags=tuple(dict.fromkeys(ledger.flags)),
        )

    def flours(self) -> Flours:
        """The figures of the flours in use, by the sacks that the next use draws on."""
        entries = self._store.entries(self._id)
        if not any(figure in _lot_of(each) for each in entries for figure in FIGURES):
            return {}  # what is dear is not done for stores without a mill's sheet
        return flours_in_use(read_ledger(entries, self._file().cultures, self._clock()).stock)

    def formula_cost(self, slug: str, pieces: int, piece_g: Fraction) -> BatchCost:
        """What a batch of a formula would cost out of the stock of now. Raises NotThere."""
        return self.cost_of(named(self._formulas(), slug), pieces, piece_g)

    def cost_of(self, formula: Formula, pieces: int, piece_g: Fraction) -> BatchCost:
        """The same of one that need not be kept."""
        now, kitchen = self._clock(), self._kitchen()
        view = View(self._ledger(now, kitchen), kitchen, {}, now + WEEK)
        return view.batch_cost(formula, pieces, piece_g)

    def _kitchen(self) -> Kitchen:
        """The kitchen as it is, its cultures with the mass and seed they are kept at."""
        kept = {each.name: each for each in self._file().cultures}
        kitchen = self._as_it_is()
        cultures = [
            replace(each, mass_g=kept[each.name].mass_g, seed_share=kept[each.name].seed_share)
            if each.name in kept
            else each
            for each in kitchen.cultures
        ]
        return replace(kitchen, cultures=tuple(cultures))

    def _ledger(self, now: datetime, kitchen: Kitchen | None = None) -> Ledger:
        cultures = (kitchen or self._kitchen()).cultures
        return read_ledger(self._store.entries(self._id), cultures, now)

    def _formulas(self) -> dict[str, Formula]:
        records = self._store.formulas(self._id)
        return {each.slug: read_formula(each.text, f"{each.slug}.toml") for each in records}

    def _heard(self, ledger: Ledger) -> tuple[Heard, ...]:
        known = ingredients()
        return tuple(
            Heard(
                entry.id,
                entry.kind.value,
                entry.happened,
                known[name].label if (name := str(entry.body["item"])) in known else name,
                larder_told.exact(entry.body["grams"]),
            )
            for entry in ledger.heard[:HEARD]
        )


def _lot_of(entry: Entry) -> Mapping[str, Any]:
    """What a purchase, or the correction of one, says."""
    if entry.kind is EntryKind.CORRECTED:
        corrected: Mapping[str, Any] = entry.body.get("body", {})
        return corrected
    return entry.body if entry.kind is EntryKind.BOUGHT else {}
