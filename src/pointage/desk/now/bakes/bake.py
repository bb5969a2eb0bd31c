"""A bake as it stands: its plan, and what was done and seen of it, in the order it happened."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any

from pointage.daybook.entry import Entry, EntryKind
from pointage.daybook.readings import READ_FROM, confirmed, readings_of
from pointage.daybook.replay import written
from pointage.desk.answers import Bake, NotThere, StepNews, Wished
from pointage.desk.now.bakes.rescued import rescued
from pointage.desk.now.set_aside import SetAside, set_aside
from pointage.desk.wording.pours import BatchNow
from pointage.errors import InputError
from pointage.formula.ladder import KEEPS, Keep, corrected
from pointage.kitchen.kitchen import CultureAtHand
from pointage.language import say
from pointage.timetable.plan import (
    Ladder,
    Plan,
    Pour,
    Step,
    StepKind,
)

KEPT_AFTER = timedelta(hours=12)
"""How long a bake stays in hand once its last step is over, so that it can still be ticked off."""

MEASURED = frozenset({EntryKind.BAKED, EntryKind.WEIGHED})
"""What teaches of the oven that a bake was in."""

LET_GO = "let go"
"""What a change of plan says that moves nothing: what was held at its time may move again."""

NEWS = READ_FROM | {
    EntryKind.DONE,
    EntryKind.WITHDRAWN,
    EntryKind.CONFIRMED,
    EntryKind.RESCUED,
    EntryKind.REPLANNED,
}


@dataclass(frozen=True, slots=True)
class Ticks:
    """That a step was done, and what took that back, as far as it was gone through.

    A taking back names the entry that said the step was done (`done`), and takes back that and
    whatever the store wrote before it, whatever the clocks say. One of an old release names none,
    and takes back what happened before it.
    """

    done: tuple[Entry, ...] = ()
    taken: frozenset[str] = frozenset()

    def after(self, entry: Entry) -> Ticks:
        """With one more entry: "done", or "not done after all"."""
        if entry.kind is EntryKind.DONE:
            return replace(self, done=(*self.done, entry))
        if "done" not in entry.body:
            return replace(self, done=())
        return replace(self, taken=self.taken | {str(entry.body["done"])})

    @property
    def in_force(self) -> list[Entry]:
        """What says that the step was done, in the order in which the store wrote it."""
        ordered = sorted(self.done, key=written)
        taken = [at for at, entry in enumerate(ordered) if entry.id in self.taken]
        return ordered[max(taken, default=-1) + 1 :]


@dataclass(frozen=True, slots=True)
class BakeState:
    """A bake after some of its entries, and those of them that cannot be used."""

    bake: Bake
    aside: tuple[SetAside, ...] = ()
    ticks: Mapping[str, Ticks] = field(default_factory=dict)


def planned_bake(entry: Entry) -> BakeState:
    """The bake of a plan. Raises InputError for a plan that cannot be read."""
    plan, wished = _read_plan(entry.body)
    return BakeState(Bake(entry.id, plan, wished=wished))


def _read_plan(document: Mapping[str, Any]) -> tuple[Plan, Wished]:
    """As `read_plan`, whose shapes take a twelfth of a second to load: most commands read none."""
    from pointage.desk.plans import read_plan

    return read_plan(document)


def with_news(state: BakeState, entry: Entry) -> BakeState:
    """The bake after one more entry about it; one that cannot be used is set aside."""
    bake = state.bake
    try:
        if gives_up(entry):
            return replace(state, bake=replace(bake, given_up=True))
        if entry.kind is EntryKind.REPLANNED:
            return replace(state, bake=_replanned(bake, entry))
        step = step_of(bake, str(entry.body.get("step")))
        if entry.kind is EntryKind.RESCUED:
            return replace(state, bake=rescued(bake, step, entry.body))
        if entry.kind in (EntryKind.DONE, EntryKind.WITHDRAWN):
            ticks = state.ticks.get(step.key, Ticks()).after(entry)
            state = replace(state, ticks={**state.ticks, step.key: ticks})
            news = _ticked(bake.step_news(step.key), ticks.in_force)
        else:
            news = _news(bake.step_news(step.key), step, entry)
    except NotThere as error:
        refused = InputError(
            error.what, repr(error.name), say("a {what} of the plan", what=say(error.what))
        )
        return replace(state, aside=(*state.aside, set_aside("entry", entry.id, refused)))
    except InputError as error:
        return replace(state, aside=(*state.aside, set_aside("entry", entry.id, error)))
    return replace(state, bake=replace(bake, news={**bake.news, step.key: news}))


def _replanned(bake: Bake, entry: Entry) -> Bake:
    """The bake under another plan, or with nothing held. Raises InputError as `read_plan`."""
    if lets_go(entry):
        wished = None if bake.wished is None else replace(bake.wished, held=None)
        return replace(bake, wished=wished)
    plan, wished = _read_plan(plan_document(entry.body))
    anew = _left(plan) > _left(bake.plan)
    return replace(bake, plan=plan, wished=wished, before=bake if anew else bake.before)


def _left(plan: Plan) -> int:
    """How many of its steps were for a levain that was given up."""
    return sum(step.left for step in plan.steps)


def news_of(entry: Entry) -> str | None:
    """The key of the bake that an entry is news of; None for what is no news of a bake."""
    bake = entry.body.get("bake")
    whole = entry.kind in (EntryKind.WITHDRAWN, EntryKind.REPLANNED)
    about = isinstance(bake, str) and ("step" in entry.body or whole)
    return str(bake) if entry.kind in NEWS and about else None


def plan_document(body: Mapping[str, Any]) -> dict[str, Any]:
    """What of a change of plan is the plan's document."""
    return {name: body[name] for name in ("format", "version", "plan", "wished") if name in body}


def gives_up(entry: Entry) -> bool:
    """Whether it says that a bake will not be."""
    body = entry.body
    return entry.kind is EntryKind.WITHDRAWN and "bake" in body and "step" not in body


def lets_go(entry: Entry) -> bool:
    """Whether it says that the step which is held at its time may move again."""
    return entry.kind is EntryKind.REPLANNED and entry.body.get("move") == LET_GO


def ends(plan: Plan) -> datetime:
    """When its last step is over."""
    return max((step.end for step in plan.steps), default=plan.ready)


def done_at(bake: Bake, step: Step) -> datetime | None:
    """When a step was done: as recorded, else as planned if a later one for hands was done.

    A baker who forgot to tick a feed has fed: the levain would not be there without it.
    """
    done = bake.step_news(step.key).done
    if done is not None:
        return done
    later = [
        ticked
        for each in bake.plan.steps
        if each.hands and each.start > step.start
        if (ticked := bake.step_news(each.key).done) is not None
    ]
    return min(step.end, *later) if later else None


def steps_left(bake: Bake) -> list[Step]:
    """What is still to come of a bake.

    A step for hands is over when it was ticked off or when a later one was: a baker who forgot to
    tick a fold has folded. Standing is over when the next step for hands is done.
    """
    steps = sorted(bake.plan.steps, key=lambda step: (step.start, step.end))
    done = [n for n, step in enumerate(steps) if step.hands and bake.step_news(step.key).done]
    last = done[-1] if done else -1
    return [
        step
        for n, step in enumerate(steps)
        if not step.left and (n > last or (not step.hands and step.end > steps[last].end))
    ]


def next_feed(culture: CultureAtHand, bakes: Iterable[Bake]) -> Step | None:
    """The first feed or build that bakes still have ahead for a culture; None without one."""
    steps = (
        step
        for bake in bakes
        if culture.called(bake.plan.culture)
        for step in steps_left(bake)
        if step.kind in (StepKind.FEED, StepKind.BUILD)
    )
    return min(steps, key=lambda step: step.start, default=None)


def oven_of(bake: Bake) -> str:
    """The name of the oven that it was planned for, "" where it is not baked."""
    steps = (step for step in bake.plan.steps if step.kind is StepKind.BAKE)
    return next((step.capacity or step.place for step in steps), "")


def measured_of(about: Iterable[Entry]) -> dict[str, Any]:
    """What was measured of a baking, by the entries about the bake, in order; later ones count."""
    said: dict[str, Any] = {}
    for entry in about:
        if entry.kind is EntryKind.BAKED:
            said |= entry.body
        elif entry.kind is EntryKind.WEIGHED and entry.body.get("when") in ("baked", "cooled"):
            each = float(entry.body["grams"]) / float(entry.body.get("pieces", 1))
            said |= {"grams": each, "when": entry.body["when"]}
    return said


def step_of(bake: Bake, key: str) -> Step:
    """The step called `key`, or the keeping feed that is done with one. Raises NotThere."""
    for step in bake.plan.steps:
        if step.key == key:
            return step
        kept = step.keep
        if kept is not None and kept.key == key:
            return kept
    raise NotThere("step", key)


def poured_so_far(
    step: Step, poured: tuple[float, ...], keep: Keep = "ratios"
) -> tuple[Ladder, BatchNow | None]:
    """The step's ladder corrected for what the display said, and what that makes of the batch.

    None: it is as planned.

    Raises InputError, field "display", for a reading not above the one before, and for one past the
    end of the batch when its total is to be kept.
    """
    if step.ladder is None:
        raise NotThere("ladder", step.key)
    ladder, missed = step.ladder, False
    factors = [1.0] * len(ladder.bowls)
    short: tuple[tuple[Pour, float], ...] = ()
    for number, display in enumerate(poured):
        if abs(display - ladder.pours[number].display_g) < ladder.step_g / 2:
            continue
        missed = True
        found = corrected(ladder, number, display, keep)
        ladder, short = found.ladder, (*short, *found.short)
        factors[number // ladder.each] *= found.factor
    factor = sum(factors) / len(factors)
    if missed and keep == "total":
        return ladder, BatchNow(factor, in_all=True)
    if factor == 1.0:
        return ladder, None
    lacking = tuple((pour, grams) for pour, grams in short if grams >= ladder.step_g)
    return ladder, BatchNow(factor, short=lacking)


def pours(
    step: Step, ticked: tuple[float, ...], pour: int, display_g: float, *, keep: Keep = "ratios"
) -> tuple[float, ...]:
    """The readings up to `pour`, at which the display said `display_g`.

    Earlier ones are as recorded, or else as the ladder has them. Raises as `poured_so_far`,
    and NotThere for a pour that the ladder has not.
    """
    before = ticked[:pour]
    ladder, _ = poured_so_far(step, before, keep)
    if not 0 <= pour < len(ladder.pours):
        raise NotThere("pour", str(pour))
    between = [each.display_g for each in ladder.pours[len(before) : pour]]
    poured = (*before, *between, display_g)
    poured_so_far(step, poured, keep)
    return poured


def kept(news: StepNews, said: object) -> Keep:
    """What a correction keeps: what was said of it, else what was said last."""
    return next((keep for keep in KEEPS if keep == said), news.keep)


def _news(old: StepNews, step: Step, entry: Entry) -> StepNews:
    if entry.kind is EntryKind.READING and "pour" in entry.body:
        return _poured(old, step, entry.body)
    stands = old.stands
    if entry.kind is EntryKind.CONFIRMED:
        stands |= {str(entry.body["reading"])}
    readings = confirmed((*old.readings, *readings_of(entry)), stands)
    return replace(old, readings=readings, stands=stands)


def _ticked(old: StepNews, in_force: list[Entry]) -> StepNews:
    if not in_force:
        return replace(old, done=None, done_by="")
    return replace(old, done=max(e.happened for e in in_force), done_by=in_force[-1].id)


def _poured(old: StepNews, step: Step, body: Mapping[str, Any]) -> StepNews:
    keep = kept(old, body.get("keep"))
    number, display_g = body["pour"], float(body["display_g"])
    poured = pours(step, old.poured, number, display_g, keep=keep)
    ladder, batch = poured_so_far(step, poured, keep)
    return replace(old, poured=poured, ladder=ladder, keep=keep, batch=batch)
