"""A build that several bakes have in common, as one step: its ladder, and what was poured of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from pointage.desk.answers import Bake, StepNews
from pointage.desk.now.bakes.bake import poured_so_far, step_of, steps_left
from pointage.formula.ladder import Keep, Ladder
from pointage.kitchen.kitchen import Kitchen
from pointage.timetable.joint import BuildPart, joint_builds
from pointage.timetable.plan import Step


@dataclass(frozen=True, slots=True)
class SharedBuild:
    """A build that several bakes have. step: all of it, with the key that it has in the first.

    bakes, parts: those that have it, in the same order.
    """

    bakes: tuple[Bake, ...]
    parts: tuple[BuildPart, ...]
    step: Step

    @property
    def shares(self) -> list[tuple[str, float]]:
        """The formula of each bake, and its grams."""
        pairs = zip(self.bakes, self.parts, strict=True)
        return [(bake.plan.formula, part.grams) for bake, part in pairs]

    @property
    def first(self) -> Bake:
        """The first bake with all of the build in place of its part, and all that was poured."""
        bake = self.bakes[0]
        steps = (self.step if each.key == self.step.key else each for each in bake.plan.steps)
        news = {**bake.news, self.step.key: self._news(bake.step_news(self.step.key))}
        return replace(bake, plan=replace(bake.plan, steps=tuple(steps)), news=news)

    def part_of(self, number: int, pour: int, display_g: float, keep: Keep) -> float:
        """What the display of all is for one of the bakes, by its number, after a pour.

        A pour that missed its reading missed it by the same factor in each.
        """
        own = step_of(self.bakes[number], self.parts[number].key)
        news = self.bakes[number].step_news(own.key)
        whole = self._news(self.bakes[0].step_news(self.step.key))
        of_all = poured_so_far(self.step, whole.poured[:pour], keep)[0]
        of_one = poured_so_far(own, news.poured[:pour], keep)[0]
        return _carried(of_all, of_one, pour, display_g)

    def _news(self, news: StepNews) -> StepNews:
        """The news of the first bake's part as those of all."""
        if not news.poured:
            return news
        own = step_of(self.bakes[0], self.step.key)
        poured: tuple[float, ...] = ()
        for pour, display in enumerate(news.poured):
            part = poured_so_far(own, news.poured[:pour], news.keep)[0]
            whole = poured_so_far(self.step, poured, news.keep)[0]
            poured = (*poured, _carried(part, whole, pour, display))
        ladder, batch = poured_so_far(self.step, poured, news.keep)
        return replace(news, poured=poured, ladder=ladder, batch=batch)


def shared_builds(kitchen: Kitchen, bakes: Iterable[Bake]) -> list[SharedBuild]:
    """The builds that several bakes have in common and that are still to be done."""
    every = list(bakes)
    left = [{step.key for step in steps_left(bake)} for bake in every]
    found = []
    for build in joint_builds(kitchen, [bake.plan for bake in every]):
        if all(part.key in left[part.plan] for part in build.parts):
            members = tuple(every[part.plan] for part in build.parts)
            own = step_of(members[0], build.parts[0].key)
            step = replace(build.step, keeping=own.keeping)
            found.append(SharedBuild(members, build.parts, step))
    return found


def with_it_done(kitchen: Kitchen, bakes: Sequence[Bake], key: str) -> list[tuple[Bake, str]]:
    """The bakes that have the build called `key` of the first of `bakes`, done when it was."""
    done = bakes[0].step_news(key).done
    for build in joint_builds(kitchen, [bake.plan for bake in bakes]):
        parts = [(bakes[part.plan], part.key) for part in build.parts]
        if parts[0] == (bakes[0], key):
            return [each for each in parts if each[0].step_news(each[1]).done == done]
    return [(bakes[0], key)]


def _carried(here: Ladder, there: Ladder, pour: int, display_g: float) -> float:
    """A reading of one ladder after a pour as that of another that is poured alike."""
    start, aim = here.before(pour), here.pours[pour].display_g
    other_start, other_aim = there.before(pour), there.pours[pour].display_g
    if abs(display_g - aim) < here.step_g / 2 or aim == start:
        return other_aim
    return round(other_start + (other_aim - other_start) * (display_g - start) / (aim - start), 4)
