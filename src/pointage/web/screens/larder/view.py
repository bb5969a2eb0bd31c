"""The larder in words: what is there, what to buy, what bread costs, what is poured off."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from fractions import Fraction

from pointage.desk.answers import FormulaSummary
from pointage.desk.larder.answers import (
    BatchCost,
    LarderNow,
    Offer,
    PricedDiscard,
    RecentEntry,
    ShelfNow,
)
from pointage.errors import InputError
from pointage.formula.flour.figures import figures_words
from pointage.formula.ingredients import ingredient, ingredients
from pointage.larder.cost import Cost, is_stocked, total
from pointage.larder.shopping import ShoppingLine
from pointage.larder.stock import Lot
from pointage.mixture.flours import FIGURES
from pointage.money import print_money
from pointage.shown import date_text, dated_text
from pointage.web.forms.field import Choice
from pointage.web.forms.form import NOTHING
from pointage.web.frame import Frame
from pointage.web.screens.larder.forms import ALSO, forms
from pointage.web.screens.larder.page import (
    BuyLine,
    CostLine,
    LarderPage,
    OfferLine,
    PouredLine,
    RecentLine,
    ShoppingNote,
    ShoppingPage,
    StoreLine,
)
from pointage.web.words.clock import Clock
from pointage.web.words.words import count, mass

NOT_KNOWN = "not known"
SAID = {"bought": "Bought", "counted": "Counted", "used": "Used"}


def larder_page(
    larder: LarderNow,
    formulas: Sequence[FormulaSummary],
    clock: Clock,
    frame: Frame,
    *,
    query: str = "",
    opened: str = "",
    given: Mapping[str, str] = NOTHING,
    error: InputError | None = None,
) -> LarderPage:
    """query: of the list for paper. opened, error: the form that cannot be used as it is, and why.

    given: what stands in that form, or in the question what else might be baked.
    """
    money = larder.currency
    asked = forms(
        [Choice(each.slug, each.name) for each in formulas],
        [
            Choice(lot.key, f"{shelf.label}: {_lot(lot, left, clock)}")
            for shelf in larder.shelves
            for lot, left in shelf.lots
        ],
        money,
        clock.today.isoformat(),
    )
    fields = {name: form.fields()[0] for name, form in asked.items()}
    fields[opened or ALSO], above = asked[opened or ALSO].fields(given, error)
    poured = (*larder.coming, *larder.gone)
    return LarderPage(
        frame=frame,
        flags=larder.flags,
        stores=tuple(_store(shelf, larder, clock) for shelf in larder.shelves),
        worth=cost_words(total(shelf.worth for shelf in larder.shelves), money),
        shopping=shopping_note(larder, clock),
        query=query,
        items=tuple(it.label for name, it in ingredients().items() if is_stocked(name)),
        forms={name: {each.name: each for each in those} for name, those in fields.items()},
        opened=opened,
        above=above,
        sheet=any(each.value for each in fields["buy"] if each.name in FIGURES),
        bakes=tuple(_cost(each.batch, money) for each in larder.bakes),
        recipes=tuple(_cost(each.batch, money) for each in larder.formulas),
        week=_week(larder),
        coming=tuple(_poured(each, clock, money) for each in larder.coming),
        gone=tuple(_poured(each, clock, money) for each in larder.gone),
        lost=cost_words(total(each.cost for each in poured), money) if poured else "",
        offers=tuple(_offer(each) for each in larder.offers),
        recent=tuple(_recent(each, clock) for each in larder.recent),
    )


def shopping_page(larder: LarderNow, clock: Clock, frame: Frame) -> ShoppingPage:
    return ShoppingPage(frame, shopping_note(larder, clock))


def shopping_note(larder: LarderNow, clock: Clock) -> ShoppingNote:
    """What to buy, and what there is enough of."""
    lacking = [line for line in larder.shopping if line.buy_g]
    enough = [ingredient(each.ingredient).label for each in larder.shopping if not each.buy_g]
    left = {lot.key: grams for shelf in larder.shelves for lot, grams in shelf.lots}
    return ShoppingNote(
        until=clock.day(clock.local(larder.until).date()),
        lines=tuple(_buy(line, larder.currency) for line in lacking),
        about=cost_words(total(line.cost for line in lacking), larder.currency),
        enough=", ".join(enough),
        past=tuple(
            f"{ingredient(lot.ingredient).label}, {mass(left[lot.key])}"
            f" that {_came(lot, clock)}: best before {_day(lot.best_before, clock)}"
            for lot in larder.past
        ),
    )


def cost_words(cost: Cost, currency: str) -> str:
    """ "1.12 €"; what has no price is named, never counted as free."""
    if not cost.unpriced:
        return print_money(cost.amount, currency)
    lacking = ", ".join(sorted(ingredient(name).label for name in cost.unpriced))
    if not cost.amount:
        return f"{NOT_KNOWN}: no price of {lacking}"
    return f"{print_money(cost.amount, currency)} without {lacking}, which has no price"


def piece_words(batch: BatchCost, currency: str) -> str:
    """What a piece costs: "about 1.28 €", and what of it is not known."""
    if not batch.each.amount:
        return NOT_KNOWN
    oven = ", without the oven" if batch.energy is None else ""
    return f"about {cost_words(batch.each, currency)}{oven}"


def _store(shelf: ShelfNow, larder: LarderNow, clock: Clock) -> StoreLine:
    lacks = shelf.free_g < 0
    short = (
        f"The calculated stock was {mass(shelf.short_g)} less than you used: count it."
        if shelf.short_g
        else ""
    )
    ahead = clock.local(larder.until).date()
    return StoreLine(
        name=shelf.label,
        stock=mass(shelf.stock_g),
        reserved=mass(shelf.reserved_g) if shelf.reserved_g else "",
        free=f"{mass(-shelf.free_g)} short" if lacks else mass(shelf.free_g),
        lacks=lacks,
        worth=cost_words(shelf.worth, larder.currency) if shelf.stock_g else "",
        best="" if shelf.best_before is None else _day(shelf.best_before, clock),
        soon=shelf.best_before is not None and shelf.best_before < ahead,
        asks=short,
        lots=tuple(_lot(lot, left, clock) for lot, left in shelf.lots),
    )


def _lot(lot: Lot, left: Fraction, clock: Clock) -> str:
    """ "2.3 kg, came 25 Sep, Tidemill, W 0907, Dry store, left; best before 29 Nov"."""
    words = [mass(left), _came(lot, clock), lot.supplier, lot.label, lot.place]
    words += [figures_words(lot.flour)] if lot.flour else []
    best = "" if lot.best_before is None else f"; best before {_day(lot.best_before, clock)}"
    return ", ".join(word for word in words if word) + best


def _came(lot: Lot, clock: Clock) -> str:
    return f"came {_day(clock.local(lot.at).date(), clock)}"


def _day(day: date | None, clock: Clock) -> str:
    if day is None:
        return ""
    near = abs(day - clock.today) < timedelta(days=180)
    return date_text(day) if near else dated_text(day)


def _buy(line: ShoppingLine, currency: str) -> BuyLine:
    packed = line.packs is not None and line.pack_g is not None
    return BuyLine(
        name=ingredient(line.ingredient).label,
        buy=mass(line.buy_g),
        packs=f"{line.packs} × {mass(line.pack_g)}" if packed and line.pack_g else "",
        about=cost_words(line.cost, currency),
        sums=f"{mass(line.needed_g)} needed, {mass(line.stock_g)} there",
        what_for=", ".join(line.what),
    )


def _cost(batch: BatchCost, currency: str) -> CostLine:
    """A piece, its share of the oven's energy counted where that is known, and said where not."""
    oven = " without the oven" if batch.energy is None else ""
    return CostLine(
        name=f"{batch.name}, {count(batch.pieces, 'piece')}",
        each=cost_words(batch.each, currency) + oven,
        ingredients=cost_words(batch.ingredients, currency),
        energy=NOT_KNOWN if batch.energy is None else print_money(batch.energy, currency),
    )


def _week(larder: LarderNow) -> str:
    ingredients_words = cost_words(larder.week, larder.currency)
    if larder.whole_week is None or larder.week_energy is None:
        return f"{ingredients_words}, and energy whose price is not known"
    energy = print_money(larder.week_energy, larder.currency)
    return f"{cost_words(larder.whole_week, larder.currency)}, including {energy} for the oven"


def _poured(poured: PricedDiscard, clock: Clock, currency: str) -> PouredLine:
    return PouredLine(
        text=f"{mass(poured.discard.grams)} of {poured.discard.culture}",
        at=clock.dated(poured.at),
        cost=cost_words(poured.cost, currency),
    )


def _offer(offer: Offer) -> OfferLine:
    notes = [
        f"{mass(grams)} of {ingredient(name).label.lower()} replace its own flour."
        for name, grams in offer.stands_in.items()
    ]
    if offer.is_much:
        notes.append("It is more than a tenth of the flour: the dough will be sourer and quicker.")
    return OfferLine(
        title=f"{offer.name}, {count(offer.pieces, 'piece')}: "
        f"takes {mass(offer.grams)} of {offer.culture}",
        rows=tuple(
            (f"{offer.culture}, discarded" if name == "discard" else ingredient(name).label,
             mass(grams))
            for name, grams in offer.rows.items()
        ),
        note=" ".join(notes),
    )  # fmt: skip


def _recent(recent: RecentEntry, clock: Clock) -> RecentLine:
    text = f"{SAID.get(recent.kind, recent.kind)} {recent.label}, {mass(recent.grams)}"
    return RecentLine(recent.entry, text, clock.dated(recent.at))
