"""A recipe's stages in exact grams, as the tables of a formula file.

What a recipe leaves open is settled here by rules, each with a doubt beside its line: ripe starter
is flour and water, a stage that another names goes into it, what has no mass is left out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from pointage.data import load
from pointage.errors import Complaint, InputError
from pointage.formula.formula import StageKind
from pointage.formula.ingredients import ingredients, split
from pointage.formula.names import plain
from pointage.formula.reading.line import STIFF, RecipeLine, StarterSaid
from pointage.formula.reading.recipe import FIELD, RecipeBlock, RecipeText
from pointage.formula.reading.typed import LineDoubt, TypedLine
from pointage.language import say

LEVAIN, SEED, DOUGH = "Levain", "Starter", "Dough"
RIPE = StageKind.LEVAIN.value
"""What ripe starter is taken for, that no other stage makes."""
BASE_FLOUR_G = Fraction(1000)  # what percentages are of, where a recipe has nothing else
USUAL_PIECE_G = Fraction(900)
ABOUT_ALL = Fraction(3, 100)  # of a stage: so little stays in its tub


@dataclass(frozen=True, slots=True)
class ReadLine:
    """A line with what became of it.

    taken: an ingredient's name, or a stage's; None where it is left out. percent: of all flour;
    where the recipe has percentages only, as typed.
    """

    typed: str
    taken: str | None
    is_stage: bool
    grams: Fraction | None
    percent: Fraction | None
    celsius: float | None
    doubts: tuple[LineDoubt, ...]

    def kept(self) -> TypedLine:
        """What the formula keeps of it."""
        doubts = tuple(each.plain() for each in self.doubts)
        return TypedLine(self.typed, self.taken or "", doubts)


@dataclass(slots=True)
class DraftStage:
    """A stage that is being put together. parts_of: the share of others that goes into it."""

    name: str
    kind: StageKind
    grams: dict[str, Fraction] = field(default_factory=dict)
    parts_of: dict[str, Fraction] = field(default_factory=dict)
    seed: Fraction | None = None

    def put(self, name: str, grams: Fraction) -> None:
        self.grams[name] = self.grams.get(name, Fraction()) + grams

    @property
    def flour(self) -> Fraction:
        return sum((g for name, g in self.grams.items() if split(name).flour), Fraction())

    @property
    def water(self) -> Fraction:
        return sum((g * split(name).water for name, g in self.grams.items()), Fraction())


@dataclass(slots=True)
class RecipeDraft:
    """The formula that a recipe comes to. only_percents: its masses are of a batch that is ours."""

    name: str
    pieces: int
    stages: list[DraftStage]
    lines: list[ReadLine]
    doubts: list[LineDoubt]
    method: tuple[str, ...]
    only_percents: bool

    def table(self) -> dict[str, object]:
        """The tables of a formula file, each stage in grams."""
        table: dict[str, object] = {"name": self.name, "pieces": self.pieces}
        if self.only_percents:
            table["piece"] = f"{USUAL_PIECE_G}g"
        stages = []
        for stage in self.stages:
            row: dict[str, object] = {"name": stage.name, "kind": stage.kind.value}
            if stage.parts_of and stage.kind is not StageKind.DOUGH:
                row["parts_of"] = {name: exact_text(100 * s) for name, s in stage.parts_of.items()}
            row["grams"] = {name: exact_text(grams) for name, grams in stage.grams.items()}
            if stage.seed is not None:
                row["seed"] = exact_text(100 * stage.seed)
            elif stage.kind is StageKind.LEVAIN and not stage.parts_of:
                row["seed"] = "fit"
            stages.append(row)
        return table | {"stage": stages}


def exact_text(value: Fraction) -> str:
    """A number as a formula file takes it, exact."""
    whole, rest = divmod(value, 1)
    return f"{whole} {rest.numerator}/{rest.denominator}"


def draft_of(recipe: RecipeText, fallback: str) -> RecipeDraft:
    """The formula of a recipe's text. fallback: its name where the text has none.

    Raises InputError for a recipe without flour or without a dough.
    """
    return _Maker(recipe, fallback).made()


class _Maker:
    def __init__(self, recipe: RecipeText, fallback: str) -> None:
        self.recipe, self.fallback = recipe, fallback
        self.doubts: list[LineDoubt] = []
        self.rows: dict[tuple[int, int], ReadLine] = {}
        self.blocks = [each for each in recipe.blocks if not each.outside and each.lines]
        self.only_percents = not any(
            line.grams is not None for block in self.blocks for line in block.lines
        )
        self.stages: list[DraftStage] = []
        self.of_block: dict[int, DraftStage] = {}
        self.taken: dict[str, Fraction] = {}

    def made(self) -> RecipeDraft:
        self._merge_doughs()
        for block in self.blocks:
            stage = DraftStage(self._free(_named(block)), block.kind)
            self.of_block[id(block)] = stage
            self.stages.append(stage)
        # A dough takes its percentages of what is in it, so ingredients come before stages in each.
        for block in self.blocks:
            self._ingredients(block)
        for block in self.blocks:
            self._levains(block)
        self._check()
        self._left_over()
        total = sum((stage.flour for stage in self.stages), Fraction())
        lines = [
            self._finished(self.rows[i, j], total)
            for i, block in enumerate(self.recipe.blocks)
            for j in range(len(block.lines))
        ]
        if self.recipe.guessed_dough and len(self.blocks) > 1:
            self.doubts.append(LineDoubt("guessed dough"))
        self.doubts += [LineDoubt("heading", {"said": each}) for each in self.recipe.strange]
        if self.only_percents:
            self.doubts.append(LineDoubt("only percents", {"piece": USUAL_PIECE_G}))
        if self.recipe.pieces is None:
            self.doubts.append(LineDoubt("pieces"))
        order = {StageKind.DOUGH: 2, StageKind.ADDITION: 1}
        self.stages.sort(key=lambda each: order.get(each.kind, 0))
        return RecipeDraft(
            self.recipe.title or self.fallback, self.recipe.pieces or 1, self.stages, lines,
            self.doubts, tuple(self.recipe.method), self.only_percents,
        )  # fmt: skip

    # -- lines

    def _merge_doughs(self) -> None:
        """One dough: an autolyse and the final mix are the same dough."""
        for i, block in enumerate(self.recipe.blocks):
            for j, line in enumerate(block.lines):
                row = _row(line, None, line.grams)
                self.rows[i, j] = (
                    replace(row, doubts=(LineDoubt("outside"),)) if block.outside else row
                )
        self.places = {
            id(line): (i, j)
            for i, block in enumerate(self.recipe.blocks)
            for j, line in enumerate(block.lines)
        }
        doughs = [each for each in self.blocks if each.kind is StageKind.DOUGH]
        if not doughs:
            return
        if len(doughs) > 1:
            self.doubts.append(LineDoubt("one dough", {"said": " + ".join(map(_named, doughs))}))
        whole = RecipeBlock(StageKind.DOUGH, doughs[-1].name, [x for d in doughs for x in d.lines])
        self.blocks = [*(each for each in self.blocks if each not in doughs), whole]

    def _set(self, line: RecipeLine, row: ReadLine) -> None:
        self.rows[self.places[id(line)]] = row

    def _ingredients(self, block: RecipeBlock) -> None:
        stage, later = self.of_block[id(block)], []
        for line in block.lines:
            if line.outside or line.name is None or line.starter is not None:
                continue
            if self._referred(line, block) is not None:
                continue
            if line.grams is not None:
                stage.put(line.name, line.grams)
                self._set(line, _row(line, line.name, line.grams))
            elif line.percent is not None:
                later.append(line)
            else:
                self._set(line, _row(line, line.name, None))
        base = stage.flour
        flours = [each for each in later if each.name and split(each.name).flour]
        said = sum((each.percent or Fraction() for each in flours), Fraction())
        if not base:
            base = BASE_FLOUR_G
            if flours and abs(said - 100) > 2:
                raise InputError(
                    FIELD,
                    Complaint(say("flours of {percent:g} % together", percent=float(said))),
                    say("flours that come to 100 %"),
                )
            if flours and said != 100:
                self.doubts.append(LineDoubt("flours", {"said": said}))
                base = BASE_FLOUR_G * 100 / said
        elif flours and 0 < said < 100:
            base = base * 100 / (100 - said)
        for line in later:
            grams = base * (line.percent or Fraction()) / 100
            name = line.name or ""
            stage.put(name, grams)
            self._set(line, _row(line, name, None if self.only_percents else grams, line.percent))

    # -- what is ripe, and what is another stage

    def _referred(self, line: RecipeLine, block: RecipeBlock) -> DraftStage | None:
        """The other stage that a line names: by its own name, or as the levain that there is."""
        others = [
            each for each in self.blocks if each is not block and each.kind is not StageKind.DOUGH
        ]
        if not others:
            return None
        words = _essential(line.words or line.typed)
        own = [each for each in others if words and words == _essential(_named(each))]
        if own:
            return self.of_block[id(own[-1])]
        if line.starter is None and not (line.takes_all and line.name is None):
            return None
        inside = [
            each
            for each in others
            if _essential(_named(each)) and _essential(_named(each)) <= words
        ]
        if inside:
            return self.of_block[id(inside[-1])]
        if line.starter is None:
            return None
        at = self.blocks.index(block)
        before = [
            self.of_block[id(each)]
            for each in (others if block.kind is StageKind.DOUGH else self.blocks[:at])
            if each.kind is StageKind.LEVAIN
        ]
        free = [each for each in before if each.name not in self.taken]
        return next(reversed(free or before), None)

    def _levains(self, block: RecipeBlock) -> None:
        stage = self.of_block[id(block)]
        for line in block.lines:
            if line.outside:
                continue
            other = self._referred(line, block)
            if other is not None and other is not stage and not self._reaches(other, stage):
                self._take(line, stage, other)
            elif line.starter is not None:
                self._starter(line, line.starter, stage)

    def _reaches(self, stage: DraftStage, target: DraftStage) -> bool:
        return target.name in stage.parts_of or any(
            self._reaches(each, target) for each in self.stages if each.name in stage.parts_of
        )

    def _take(self, line: RecipeLine, stage: DraftStage, other: DraftStage) -> None:
        """A stage goes into another, in grams or the whole of it."""
        stage.parts_of[other.name] = Fraction(1)
        doubts = [
            each
            for each in line.doubts
            if each.what not in ("sense", "unknown", "rest", "no amount")
        ]
        row = _row(line, other.name, line.grams, is_stage=True)
        self.taken[other.name] = line.grams if line.grams is not None else Fraction(-1)
        if line.grams is None and line.percent is not None:
            grams = (stage.flour or BASE_FLOUR_G) * line.percent / 100
            self.taken[other.name] = grams
            row = _row(
                line, other.name, None if self.only_percents else grams, line.percent, is_stage=True
            )
        self._set(line, replace(row, doubts=tuple(doubts)))

    def _starter(self, line: RecipeLine, said: StarterSaid, stage: DraftStage) -> None:
        grams = line.grams
        if grams is None and line.percent is not None:
            grams = (stage.flour or BASE_FLOUR_G) * line.percent / 100
        if not grams:
            self._set(line, _row(line, None, None))
            return
        hydration = said.hydration or (STIFF if said.is_stiff else Fraction(1))
        flour = said.flour or self._main_flour(stage)
        place = self.places[id(line)]
        if said.hydration is None:
            line = line.doubting(
                "stiff" if said.is_stiff else "starter", flour=flour, words=said.words
            )
        elif said.flour is None:
            line = line.doubting("starter flour", flour=flour)
        parts = {flour: grams / (1 + hydration), "water": grams * hydration / (1 + hydration)}
        row = _row(line, RIPE, None if self.only_percents else grams, line.percent, is_stage=True)
        self.rows[place] = row
        alone = stage.seed is None and not stage.parts_of and bool(stage.flour)
        is_levain = stage.kind is StageKind.LEVAIN
        if is_levain and alone and stage.water == hydration * stage.flour:
            for name, mass in parts.items():
                stage.put(name, mass)
            stage.seed = grams / stage.flour
            return
        name = self._free(SEED if is_levain else LEVAIN)
        made = DraftStage(name, StageKind.LEVAIN, parts)
        self.stages.insert(self.stages.index(stage), made)
        stage.parts_of[name] = Fraction(1)

    def _main_flour(self, stage: DraftStage) -> str:
        """The flour that a starter is most likely fed with: the most here, else in the dough."""
        for each in (stage, *reversed(self.stages)):
            flours = {name: g for name, g in each.grams.items() if split(name).flour}
            if flours:
                return max(flours, key=lambda name: flours[name])
        return "wheat-white"

    # -- the whole

    def _check(self) -> None:
        if not any(stage.flour for stage in self.stages):
            raise InputError(
                FIELD, Complaint(say("no flour")), say("a line such as 500 g bread flour")
            )
        if not any(stage.kind is StageKind.DOUGH and stage.grams for stage in self.stages):
            raise InputError(
                FIELD,
                Complaint(say("no dough")),
                say("the lines of the final dough under such a heading"),
            )
        dough = next(stage for stage in self.stages if stage.kind is StageKind.DOUGH)
        for what, there in (("flour", dough.flour), ("water", dough.water)):
            if not there:
                strange = [row.typed for row in self.rows.values() if row.taken is None]
                expected = say("a line of {what} of its own in the final dough", what=say(what))
                if strange:
                    expected = say(
                        "{expected}; this line was not understood: {line}",
                        expected=expected,
                        line=strange[0],
                    )
                raise InputError(
                    FIELD, Complaint(say("no {what} in the final dough", what=say(what))), expected
                )
        # A soaker or levain that nothing was put to, all its lines being unknown, is none.
        self.stages = [each for each in self.stages if each.grams or each.parts_of]
        if self.only_percents:
            self._sized_by_percent()

    def _sized_by_percent(self) -> None:
        for stage in self.stages:
            wanted = self.taken.get(stage.name)
            if wanted is not None and wanted > 0 and (mass := self._mass(stage)):
                stage.grams = {name: g * wanted / mass for name, g in stage.grams.items()}
                self.taken[stage.name] = Fraction(-1)

    def _mass(self, stage: DraftStage) -> Fraction:
        inside = (
            self._mass(each) * stage.parts_of[each.name]
            for each in self.stages
            if each.name in stage.parts_of
        )
        return sum(stage.grams.values(), sum(inside, Fraction()))

    def _left_over(self) -> None:
        """A stage is made as large as it is taken; what is too much stays with the baker."""
        for stage in self.stages:
            wanted, mass = self.taken.get(stage.name), self._mass(stage)
            if wanted is None or wanted < 0 or not mass or abs(wanted - mass) <= ABOUT_ALL * mass:
                continue
            about = {"name": stage.name, "makes": mass, "takes": wanted}
            if wanted > mass:
                self.doubts.append(LineDoubt("too little", about))
                continue
            self.doubts.append(LineDoubt("left over", about))
            self._shrink(stage, wanted / mass)

    def _shrink(self, stage: DraftStage, share: Fraction) -> None:
        stage.grams = {name: g * share for name, g in stage.grams.items()}
        for each in self.stages:
            if each.name in stage.parts_of:
                self._shrink(each, share)

    def _finished(self, row: ReadLine, total: Fraction) -> ReadLine:
        percent = row.percent
        if percent is None and row.grams is not None and row.taken is not None:
            percent = 100 * row.grams / total
        return replace(row, percent=percent)

    def _free(self, name: str) -> str:
        """A name that no other stage has, nor an ingredient."""
        used = {each.name.casefold() for each in self.stages}
        name = name if name not in ingredients() else f"{name} stage"
        tries = [name, *(f"{name} {n}" for n in range(2, 100))]
        return next(each for each in tries if each.casefold() not in used)


def _named(block: RecipeBlock) -> str:
    usual: Mapping[StageKind, str] = {StageKind.DOUGH: DOUGH, StageKind.LEVAIN: LEVAIN}
    return block.name or usual.get(block.kind, block.kind.value.capitalize())


_IDLE = frozenset(load("recipe-words.toml")["stages"].split())


def _essential(text: str) -> frozenset[str]:
    return frozenset(plain(text).split()) - _IDLE


def _row(
    line: RecipeLine,
    taken: str | None,
    grams: Fraction | None,
    percent: Fraction | None = None,
    *,
    is_stage: bool = False,
) -> ReadLine:
    celsius = None if line.temperature is None else line.temperature.celsius
    return ReadLine(line.typed, taken, is_stage, grams, percent, celsius, line.doubts)
