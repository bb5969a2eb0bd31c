"""The formula book: every revision of every formula, what a draft comes to, and what is kept."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime
from fractions import Fraction

from pointage.daybook.entry import FormulaRecord
from pointage.daybook.errors import StaleRevisionError
from pointage.daybook.store.store import Store
from pointage.desk.answers import FormulaSheet, NotThere
from pointage.desk.formulas.compare import compare_formulas, much_the_same
from pointage.desk.formulas.methods import with_method
from pointage.desk.formulas.scale import Wants
from pointage.desk.formulas.sheets import sheet
from pointage.desk.larder.larder import LarderDesk
from pointage.desk.larder.own import OwnDesk
from pointage.desk.now.present import Present
from pointage.desk.now.texts import formula_of as text_as_formula
from pointage.errors import InputError
from pointage.formula.compare import Comparison
from pointage.formula.file.carried import carrying
from pointage.formula.file.read import read_formula
from pointage.formula.file.write import write_formula
from pointage.formula.formula import Formula, unmarked
from pointage.formula.ingredients import ingredient
from pointage.formula.names import plain, resolve
from pointage.kitchen.kitchen import Kitchen
from pointage.language import say

TAKEN_WORDS = ("new", "compare", "import", "read")
"""Words that stand where a formula's name does in an address."""


_MARK = r"(?m)^({})[ \t]*=.*\n"


class BookDesk:
    """The formulas of one stored kitchen, with all their revisions, which count from 1."""

    def __init__(
        self,
        store: Store,
        kitchen_id: str,
        clock: Callable[[], datetime],
        present: Callable[[], Present],
        larder: LarderDesk,
        *,
        own: OwnDesk,
    ) -> None:
        self._store = store
        self._id = kitchen_id
        self._clock = clock
        self._present = present
        self._larder = larder
        self._own = own

    def latest(self) -> Mapping[str, FormulaRecord]:
        """The last revision of every formula, by slug."""
        return {each.slug: each for each in self._store.formulas(self._id)}

    def revisions(self, slug: str) -> list[FormulaRecord]:
        """Every revision of a formula, the first first. Raises NotThere."""
        found = self._store.formula_texts(self._id, slug)
        if not found:
            raise NotThere("formula", slug)
        return found

    def revision(self, slug: str, number: int | None = None) -> FormulaRecord:
        """One revision, the last where no number is given. Raises NotThere."""
        found = self.revisions(slug)
        if number is None:
            return found[-1]
        for each in found:
            if each.revision == number:
                return each
        raise NotThere("revision", f"{slug}@{number}")

    def found(self, text: str) -> frozenset[str]:
        """The slugs of the formulas that have every word of `text`: in name, sentence, culture,
        stages and ingredients, or as what the whole of it names."""
        words = plain(text).split()
        named = resolve(text)
        return frozenset(
            slug
            for slug, each in self._present().formulas.items()
            if (named is not None and named.name in each.total)
            or all(word in _words_of(each) for word in words)
        )

    def file(self, record: FormulaRecord) -> str:
        """The text of a revision to take along: as it is, but for the ingredients of one's own
        that it has, which are as they are known now."""
        return carrying(record.text, formula_of(record)) if can_be_read(record) else record.text

    def formula(self, slug: str, number: int | None = None) -> Formula:
        """The formula of a revision. Raises NotThere."""
        self._present()  # whose ingredients it may name
        return formula_of(self.revision(slug, number))

    def sheet(
        self, slug: str, pieces: int | None, piece_g: Fraction | None, wants: Wants
    ) -> FormulaSheet:
        """The table of a formula made to what is wanted. Raises NotThere, InputError."""
        return sheet(
            self.formula(slug), self._present().kitchen, pieces, piece_g, wants, now=self._clock()
        )

    def another(self, slug: str) -> Formula:
        """One like that of the book, under a name of its own and with no mark. Raises NotThere."""
        like = self.formula(slug)
        return replace(unmarked(like), name=say("{name}, another", name=like.name))

    def slug_of(self, text: str) -> str:
        """The name that a file's formula would have in the book. Raises InputError."""
        return read_formula(text, "file").slug

    def keep(self, text: str, slug: str = "", after: int = 0) -> FormulaRecord:
        """Keep a text: as a new formula, or as the next revision of `slug`, made from `after`.

        What says the same as the last revision makes no new one. Raises InputError: for a text that
        is no formula, and field "name" for a name that another formula has. Raises NotThere, and
        StaleRevisionError when another revision was kept meanwhile.
        """
        self._present()  # whose ingredients it may name
        formula = read_formula(text, "formula")
        if not slug:  # what comes in is there to be baked, as it was before it was put away
            text = re.sub(_MARK.format("put_away|removed"), "", text)
        text = carrying(text, formula)
        if not slug:
            name, taken = formula.slug, say("a name that no other formula has")
            if name in TAKEN_WORDS:
                raise InputError(
                    "name",
                    repr(formula.name),
                    say("another name; this one is the address of a page"),
                )
            last = self.latest().get(name)
            if last is not None and not (can_be_read(last) and formula_of(last).removed):
                raise InputError("name", repr(formula.name), taken)
            after = 0 if last is None else last.revision
            try:
                kept = self._store.put_formula(self._id, name, text, self._clock(), after=after)
            except StaleRevisionError:  # another has it since we looked
                raise InputError("name", repr(formula.name), taken) from None
        else:
            self.revision(slug)
            kept = self._store.put_formula(self._id, slug, text, self._clock(), after=after)
        self._own.adopt([formula])
        return kept

    def keep_method(self, slug: str, kind: str, kitchen: Kitchen) -> None:
        """Fill in how a formula is worked, by its kind of bread, as a revision. Raises NotThere,
        StaleRevisionError, and InputError, field "method"."""
        last = self.revision(slug)
        text = write_formula(with_method(formula_of(last), kind, kitchen))
        self._store.put_formula(self._id, slug, text, self._clock(), after=last.revision)

    def put_away(self, slug: str, after: int, *, away: bool) -> FormulaRecord:
        """Take a formula out of what is offered, or bring it back: a revision like any other.

        Only that line of its text is another. Raises NotThere, and StaleRevisionError.
        """
        return self._mark(slug, after, {"put_away": away, "removed": False})

    def remove(self, slug: str, after: int) -> FormulaRecord:
        """Take it out of the book; its name is free. What was planned and baked keeps its text."""
        return self._mark(slug, after, {"put_away": True, "removed": True})

    def favour(self, slug: str, after: int, *, favourite: bool) -> FormulaRecord:
        """Let it come first, or no longer."""
        return self._mark(slug, after, {"favourite": favourite})

    def _mark(self, slug: str, after: int, marks: Mapping[str, bool]) -> FormulaRecord:
        text = re.sub(_MARK.format("|".join(marks)), "", self.revision(slug).text)
        text = "".join(f"{key} = true\n" for key, on in marks.items() if on) + text
        return self._store.put_formula(self._id, slug, text, self._clock(), after=after)

    def hangs_on(self, slug: str) -> tuple[int, int, tuple[str, ...]]:
        """How many bakes of a formula are under way, how many there were, and its variations."""
        present, name = self._present(), self.formula(slug).name
        under_way = [b.key for b in present.in_hand(self._clock()) if b.plan.formula == name]
        every = [key for key, b in present.every_bake.items() if b.plan.formula == name]
        varied = (each.name for each in present.formulas.values() if each.varies == name)
        return len(under_way), len(set(every) - set(under_way)), tuple(varied)

    def much_the_same(self) -> tuple[tuple[Formula, Formula], ...]:
        """The pairs in the book that are much the same."""
        return much_the_same(f for f in self._present().formulas.values() if not f.put_away)

    def compare(self, before: Formula, after: Formula) -> Comparison:
        """Two formulas side by side, with what the engine and the stores say follows."""
        return compare_formulas(before, after, self._present().kitchen, self._clock(), self._price)

    def _price(self, formula: Formula) -> float | None:
        """What a piece costs; None where something has no price, for then dear may seem cheap."""
        found = self._larder.cost_of(formula, formula.pieces, formula.piece_g).each
        return None if found.unpriced else round(float(found.amount), 2)


def _words_of(formula: Formula) -> str:
    labels = (say(ingredient(name).label) for name in formula.total)
    shape = "" if formula.process is None else formula.process.shape
    stages = (f"{each.name} {each.kind.value}" for each in formula.stages)
    return plain(
        " ".join((formula.name, formula.about, formula.culture or "", shape, *labels, *stages))
    )


def formula_of(record: FormulaRecord) -> Formula:
    """The formula of a revision under the name that it is kept by, whatever it is called now."""
    return replace(text_as_formula(record.text, f"{record.slug}.toml"), slug=record.slug)


def unread(record: FormulaRecord) -> str:
    """Why the text of a revision is no formula, in a line; empty where it is one."""
    try:
        formula_of(record)
    except InputError as error:
        return str(error)
    return ""


def can_be_read(record: FormulaRecord) -> bool:
    """Whether its text is a formula."""
    return not unread(record)
