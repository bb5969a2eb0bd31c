"""Write docs/validation: every outside case with ours beside it, and its drawings.

    .venv/bin/python scripts/validation.py            write them
    .venv/bin/python scripts/validation.py --check    say whether the page is still true

The cases are those of the tests (tests/outside), so that page and tests cannot part.
"""

from __future__ import annotations

import re
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402
from tests.outside import raising_cases  # noqa: E402
from tests.outside.case import Case, Topic, held_back  # noqa: E402
from tests.outside.topics import TOPICS  # noqa: E402

from pointage.culture.mature import feed, mature  # noqa: E402
from pointage.culture.young import gate, is_false_start  # noqa: E402
from pointage.data import load  # noqa: E402
from pointage.mixture.mixture import Mixture  # noqa: E402
from pointage.mixture.response import GROWTH_SETS  # noqa: E402
from pointage.mixture.sets import peaks_by_set  # noqa: E402
from pointage.mixture.traits import draw_traits, median_traits  # noqa: E402

PAGE = ROOT / "docs" / "validation" / "README.md"
SET_TEMPERATURES = (12.0, 15.0, 20.0, 25.0, 28.0, 30.0, 32.0)

NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?(?:e-?\d+)?")

FIGURES = {
    "Growth against temperature, rules of thumb": (
        "growth", "Growth against temperature: the three sets as lines, the rules of 1998 as points"
    ),
    "Wheat at 30 °C": ("wheat", "The wheat case: pH, counts and acids, with the table's points"),
    "Peaks by dilution": (
        "peaks", "Hours to the peak by dilution, with the ranges of common practice as bars"
    ),
    "Carbon dioxide in water": ("solubility", "Carbon dioxide that water holds by temperature"),
    "A young culture": (
        "young", "Rise, whose gas it was, pH and counts of a white culture in its first ten days"
    ),
}  # fmt: skip

HEAD = """# What the engine makes of figures from outside

This page is written by `scripts/validation.py` from the cases that the tests in `tests/outside`
hold. Each case is one of two things:

- *fitted*: a constant of the engine was set by it, and the table names the constant. That ours is
  near it shows that the constant was set well, and nothing more.
- *held back*: nothing was set by it. These are the checks, and they are named in the list below.

*Seen*: the figure was read in the text named. *From memory*: it was not. Rules of the trade that no
source has stand under a heading of their own, after what was published. A residual is ours less the
figure; of a range, the distance from its nearer end. Where ours is known to lie outside the
tolerance, that is a *departure*: said below the table with its reason, and held to its size.
"""


def page() -> str:
    """The whole page as Markdown."""
    published = [topic for topic in TOPICS if not topic.practice]
    practice = [topic for topic in TOPICS if topic.practice]
    return "\n".join(
        [
            HEAD,
            _summary(),
            "## Published\n",
            *map(_topic, published),
            _sets(),
            "## Common practice, no source\n",
            *map(_topic, practice),
            _young(),
        ]
    )


def _summary() -> str:
    """How many cases there are of each kind, and the held-back ones by name."""
    counts = Counter((topic.practice, bool(topic.set_by(case))) for topic, case in _cases())
    departing = Counter(topic.practice for topic, case in _cases() if case.departure)
    lines = [
        "## What counts as a check",
        "",
        "| | fitted | held back | of all, departures |",
        "|---|---:|---:|---:|",
        *(
            f"| {name} | {counts[practice, True]} | {counts[practice, False]} "
            f"| {departing[practice]} |"
            for name, practice in (("published", False), ("common practice, no source", True))
        ),
        "",
        "Held back:",
        "",
    ]
    for topic, cases in held_back(TOPICS):
        whose = " (common practice, no source)" if topic.practice else ""
        lines.append(f"- {topic.title}{whose}: {'; '.join(case.what for case in cases)}.")
    return "\n".join([*lines, ""])


def _cases() -> Iterator[tuple[Topic, Case]]:
    return ((topic, case) for topic in TOPICS for case in topic.cases)


def _topic(topic: Topic) -> str:
    lines = [f"### {topic.title}", "", f"Source: {topic.source}.", ""]
    lines += [f"Tolerance: {topic.why}", ""]
    if topic.title in FIGURES:
        name, words = FIGURES[topic.title]
        lines += [f"![{words}]({name}.svg)", ""]
    lines += [
        f"| figure | {'practice' if topic.practice else 'published'} | ours | residual | tolerance "
        "| set by it |",
        "|---|---:|---:|---:|---:|---|",
        *(_row(case, topic.set_by(case)) for case in topic.cases),
        "",
    ]
    why: dict[str, list[str]] = {}
    for case in topic.cases:
        if case.departure:
            why.setdefault(case.departure.why, []).append(case.what)
    lines += [f"Departs: {'; '.join(names)}: {words}.\n" for words, names in why.items()]
    return "\n".join(lines)


def _row(case: Case, sets: str) -> str:
    ours = case.ours()
    if isinstance(case.published, tuple):
        published = " to ".join(f"{end:g}" for end in case.published)
    else:
        published = _number(case.published)
    slack = f"{case.tolerance:.3g}"
    if case.relative:
        slack = f"{100 * case.tolerance:.3g} %"
    if case.departure:
        slack += ", departs"
    residual = _residual(case.residual(ours), ours)
    whose = f"*fitted*: {sets}" if sets else "held back"
    return f"| {case.what} | {published} | {_number(ours)} | {residual} | {slack} | {whose} |"


def _number(value: float) -> str:
    """Three digits, trailing noughts kept."""
    return f"{value:.1f}" if abs(value) >= 100 else f"{value:#.3g}".rstrip(".")


def _residual(value: float, ours: float) -> str:
    """As many decimals as ours is printed with."""
    decimals = len(_number(ours).partition(".")[2])
    return f"{value:+.{decimals}f}" if round(value, decimals) else f"{0:.{decimals}f}"


def _levain(celsius: float) -> Mixture:
    culture = mature({"wheat-white": 1.0}, 1.0, median_traits())
    return feed(culture, 20.0, {"wheat-white": 100.0}, 100.0, celsius)


def _sets() -> str:
    """The sets side by side, with what each does not claim."""
    lines = [
        "### The growth sets side by side",
        "",
        "Hours to the peak of one white levain (1:5:5) under each set. The sets are tied at 25 °C, "
        "since the rate there is a trait of the culture.",
        "",
        f"| °C | {' | '.join(GROWTH_SETS)} | latest over earliest |",
        "|---:|" + "---:|" * (len(GROWTH_SETS) + 1),
    ]
    for peaks in peaks_by_set(_levain, SET_TEMPERATURES, median_traits()):
        hours = " | ".join(f"{peaks.hours[name]:.1f}" for name in GROWTH_SETS)
        lines.append(f"| {peaks.celsius:g} | {hours} | {1 + peaks.spread:.2f} |")
    lines.append("")
    for name in GROWTH_SETS:
        table = load(f"parameters/{name}.toml")
        lines.append(f"- **{name}**: {table['source']} Does not claim: {table['does_not_claim']}")
    return "\n".join([*lines, ""])


def _young() -> str:
    """A young culture by day with its odds."""
    kept, members = raising_cases.KEPT, raising_cases.MEMBERS
    traits = draw_traits(members, raising_cases.SEED)
    lines = [
        "### A young culture by day",
        "",
        f"Equal parts of flour and water at 25 °C, a third kept, fed once a day; {members} "
        "members. Rise and pH before the feed as 10, 50 and 90 %; gas as the middle shares of "
        "early flora, bacteria and yeast; trusted as the share of members that pass the gate: pH "
        "below 4.2 and a full rise on the gas of enough yeast at three feeds running, and seven "
        "days at least.",
        "",
    ]
    for kind in ("wheat-white", "rye-whole"):
        days = raising_cases.many(kind, 25.0, 10)
        passed = gate(days, traits, kept)
        lines += [
            f"**{kind}**, a full rise being {passed.wanted_rise:.2f}:",
            "",
            "| day | highest rise | pH | gas | false start | trusted |",
            "|---:|---|---|---|---|---:|",
        ]
        for day, odds in zip(days, passed.odds, strict=True):
            rise = " / ".join(f"{v:.2f}" for v in np.percentile(day.peak_rise, (10, 50, 90)))
            ph = " / ".join(f"{v:.2f}" for v in np.percentile(day.ph, (10, 50, 90)))
            gas = " / ".join(f"{np.median(v):.2f}" for v in (day.early, day.bacteria, day.yeast))
            told = "yes" if is_false_start(day) else ""
            lines.append(f"| {day.number} | {rise} | {ph} | {gas} | {told} | {odds:.2f} |")
        lines.append("")
    return "\n".join(lines)


def first_difference(old: str, new: str) -> str | None:
    """The first line that says something else, numbers apart by two of their last digit let pass.

    A whole number is a name (a day, a temperature) and must be the same.
    """
    before, after = old.splitlines(), new.splitlines()
    for was, now in zip(before, after, strict=False):
        if not _says_the_same(was, now):
            return f"the page has  {was}\nit ought to be {now}"
    return None if len(before) == len(after) else f"{len(before)} lines, {len(after)} expected"


def _says_the_same(was: str, now: str) -> bool:
    if NUMBER.sub("#", was) != NUMBER.sub("#", now):
        return False
    return all(map(_near, NUMBER.findall(was), NUMBER.findall(now)))


def _near(was: str, now: str) -> bool:
    decimals = min(len(text.partition(".")[2]) for text in (was, now))
    slack = 2.001 * 10.0**-decimals if decimals else 0.0
    return abs(float(was) - float(now)) <= slack


def main() -> None:
    """Write the page and its drawings, or check the page."""
    if "--check" in sys.argv:
        sys.exit(first_difference(PAGE.read_text(encoding="utf-8"), page()))
    import vl_convert

    from validation_plots import plots

    PAGE.parent.mkdir(parents=True, exist_ok=True)
    PAGE.write_text(page(), encoding="utf-8")
    for name, spec in plots().items():
        svg = vl_convert.vegalite_to_svg(spec, vl_version="5.20")
        PAGE.with_name(f"{name}.svg").write_text(svg, encoding="utf-8")
    print(f"wrote {PAGE.relative_to(ROOT)} and its drawings")


if __name__ == "__main__":
    main()
