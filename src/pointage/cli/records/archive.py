"""`pointage export` and `pointage import`: everything in one archive, out and in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

from pointage.cli.declared import Argument, Option
from pointage.language import say, say_many

if TYPE_CHECKING:
    from pointage.daybook.archive.manifest import ArchiveCounts

SAID_OF = ("what", "name", "field", "value", "expected")
"""What `import --json` says of each thing set aside, besides its place, kind and sentence."""

Store = Annotated[
    str | None,
    Option(metavar="STORE", help="The store to use instead of your own: a URL or an SQLite file."),
]
Json = Annotated[bool, Option("--json", help="Print one JSON object.")]


def export(
    path: Annotated[str, Argument(metavar="PATH", help="The archive to write, a ZIP file.")],
    *,
    replace: Annotated[bool, Option("--replace", help="Replace a file that exists.")] = False,
    store: Store = None,
    json: Json = False,
) -> None:
    """Write everything that you have into one open archive.

    Its format is in docs/archive.md.

    Kitchens and formulas with every earlier text, the daybook, photographs, sensors and samples.
    """
    from pathlib import Path

    from pointage.cli.options import as_options
    from pointage.cli.table import print_json
    from pointage.desk.desk import utc_now
    from pointage.desk.records.named_store import open_whole

    with as_options(store=store):
        counts = open_whole(utc_now, store).export_to(Path(path), replace)
    size = Path(path).stat().st_size
    if json:
        print_json({"path": path, "bytes": size, "counts": counts.model_dump()})
    else:
        words = in_words(counts)
        print(say("{path} ({size:.2f} MB) holds {what}.", path=path, size=size / 1e6, what=words))


def import_(
    path: Annotated[str, Argument(metavar="PATH", help="The archive to import.")],
    *,
    store: Store = None,
    json: Json = False,
) -> None:
    """Import an archive into your store.

    All of it is imported or, if it is damaged, nothing.

    Well-formed entries that cannot be used are imported, set aside, and listed with line and
    reason. What is there already stays; importing an archive twice is harmless. Sensors need
    another token afterwards, because tokens are not in the archive.
    """
    from pathlib import Path

    from pointage.cli.options import as_options
    from pointage.cli.table import print_json
    from pointage.desk.desk import utc_now
    from pointage.desk.records.named_store import open_to_fill

    with as_options(store=store):
        done = open_to_fill(utc_now, store).import_from(Path(path))
    found, new = done.found, done.new
    if json:
        aside = [
            {
                "file": each.file,
                "line": each.line,
                "kind": each.kind,
                **{name: getattr(each.found, name) for name in SAID_OF},
                "said": str(each),
            }
            for each in done.set_aside
        ]
        counts = {"counts": found.model_dump(), "new": new.model_dump()}
        print_json({"path": path, **counts, "set_aside": aside})
    else:
        print(say("{path} holds {what}.", path=path, what=in_words(found)))
        if any(dict(new).values()):
            print(say("New of that: {what}.", what=in_words(new)))
        else:
            print(say("Nothing was new."))
        for each in done.set_aside:
            print(say("Set aside: {place}: {reason}", place=each.place, reason=each))
        if done.set_aside:
            print(say("What is set aside stays until it is corrected."))


def in_words(counts: ArchiveCounts) -> str:
    """What there is, without what there is none of."""
    parts = (
        (counts.kitchens, say_many("{n} kitchen", "{n} kitchens", counts.kitchens)),
        (
            counts.kitchen_texts,
            say_many("{n} text of it", "{n} texts of kitchens", counts.kitchen_texts),
        ),
        (counts.formulas, say_many("{n} formula", "{n} formulas", counts.formulas)),
        (counts.formula_texts, say_many("{n} revision", "{n} revisions", counts.formula_texts)),
        (counts.entries, say_many("{n} entry", "{n} entries", counts.entries)),
        (counts.photos, say_many("{n} photograph", "{n} photographs", counts.photos)),
        (counts.sensors, say_many("{n} sensor", "{n} sensors", counts.sensors)),
        (counts.samples, say_many("{n} sample", "{n} samples", counts.samples)),
    )
    return ", ".join(words for count, words in parts if count) or say("nothing")
