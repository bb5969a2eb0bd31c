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
    kept_in_stock,
)
from pointage.desk.wording.costs import cost_words
from pointage.errors import InputError
from pointage.formula.flour.figures import figures_words
from pointage.formula.ingredients import ingredient
from pointage.language import mark, say, within
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

NOT_KNOWN = mark("not known")
SAID = {
    "bought": mark("Bought {label}, {mass}"),
    "counted": mark("Counted {label}, {mass}"),
    "used": mark("Used {label}, {mass}"),
}


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
            Choice(lot.key, f"{say(shelf.label)}: {lot_words(lot, left, clock)}")
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
        worth=cost_words(larder.worth, money),
        shopping=shopping_note(larder, clock),
        query=query,
        items=tuple(say(it.label) for it in kept_in_stock()),
        forms={name: {each.name: each for each in those} for name, those in fields.items()},
        opened=opened,
        above=above,
        sheet=any(each.value for each in fields["buy"] if each.name in FIGURES),
        bakes=tuple(_cost(each.batch, money) for each in larder.bakes),
        recipes=tuple(_cost(each.batch, money) for each in larder.formulas),
        week=_week(larder),
        coming=tuple(_poured(each, clock, money) for each in larder.coming),
        gone=tuple(_poured(each, clock, money) for each in larder.gone),
        lost=cost_words(larder.lost, money) if poured else "",
        offers=tuple(_offer(each) for each in larder.offers),
        recent=tuple(_recent(each, clock) for each in larder.recent),
    )


def shopping_page(larder: LarderNow, clock: Clock, frame: Frame) -> ShoppingPage:
    return ShoppingPage(frame, shopping_note(larder, clock))


def shopping_note(larder: LarderNow, clock: Clock) -> ShoppingNote:
    """What to buy, and what there is enough of."""
    lacking = larder.lacking
    enough = [_label(each.ingredient) for each in larder.shopping if not each.buy_g]
    left = {lot.key: grams for shelf in larder.shelves for lot, grams in shelf.lots}
    return ShoppingNote(
        until=clock.day(clock.local(larder.until).date()),
        lines=tuple(_buy(line, larder.currency) for line in lacking),
        about=cost_words(larder.to_pay, larder.currency),
        enough=", ".join(enough),
        past=tuple(
            say(
                "{label}, {mass} that came {day}: best before {best}",
                label=_label(lot.ingredient),
                mass=mass(left[lot.key]),
                day=_came(lot, clock),
                best=_day(lot.best_before, clock),
            )
            for lot in larder.past
        ),
    )


def piece_words(batch: BatchCost, currency: str) -> str:
    """What a piece costs: "about 1.28 €", and what of it is not known."""
    if not batch.each.amount:
        return say(NOT_KNOWN)
    each = cost_words(batch.each, currency)
    if batch.energy is None:
        return say("about {each}, without the oven", each=each)
    return say("about {each}", each=each)


def _store(shelf: ShelfNow, larder: LarderNow, clock: Clock) -> StoreLine:
    lacks = shelf.free_g < 0
    short = ""
    if shelf.short_g:
        less = mass(shelf.short_g)
        short = say("The calculated stock was {mass} less than you used: count it.", mass=less)
    ahead = clock.local(larder.until).date()
    return StoreLine(
        name=say(shelf.label),
        stock=mass(shelf.stock_g),
        reserved=mass(shelf.reserved_g) if shelf.reserved_g else "",
        free=say("{mass} short", mass=mass(-shelf.free_g)) if lacks else mass(shelf.free_g),
        lacks=lacks,
        worth=cost_words(shelf.worth, larder.currency) if shelf.stock_g else "",
        best="" if shelf.best_before is None else _day(shelf.best_before, clock),
        soon=shelf.best_before is not None and shelf.best_before < ahead,
        asks=short,
        lots=tuple(lot_words(lot, left, clock) for lot, left in shelf.lots),
    )


def lot_words(lot: Lot, left: Fraction, clock: Clock) -> str:
    """ "2.3 kg, came 25 Sep, Tidemill, W 0907, Dry store, left; best before 29 Nov"."""
    came = say("came {day}", day=_came(lot, clock))
    words = [mass(left), came, lot.supplier, lot.label, lot.place]
    words += [figures_words(lot.flour)] if lot.flour else []
    said = ", ".join(word for word in words if word)
    if lot.best_before is None:
        return said
    return say("{said}; best before {day}", said=said, day=_day(lot.best_before, clock))


def _came(lot: Lot, clock: Clock) -> str:
    return _day(clock.local(lot.at).date(), clock)


def _label(name: str) -> str:
    return say(ingredient(name).label)


def _day(day: date | None, clock: Clock) -> str:
    if day is None:
        return ""
    near = abs(day - clock.today) < timedelta(days=180)
    return date_text(day) if near else dated_text(day)


def _buy(line: ShoppingLine, currency: str) -> BuyLine:
    packed = line.packs is not None and line.pack_g is not None
    return BuyLine(
        name=_label(line.ingredient),
        buy=mass(line.buy_g),
        packs=f"{line.packs} × {mass(line.pack_g)}" if packed and line.pack_g else "",
        about=cost_words(line.cost, currency),
        sums=say(
            "{needed} needed, {stock} there",
            needed=mass(line.needed_g),
            stock=mass(line.stock_g),
        ),
        what_for=", ".join(line.what),
    )


def _cost(batch: BatchCost, currency: str) -> CostLine:
    """A piece, its share of the oven's energy counted where that is known, and said where not."""
    each = cost_words(batch.each, currency)
    if batch.energy is None:
        each = say("{each} without the oven", each=each)
    return CostLine(
        name=f"{batch.name}, {count(batch.pieces, 'piece')}",
        each=each,
        ingredients=cost_words(batch.ingredients, currency),
        energy=say(NOT_KNOWN) if batch.energy is None else print_money(batch.energy, currency),
    )


def _week(larder: LarderNow) -> str:
    if larder.whole_week is None or larder.week_energy is None:
        cost = cost_words(larder.week, larder.currency)
        return say("{cost}, and energy whose price is not known", cost=cost)
    cost = cost_words(larder.whole_week, larder.currency)
    energy = print_money(larder.week_energy, larder.currency)
    return say("{cost}, including {energy} for the oven", cost=cost, energy=energy)


def _poured(poured: PricedDiscard, clock: Clock, currency: str) -> PouredLine:
    gone = poured.discard
    return PouredLine(
        text=say("{mass} of {culture}", mass=mass(gone.grams), culture=gone.culture),
        at=clock.dated(poured.at),
        cost=cost_words(poured.cost, currency),
    )


def _offer(offer: Offer) -> OfferLine:
    notes = [
        say(
            "{mass} of {flour} replace its own flour.", mass=mass(grams), flour=within(_label(name))
        )
        for name, grams in offer.stands_in.items()
    ]
    if offer.is_much:
        notes.append(
            say("It is more than a tenth of the flour: the dough will be sourer and quicker.")
        )
    discard = say("{culture}, discarded", culture=offer.culture)
    return OfferLine(
        title=say(
            "{mass} into {name}, {pieces}",
            mass=mass(offer.grams),
            name=offer.name,
            pieces=count(offer.pieces, "piece"),
        ),
        culture=offer.culture,
        rows=tuple(
            (discard if name == "discard" else _label(name), mass(grams))
            for name, grams in offer.rows.items()
        ),
        note=" ".join(notes),
    )


def _recent(recent: RecentEntry, clock: Clock) -> RecentLine:
    message = SAID.get(recent.kind, "{kind} {label}, {mass}")
    label, grams = say(recent.label), mass(recent.grams)
    text = say(message, kind=recent.kind, label=label, mass=grams)
    return RecentLine(recent.entry, text, clock.dated(recent.at))
