"""A damaged archive is refused whole, with the place of the damage; so is a trick."""

from __future__ import annotations

import json
import random
import stat
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from zipfile import ZIP_BZIP2, ZIP_DEFLATED, ZipFile, ZipInfo

import pytest
from jsonschema import Draft202012Validator
from tests.daybook.archives import exported, fill, records, rewritten

from pointage import data
from pointage.daybook.archive import manifest as m
from pointage.daybook.archive.merge import import_from
from pointage.daybook.errors import ArchiveError, NewerArchiveError
from pointage.daybook.store.store import Store, open_store

FILLED = "entries.jsonl"
HALL_CSV = "samples/00000000-0000-0000-0000-000000000065.csv"
KITCHEN = "kitchens/k1/kitchen.toml"


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """An archive of one of everything."""
    folder = tmp_path_factory.mktemp("whole")
    with open_store(f"sqlite:///{folder}/whole.sqlite3") as store:
        fill(store)
        return exported(store, folder / "whole.zip").read_bytes()


@pytest.fixture
def path(whole: bytes, tmp_path: Path) -> Path:
    path = tmp_path / "a.zip"
    path.write_bytes(whole)
    return path


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Store]:
    with open_store(f"sqlite:///{tmp_path}/empty.sqlite3") as store:
        yield store


def refusal(store: Store, path: Path) -> str:
    """The line with which it is refused, the store being as it was."""
    before = records(store)
    with pytest.raises(ArchiveError) as refused:
        import_from(store, path)
    assert records(store) == before
    line = str(refused.value)
    assert line.startswith(str(path))
    assert line.endswith("; nothing was imported")
    assert "\n" not in line
    return line.removeprefix(str(path)).removesuffix("; nothing was imported")[2:]


def line(number: int, old: str, new: str) -> Callable[[bytes], bytes]:
    """A change of one line of a member, by its number from 1."""

    def changed(content: bytes) -> bytes:
        lines = content.split(b"\n")
        assert old.encode() in lines[number - 1]
        lines[number - 1] = lines[number - 1].replace(old.encode(), new.encode(), 1)
        return b"\n".join(lines)

    return changed


def told(change: Callable[[dict[str, Any]], object]) -> Callable[[bytes], bytes]:
    """A change of the manifest."""

    def changed(content: bytes) -> bytes:
        manifest = json.loads(content)
        change(manifest)
        return json.dumps(manifest).encode()

    return changed


@pytest.mark.long
def test_a_flipped_bit_anywhere_is_refused_or_does_no_harm(
    whole: bytes, path: Path, empty: Store, tmp_path: Path
) -> None:
    with open_store(f"sqlite:///{tmp_path}/whole.sqlite3") as store:
        fill(store)
        right = records(store)
    nothing = records(empty)
    chance = random.Random(5)
    refused = 0
    for number in range(400):
        damaged = bytearray(whole)
        damaged[chance.randrange(len(whole))] ^= 1 << chance.randrange(8)
        path.write_bytes(damaged)
        try:
            import_from(empty, path)
        except ArchiveError:
            refused += 1
            assert records(empty) == nothing
        else:  # a date or a mode in the ZIP's own tables, which no record hangs on
            assert records(empty) == right
            empty.close()
            empty = open_store(f"sqlite:///{tmp_path}/{number}.sqlite3")
    empty.close()
    assert refused > 200


def test_a_file_cut_short_is_refused_wherever_it_was_cut(
    whole: bytes, path: Path, empty: Store
) -> None:
    for length in [*range(0, len(whole), 397), len(whole) - 1]:
        path.write_bytes(whole[:length])
        assert "not a ZIP archive, or its end is missing" in refusal(empty, path)


def test_what_is_no_archive_is_refused(path: Path, empty: Store, tmp_path: Path) -> None:
    path.write_bytes(b"flour")
    assert refusal(empty, path).startswith("it is not a ZIP archive")
    assert refusal(empty, tmp_path / "none.zip") == "it is not there"
    assert refusal(empty, tmp_path) == "it is not a file"


@pytest.mark.parametrize(
    ("member", "change", "place"),
    [
        pytest.param(KITCHEN, lambda c: c + b" ", f"{KITCHEN}: it has 16 bytes", id="longer"),
        pytest.param(
            KITCHEN, lambda c: c[::-1], f"{KITCHEN}: its SHA-256 is not the one", id="another hash"
        ),
        pytest.param(KITCHEN, lambda _: None, f"{KITCHEN}: it is missing", id="a text missing"),
        pytest.param(FILLED, lambda _: None, f"{FILLED}: it is missing", id="a list missing"),
        pytest.param("manifest.json", lambda _: None, "manifest.json: it is missing", id="none"),
        pytest.param("manifest.json", lambda _: b"{", "manifest.json: it is not JSON", id="broken"),
        pytest.param(
            "manifest.json",
            told(lambda t: t.pop("made")),
            "manifest.json: made: field required",
            id="a word missing",
        ),
        pytest.param(
            "manifest.json",
            told(lambda t: t.update(format="another")),
            "manifest.json: this is not a Pointage archive",
            id="of another program",
        ),
        pytest.param(
            "manifest.json",
            told(lambda t: t["members"].append(t["members"][0])),
            "manifest.json: it names schema/manifest.json twice",
            id="named twice",
        ),
        pytest.param(
            "manifest.json",
            told(lambda t: t["counts"].update(entries=7)),
            "manifest.json: it counts 7 entries; there are 6",
            id="another count",
        ),
    ],
)
def test_damage_that_the_manifest_tells_of(
    path: Path, empty: Store, member: str, change: Callable[[bytes], bytes | None], place: str
) -> None:
    assert refusal(empty, rewritten(path, {member: change}, honest=False)).startswith(place)


ENTRY_3 = "00000000-0000-0000-0000-000000000003"


@pytest.mark.parametrize(
    ("member", "change", "place"),
    [
        pytest.param(FILLED, line(3, "{", ""), "line 3: it is not JSON", id="no JSON"),
        pytest.param(FILLED, line(3, "},", ""), "line 3: it is not JSON", id="cut"),
        pytest.param(FILLED, line(2, "1.6", "NaN"), "line 2: it is not JSON (NaN", id="no number"),
        pytest.param(
            FILLED, line(1, '"said', '"\\ud800'), "line 1: it is not UTF-8", id="half a character"
        ),
        pytest.param(
            FILLED, lambda c: c[:-5], "line 6: the line does not end", id="without an end"
        ),
        pytest.param(
            FILLED, line(2, '"rise"', '"rise":1,"rise"'), "line 2: it is not JSON (a name",
            id="a name twice",
        ),
        pytest.param(FILLED, line(2, "{", "[" * 99999), "line 2: it is not JSON", id="too deep"),
        pytest.param(
            FILLED, line(2, "1.6", "1e999"), "line 2: it is not JSON (1e999 is no number",
            id="beyond all numbers",
        ),
        pytest.param(
            FILLED, line(2, "1.6", "[" * 101 + "]" * 101), "line 2: its values lie more than 100",
            id="deeper than a page can print",
        ),
        pytest.param(
            FILLED, line(6, "Orla", "Or\\u0000la"), "line 6: author: a text has no zero byte",
            id="a zero byte",
        ),
        pytest.param(FILLED, line(3, ENTRY_3, "three"), "line 3: id: ", id="no UUID"),
        pytest.param(FILLED, line(4, "plan", ""), "line 4: kind: ", id="no kind"),
        pytest.param(FILLED, line(4, '"plan"', "7"), "line 4: kind: ", id="a kind that is no word"),
        pytest.param(FILLED, line(4, "Z", ""), "line 4: happened: a time such", id="no zone"),
        pytest.param(FILLED, line(4, "2026-11", "2026-13"), "line 4: happened: ", id="no month"),
        pytest.param(FILLED, line(4, "Orla", 'x","more":"y'), "line 4: more: ", id="one more"),
        pytest.param(FILLED, line(4, "k1", "k2"), "line 4: kitchen 'k2' is not", id="no kitchen"),
        pytest.param(FILLED, lambda c: b"[]\n" + c, "line 1: it is no JSON object", id="a list"),
        pytest.param(HALL_CSV, line(1, "at", "when"), "line 1: it does not begin", id="no head"),
        pytest.param(HALL_CSV, line(5, ",", ";"), "line 5: it is not milliseconds", id="no comma"),
        pytest.param(HALL_CSV, line(5, "15.", "nan 15."), "line 5: it is not", id="two numbers"),
        pytest.param(HALL_CSV, line(5, ",15.", ",95."), "line 5: it is not a temp", id="too hot"),
        pytest.param(HALL_CSV, line(5, "17", "16"), "line 5: its instant does not", id="earlier"),
        pytest.param(
            "sensors.jsonl", line(1, "300", "299"), f"line 1: it says 299 samples; {HALL_CSV} has",
            id="another number",
        ),
        pytest.param(
            "sensors.jsonl", line(2, "066.csv", "067.csv"), "line 2: there is no member",
            id="no such file",
        ),
        pytest.param(
            "sensors.jsonl", line(2, "066.csv", "065.csv"), "line 2: another line names",
            id="a file twice",
        ),
        pytest.param(
            "kitchens.jsonl", line(2, '"revision":2', '"revision":3'),
            "line 2: revision 3 does not follow 1", id="a gap",
        ),
        pytest.param(
            "formulas.jsonl", line(3, '"revision":1', '"revision":true'), "line 3: revision: ",
            id="true is no number",
        ),
        pytest.param(
            "photos.jsonl", lambda c: c + c.split(b"\n")[0] + b"\n",
            "line 3: the photograph was there before", id="a photograph twice",
        ),
    ],
)  # fmt: skip
@pytest.mark.soon(8)
def test_an_archive_that_says_what_cannot_be_names_the_line(
    path: Path, empty: Store, member: str, change: Callable[[bytes], bytes], place: str
) -> None:
    assert refusal(empty, rewritten(path, {member: change})).startswith(f"{member}, {place}")


def test_a_photograph_is_what_its_hash_and_its_bytes_say(path: Path, empty: Store) -> None:
    name = next(each for each in ZipFile(path).namelist() if each.endswith(".png"))
    assert refusal(empty, rewritten(path, {name: lambda c: c + b"!"})) == (
        f"{name}: line 2 of photos.jsonl has another SHA-256"
    )


def test_a_newer_archive_is_refused_in_one_line(path: Path, empty: Store) -> None:
    newer = told(lambda t: t.update(version=4, surprises=[]))
    with pytest.raises(NewerArchiveError) as refused:
        import_from(empty, rewritten(path, {"manifest.json": newer}))
    assert "a newer Pointage has written it (version 4, this program knows them up to 3)" in str(
        refused.value
    )


def test_an_archive_of_version_1_is_taken_in(path: Path, empty: Store) -> None:
    """It has no schema of a plan."""
    older = told(lambda t: t.update(version=1))
    import_from(
        empty, rewritten(path, {"schema/plan.json": lambda _: None, "manifest.json": older})
    )
    assert empty.kitchens()


@pytest.mark.parametrize(
    "name",
    [
        "../evil", "kitchens/../../evil", "/etc/evil", "C:/evil", "C:evil", "kitchens//evil",
        "kitchens\\..\\evil", "kitchens/./evil", "kitchens/", "kitchens/k1/",
    ],
)  # fmt: skip
def test_a_name_that_leads_out_is_refused(path: Path, empty: Store, name: str) -> None:
    tricky = rewritten(path, {}, {name: b"evil"})
    assert refusal(empty, tricky) == f"{name}: its name could lead out of a folder"


def test_a_member_that_no_archive_has_is_refused(path: Path, empty: Store, whole: bytes) -> None:
    assert refusal(empty, rewritten(path, {}, {"notes.txt": b""})) == (
        "notes.txt: an archive has no such member"
    )
    path.write_bytes(whole)
    extra = "photos/more.jpg"
    assert refusal(empty, rewritten(path, {}, {extra: b"x"}, honest=False)) == (
        f"{extra}: manifest.json does not name it"
    )
    path.write_bytes(whole)
    assert refusal(empty, rewritten(path, {}, {extra: b"x"})) == f"{extra}: no line names it"


@pytest.mark.parametrize("twin", ["kitchens.jsonl", KITCHEN, KITCHEN.upper().replace("KIT", "kit")])
def test_two_of_one_name_are_refused(path: Path, empty: Store, twin: str) -> None:
    with warnings.catch_warnings(), ZipFile(path, "a") as archive:
        warnings.simplefilter("ignore")
        archive.writestr(twin.replace("kitCHENS", "kitchens"), b"")
    assert refusal(empty, path).endswith(": there are two of this name")


def test_links_other_packings_and_secrets_are_refused(
    path: Path, empty: Store, whole: bytes
) -> None:
    link = ZipInfo("photos/link.jpg")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    other = ZipInfo("photos/other.jpg")
    other.compress_type = ZIP_BZIP2
    reasons = {link: "it is not a plain file", other: "it is compressed in an unknown way"}
    for info, reason in reasons.items():
        path.write_bytes(whole)
        with ZipFile(path, "a") as archive:
            archive.writestr(info, b"/etc/passwd")
        assert refusal(empty, path) == f"{info.filename}: {reason}"


@pytest.mark.parametrize(
    ("name", "size", "reason"),
    [
        (KITCHEN, 64_000_001, "it has 64000001 bytes; 64000000 at most can be"),
        ("photos/x.jpg", 8_000_001, "it has 8000001 bytes; 8000000 at most can be"),
        (FILLED, 70_000_000, "it swells from"),
    ],
)
@pytest.mark.soon(1)
def test_a_bomb_is_refused_before_any_of_it_is_read(
    tmp_path: Path, empty: Store, name: str, size: int, reason: str
) -> None:
    bomb = tmp_path / "bomb.zip"
    with ZipFile(bomb, "w", ZIP_DEFLATED) as archive:
        archive.writestr(name, bytes(size))
    assert refusal(empty, bomb).startswith(f"{name}: {reason}")


def test_a_member_that_grows_beyond_what_its_head_says_is_refused(
    path: Path, empty: Store, whole: bytes
) -> None:
    """Its sizes are lowered in both of the ZIP's tables, and in the manifest."""
    with ZipFile(path) as archive:
        info = archive.getinfo(FILLED)
    size = info.file_size.to_bytes(4, "little")
    assert whole.count(size) >= 1
    path.write_bytes(whole.replace(size, (10).to_bytes(4, "little")))
    assert FILLED in refusal(empty, path)


LINES: dict[str, type[m.ArchiveLine]] = {
    "entry": m.EntryLine,
    "formula": m.FormulaLine,
    "kitchen": m.KitchenLine,
    "manifest": m.Manifest,
    "photo": m.PhotoLine,
    "sensor": m.SensorLine,
}
STRANGE: list[Any] = [
    None, True, 0, -1, 1.5, 2**31, "", "x", "../x", [], [1], {}, {"a": 1}, "2026-11-25T12:00:00Z",
    "2026-11-25 12:00:00Z", "2026-11-25T12:00:00", "2026-11-25T12:00:00.5Z", "photos/x", "note",
    "k1", "samples/x", "kitchens/x", "A" * 64, "a" * 64, "image/gif", "image/png", "height",
    ENTRY_3, ENTRY_3.upper().replace("0", "A"),
]  # fmt: skip


@pytest.mark.parametrize("name", sorted(LINES))
def test_the_program_and_the_published_schema_refuse_the_same(path: Path, name: str) -> None:
    """Each field is given each strange value in turn, is left out, and gets company."""
    schema = Draft202012Validator(json.loads(data.schema(name)))
    with ZipFile(path) as archive:
        member = "manifest.json" if name == "manifest" else f"{name.replace('ry', 'rie')}s.jsonl"
        good = json.loads(archive.read(member).splitlines()[0])
    tries = [good, good | {"more": 1}]
    for field in good:
        tries.append({key: value for key, value in good.items() if key != field})
        tries += [good | {field: strange} for strange in STRANGE]
    verdicts = set()
    for each in tries:
        try:
            m.read_line(LINES[name], m.read_json(m.json_text(each)))
        except m.Malformed:
            ours = False
        else:
            ours = True
        assert ours == schema.is_valid(each), each
        verdicts.add(ours)
    assert verdicts == {True, False}
    assert set(m.SCHEMAS) == set(LINES)


def test_a_member_with_a_line_in_its_name_is_one_line() -> None:
    error = ArchiveError(Path("all.zip"), "two\nlines", "there is\r\nno such")
    assert str(error) == "all.zip, two lines: there is no such; nothing was imported"
