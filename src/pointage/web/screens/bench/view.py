"""The Bench: the one next action, what is working, what comes."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import groupby

from pointage.desk.answers import Bake
from pointage.desk.bakes.plan import shortage_words
from pointage.desk.now.bakes.bake import steps_left
from pointage.desk.now.bakes.joint import SharedBuild, shared_builds
from pointage.desk.wording import all_of, cautions, title
from pointage.desk.wording.week import parts_words
from pointage.kitchen.kitchen import Kitchen
from pointage.kitchen.needs import CultureNeed, NeedKind
from pointage.language import say, say_many
from pointage.timetable.plan import Step, StepKind
from pointage.web.drawing.coming import ComingLine, hours_drawing, how_long_where
from pointage.web.forms.field import Choice
from pointage.web.frame import Frame
from pointage.web.screens.bench.action import action
from pointage.web.screens.bench.ahead import forecast
from pointage.web.screens.bench.cultures import Needed, culture_actions
from pointage.web.screens.bench.page import Action, BenchPage, Coming, LastDone
from pointage.web.screens.bench.slip import Slip
from pointage.web.screens.bench.undo import TAKE_BACK_FOR
from pointage.web.screens.bench.working import working
from pointage.web.words.clock import Clock, Span, quiet_spans
from pointage.web.words.conflicts import conflict_notes
from pointage.web.words.words import lower_first

AHEAD = timedelta(hours=24)
FEWEST, MOST = 4, 14
NIGHT = timedelta(hours=3)
"""Who sleeps for less has a nap."""
LEFT_FOR_CULTURES = timedelta(hours=2)
"""Before a step of a bake there is time for a culture that is due."""


@dataclass(frozen=True, slots=True)
class Pending:
    """A step of a bake that is still to be done. build: of what it has in common with others."""

    bake: Bake
    step: Step
    build: SharedBuild | None = None

    @property
    def formulas(self) -> list[str]:
        """What it is for: the formula of its bake, or those of all whose build it is."""
        if self.build is None:
            return [self.bake.plan.formula]
        return list(dict.fromkeys(formula for formula, _ in self.build.shares))


def bench_page(
    kitchen: Kitchen,
    bakes: Sequence[Bake],
    clock: Clock,
    frame: Frame,
    slip: Slip | None = None,
    *,
    needed: Sequence[Needed] = (),
    out: Sequence[Bake] = (),
    whole: bool = False,
    beside: Sequence[Bake] = (),
) -> BenchPage:
    """The page for now. slip: something typed that cannot be used, to be shown again. needed: what
    cultures need, the soonest first. out: bread of which nobody has said how it was. whole: every
    step to come is listed, not the next few. beside: other bakes, which may share a build."""
    pending = sorted(
        _pending(kitchen, bakes, beside), key=lambda each: (each.step.start, each.step.end)
    )
    pending = [each for each in pending if not _overtaken(each, clock)]
    hands = [each for each in pending if each.step.hands]
    first = hands[0] if hands else None
    cultures = culture_actions(needed, clock)
    before = bool(needed) and slip is None and _comes_first(needed[0].need, first, clock)
    steps = [each.step for each in pending if each.step.start <= clock.now + AHEAD]
    lines = _coming(kitchen, pending, None if before else first, clock, whole=whole)
    return BenchPage(
        frame=frame,
        now=_action(first, clock, slip) if first and not before else None,
        last=_last_done(bakes, clock),
        idle="" if first else _idle(kitchen, pending, clock),
        conflicts=tuple(note for bake in bakes for note in conflict_notes(bake.plan)),
        working=working(kitchen, bakes, clock, slip),
        hours=hours_drawing(steps, kitchen, clock) if steps else None,
        coming=tuple(lines),
        ahead=forecast(
            [(each.step.mixture or title(each.step), each.step.standing) for each in pending], clock
        ),
        cautions=tuple(dict.fromkeys(text for bake in bakes for text in _cautions(bake))),
        bare=not kitchen.cultures,
        first=cultures[0] if before else None,
        cultures=cultures[1:] if before else cultures,
        asks=tuple(
            Choice(
                f"/daybook/bake/{each.key}",
                say("How was the {formula}?", formula=lower_first(each.plan.formula)),
            )
            for each in out
        ),
    )


def _pending(kitchen: Kitchen, bakes: Sequence[Bake], beside: Sequence[Bake]) -> Iterator[Pending]:
    """What is left of each bake; a build that several have in common once, with all of it."""
    keeps = [any(step.keeping for step in bake.plan.steps) for bake in bakes]
    keepers_first = [bakes[n] for n in sorted(range(len(bakes)), key=lambda n: not keeps[n])]
    shared = shared_builds(kitchen, [*keepers_first, *beside])
    others = {
        (bake.key, part.key)
        for build in shared
        for bake, part in list(zip(build.bakes, build.parts, strict=True))[1:]
    }
    of_all = {(build.bakes[0].key, build.step.key): build for build in shared}
    for bake in bakes:
        for step in steps_left(bake):
            build = of_all.get((bake.key, step.key))
            if build is not None:
                yield Pending(build.first, build.step, build)
            elif (bake.key, step.key) not in others:
                yield Pending(bake, step)


def _action(each: Pending, clock: Clock, slip: Slip | None = None) -> Action:
    found = action(each.bake, each.step, clock, slip)
    if each.build is None:
        return found
    return replace(found, what_for=all_of(each.formulas), amount=parts_words(each.build.shares))


def _overtaken(each: Pending, clock: Clock) -> bool:
    """A fold that nobody did, of a dough that should be divided by now."""
    if each.step.kind is not StepKind.FOLD or each.step.ladder is not None:
        return False
    divide = [step for step in each.bake.plan.steps if step.kind is StepKind.DIVIDE]
    return bool(divide) and divide[0].start <= clock.now


def _comes_first(need: CultureNeed, first: Pending | None, clock: Clock) -> bool:
    """Whether a culture is seen to before the next step of a bake."""
    if first is not None:
        return need.at <= clock.now and first.step.start > clock.now + LEFT_FOR_CULTURES
    return need.kind is NeedKind.RAISE or need.at - clock.now <= AHEAD


def _cautions(bake: Bake) -> tuple[str, ...]:
    return (*(shortage_words(each) for each in bake.plan.shortages), *cautions(bake.plan))


def _last_done(bakes: Sequence[Bake], clock: Clock) -> LastDone | None:
    done = [
        (at, bake, step)
        for bake in bakes
        for step in bake.plan.steps
        if (at := bake.step_news(step.key).done) is not None and clock.now - at <= TAKE_BACK_FOR
    ]
    if not done:
        return None
    at, bake, step = max(done, key=lambda each: (each[0], each[2].start))
    done_by = bake.step_news(step.key).done_by
    return LastDone(bake.key, step.key, title(step), clock.moment(at), done_by)


def _idle(kitchen: Kitchen, pending: Sequence[Pending], clock: Clock) -> str:
    going = [each.step for each in pending if each.step.end > clock.now]
    if not going:
        return say("Nothing to do now.") if kitchen.cultures else say("There is no culture.")
    step = going[-1]
    until = clock.text(step.end)
    return say("Nothing to do now. {step} until {time}.", step=title(step), time=until)


def _coming(
    kitchen: Kitchen,
    pending: Sequence[Pending],
    first: Pending | None,
    clock: Clock,
    *,
    whole: bool,
) -> list[Coming]:
    """The lines of Next: steps and nights as they come, nights with nothing between as one."""
    later = [each for each in pending if each is not first and each.step.end > clock.now]
    several = len({each.bake.key for each in pending}) > 1
    near = [each for each in later if each.step.start < clock.now + AHEAD]
    shown = later if whole else (near if len(near) >= FEWEST else later[:FEWEST])[:MOST]
    lines = [
        ComingLine(
            each.step.start,
            Coming(
                at=clock.moment(each.step.start),
                title=title(each.step),
                rest=_rest(each, several=several),
                quiet=False,
                action=_action(each, clock) if each.step.hands else None,
            ),
        )
        for each in shown
        if each.step.hands or each.step.start >= clock.now
    ]
    begins = sorted({line.at for line in lines} | ({first.step.start} if first else set()))
    end = max(begins, default=clock.now)
    nights = quiet_spans(kitchen.hours.sleep, clock, clock.now, end + AHEAD)
    between = groupby(
        (each for each in nights if each[0] < end), lambda night: bisect_right(begins, night[0])
    )
    for number, group in between:
        quiet = list(group)
        if sum(high - low >= NIGHT for low, high in quiet) > 1:
            lines.append(ComingLine(quiet[0][0], _nights(quiet, begins[number], clock)))
        else:
            lines += [ComingLine(low, _night(low, high, clock)) for low, high in quiet]
    return _by_day(sorted(lines, key=lambda line: line.at), clock)


def _by_day(lines: Sequence[ComingLine], clock: Clock) -> list[Coming]:
    """Each day named once, above its first line."""
    found, before = [], clock.today
    for line in lines:
        day = clock.local(line.at).date()
        at = replace(line.coming.at, text=clock.time(line.at))
        found.append(replace(line.coming, at=at, day="" if day == before else clock.day(day)))
        before = day
    return found


def _rest(pending: Pending, *, several: bool) -> str:
    """How long it stands and where; which bake it is for, when there are several."""
    parts = [] if pending.step.hands else [how_long_where(pending.step)]
    if several:
        parts.append(say("for {formula}", formula=all_of(map(lower_first, pending.formulas))))
    return ", ".join(parts)


def _night(low: datetime, high: datetime, clock: Clock) -> Coming:
    rest = say("until {time}", time=clock.text(high))
    return Coming(clock.moment(low), say("Asleep"), rest, True, None)


def _nights(quiet: Sequence[Span], then: datetime, clock: Clock) -> Coming:
    """Several nights before the next step."""
    count = sum(high - low >= NIGHT for low, high in quiet)
    title = say_many("{n} night without a step,", "{n} nights without a step,", count)
    rest = say("until {time}", time=clock.text(then))
    return Coming(clock.moment(quiet[0][0]), title, rest, True, None)
