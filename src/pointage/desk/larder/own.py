"""Ingredients of one's own: describe one, put it right, remove it, and see what has it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from uuid import NAMESPACE_URL, uuid5

from pointage.daybook.entry import EntryKind
from pointage.desk.now.described import own_ingredients
from pointage.desk.one_kitchen import OneKitchen
from pointage.desk.records.records import Saved
from pointage.errors import InputError
from pointage.formula.formula import Formula
from pointage.formula.ingredients import ingredient
from pointage.formula.own.ingredient import (
    KNOWN,
    OwnIngredient,
    check_new_name,
    check_own,
    of_body,
    own_ingredient,
)
from pointage.language import say

KINDS, CALLED = frozenset({EntryKind.INGREDIENT}), "ingredient of your own"


@dataclass(frozen=True, slots=True)
class OwnHeld:
    """One of them with its entry, the formulas that have it by slug, and grams of it in stock."""

    entry: str
    own: OwnIngredient
    formulas: tuple[str, ...]
    stock_g: float

    @property
    def is_held(self) -> bool:
        """Whether anything hangs on it."""
        return bool(self.formulas or self.stock_g)


class OwnDesk:
    """The ingredients of one kitchen's own. What is recorded stays, once; its correction too."""

    def __init__(self, kitchen: OneKitchen) -> None:
        self._in = kitchen

    def offered(self) -> tuple[OwnIngredient, ...]:
        """Those that there are, by name."""
        return own_ingredients(self._in.present().replayed)

    def held(self) -> tuple[OwnHeld, ...]:
        """The same with what hangs on each."""
        present = self._in.present()
        stock = present.ledger(self._in.clock()).stock
        entries = {str(e.body["ingredient"]): e.id for e in present.replayed.own.values()}
        return tuple(
            OwnHeld(
                entries[own.id],
                own,
                tuple(slug for slug, each in present.formulas.items() if own.id in each.total),
                float(stock.grams(own.id)),
            )
            for own in own_ingredients(present.replayed)
        )

    def removed(self) -> tuple[tuple[str, OwnIngredient], ...]:
        """The withdrawals that can be undone, each with what it removed, by name."""
        here = {own.id for own in self.offered()}
        found = {}
        for line in self._in.present().replayed.journal.lines.values():
            if line.written.kind is EntryKind.INGREDIENT and line.now is None and line.amendments:
                own = own_ingredient(str(line.written.body.get("ingredient")))
                if own is not None and own.id not in here:
                    found[own.id] = (line.amendments[-1].id, own)
        return tuple(sorted(found.values(), key=lambda each: each[1].name.casefold()))

    def describe(self, entry: str, own: OwnIngredient) -> Saved:
        """A new one. Raises InputError by the names of its fields."""
        own = check_own(own)
        self._in.present()  # whose names are taken
        if not self._in.records.has(entry):  # sent again, its own name is taken by itself
            check_new_name(own.name)
        return self._in.records.record(entry, EntryKind.INGREDIENT, self._in.clock(), _body(own))

    def put_right(self, entry: str, wrong: str, own: OwnIngredient) -> Saved:
        """What entry `wrong` should have said. Raises NotThere, InputError.

        What formulas or stores have must stay of its kind: a flour a flour.
        """
        line = self._in.records.line_of(wrong, KINDS, CALLED)
        own = check_own(own)
        check_new_name(own.name, own.id)
        before = of_body((line.now or line.written).body)
        kind, was = ingredient(own.like).kind, ingredient(before.like).kind
        hangs = any(each.own.id == own.id and each.is_held for each in self.held())
        if hangs and kind != was:
            expected = say("a {kind}, as the formulas and stores that have it go by", kind=say(was))
            raise InputError("like", say(ingredient(own.like).label), expected)
        return self._in.records.correct(entry, wrong, _body(own))

    def remove(self, entry: str, which: str) -> Saved:
        """Offer it no more; what has it keeps it. Raises NotThere."""
        self._in.records.line_of(which, KINDS, CALLED)
        return self._in.records.withdraw(entry, which)

    def bring_back(self, entry: str, removal: str) -> Saved:
        """Undo a removal. Raises NotThere."""
        self._in.records.line_of(removal, KINDS, CALLED)
        return self._in.records.withdraw(entry, removal)

    def adopt(self, formulas: Iterable[Formula]) -> None:
        """Record those that came with formulas, so that they are found, bought and put right."""
        said = self._in.present().replayed.journal.entries.values()
        known = {e.body.get("ingredient") for e in said if e.kind is EntryKind.INGREDIENT}
        for formula in formulas:
            for own in filter(None, map(own_ingredient, formula.total)):
                if own.id not in known:
                    entry = str(uuid5(NAMESPACE_URL, f"ingredient:{own.id}"))
                    self._in.records.record(
                        entry, EntryKind.INGREDIENT, self._in.clock(), _body(own)
                    )
                    known.add(own.id)


def _body(own: OwnIngredient) -> dict[str, object]:
    body: dict[str, object] = {"ingredient": own.id, "name": own.name, "like": own.like}
    body |= {key: getattr(own, key) for key in KNOWN if getattr(own, key) is not None}
    if own.allergens is not None:
        body["allergens"] = list(own.allergens)
    if own.price_per_kg is not None:
        body |= {"price": own.price_per_kg, "currency": own.currency}
    return body
