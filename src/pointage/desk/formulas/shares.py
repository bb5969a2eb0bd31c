"""Formulas of a kitchen as pages for other kitchens: each calculated beside, and kept."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from pointage.desk.formulas.share import share_formula, shared_problem
from pointage.desk.jobs import SHARED, Job, JobAnswer, Jobs
from pointage.desk.now.present import Present
from pointage.language import language, speaking
from pointage.shown import showing, shown


class ShareDesk:
    """The pages of one stored kitchen's formulas."""

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
        reader, units = language(), shown()

        def work(job: Job) -> str:
            with speaking(reader), showing(units):
                return share_formula(formula, kitchen, now, job.reached)

        stamp = (present.records[slug].text, present.record, reader.tag, units)
        found = self._jobs.ask((SHARED, slug), stamp, work)
        if found.waits:  # somebody waits for it: before what is calculated in advance
            self._jobs.within(0.0, (SHARED, slug), stamp, work)
        return found
