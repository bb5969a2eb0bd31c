"""Pages for other kitchens, of formulas and cultures: each calculated beside, and kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime

from pointage.desk.cultures.share_culture import read_rights, share_culture
from pointage.desk.cultures.share_raising import share_raising
from pointage.desk.formulas.share import share_formula, shared_problem
from pointage.desk.jobs import RAISING_PAGE, SHARED, SHARED_CULTURE, Job, JobAnswer, Jobs
from pointage.desk.now.present import Present
from pointage.desk.sheets.travelling import giveable
from pointage.formula.formula import Rights
from pointage.language import language, speaking
from pointage.shown import showing, shown


class ShareDesk:
    """The pages that one stored kitchen gives out."""

    def __init__(
        self, present: Callable[[], Present], clock: Callable[[], datetime], jobs: Jobs
    ) -> None:
        self._present = present
        self._clock = clock
        self._jobs = jobs

    def page(self, slug: str) -> JobAnswer[str]:
        """The page of a formula, as HTML in the reader's language; it takes some seconds.

        Raises NotThere, and InputError for a formula of which there can be none.
        """
        present, now = self._present(), self._clock()
        formula, kitchen = present.formula(slug), present.kitchen
        shared_problem(formula, kitchen, now)
        stamp = (present.records[slug].text, present.record)
        ask = self._jobs.planner.ask
        return self._made(
            (SHARED, slug),
            stamp,
            lambda job: ask(share_formula, formula, kitchen, now, reached=job.reached),
        )

    def culture(self, name: str, whose: Mapping[str, str]) -> JobAnswer[str]:
        """The page that goes with a piece of a culture. whose: "author", "year" and "licence", as
        they were typed. Raises InputError for what those cannot be, and for a young culture."""
        rights = _rights(whose)
        present = self._present()
        culture = giveable(name, present, self._clock())
        believed = present.learning.beliefs(culture.name)
        stamp = (culture, present.flours, believed.stamp, rights)
        return self._made(
            (SHARED_CULTURE, culture.name),
            stamp,
            lambda job: share_culture(culture, present, rights, job.reached),
        )

    def raising(self, whose: Mapping[str, str]) -> JobAnswer[str]:
        """The page for a class that raises its own. whose: as of a culture. Raises InputError."""
        rights = _rights(whose)
        return self._made(
            (RAISING_PAGE, ""),
            rights,
            lambda job: self._jobs.planner.ask(share_raising, rights, reached=job.reached),
        )

    def _made(
        self, subject: tuple[str, str], stamp: object, write: Callable[[Job], str]
    ) -> JobAnswer[str]:
        reader, units = language(), shown()

        def work(job: Job) -> str:
            with speaking(reader), showing(units):
                return write(job)

        whole = (stamp, reader.tag, units)
        found = self._jobs.ask(subject, whole, work)
        if found.waits:  # somebody waits for it: before what is calculated in advance
            self._jobs.within(0.0, subject, whole, work)
        return found


def _rights(whose: Mapping[str, str]) -> Rights:
    return read_rights(*(whose.get(name, "") for name in ("author", "year", "licence")))
