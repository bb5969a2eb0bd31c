"""The typeface as pages need it: Latin letters, figures and signs, in a third of the bytes.

A font is a set of tables (ISO/IEC 14496-22, OpenType). Glyphs keep their numbers, so that widths
still fit; what is left out has no outline and no width any more, and compresses to nothing.
Ligatures and small capitals go; the figures of this typeface are tabular without them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate, pairwise
from struct import pack, unpack_from

NAME = "Pointage Serif"
"""Not the typeface's own name, which is kept for the whole of it (OFL 1.1, condition 3)."""

SIGNS = "–—―‘’‚“”„†‡•…‰′″‹›⁄€−≈≠≤≥√∞←↑→↓Δλμπβ½⅓⅔¼¾⅛⅜⅝⅞⁰⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉"
CHARACTERS = (*range(0x20, 0x7F), *range(0xA0, 0x180), *range(0x218, 0x21C), *map(ord, SIGNS))
"""The letters of Europe's Latin alphabets, and the signs that the product prints."""

_KEPT = ("OS/2", "hhea", "maxp", "GPOS")
_NAMED = {0: None, 1: NAME, 2: "Regular", 4: NAME, 6: NAME.replace(" ", ""), 13: None, 14: None}
_COMPOSITE_MORE, _COMPOSITE_WORDS, _WIDTH_OF_PART = 0x20, 0x01, 0x200
_SCALES = {0x08: 2, 0x40: 4, 0x80: 8}
_MAGIC = 0xB1B0AFBA


def cut(font: bytes) -> bytes:
    """A TrueType font with CHARACTERS alone, and another name.

    font: with short offsets and a Unicode table of format 4, as those of the package have.
    """
    tables = dict(_tables(font))
    glyphs = {c: g for c, g in _glyphs(tables["cmap"]) if c in set(CHARACTERS)}
    places = unpack_from(f">{len(tables['loca']) // 2}H", tables["loca"])
    outlines = [tables["glyf"][2 * a : 2 * b] for a, b in pairwise(places)]
    kept = {0, *glyphs.values()}
    kept |= {part for glyph in kept for part in _parts(outlines[glyph])}
    outlines = [_own_width(each) if g in kept else b"" for g, each in enumerate(outlines)]
    ends = [sum(len(each) for each in outlines[:g]) // 2 for g in range(len(outlines) + 1)]
    made = {tag: tables[tag] for tag in _KEPT} | {
        "cmap": _cmap(glyphs),
        "glyf": b"".join(outlines),
        "head": tables["head"][:8] + bytes(4) + tables["head"][12:],
        "hmtx": _widths(tables["hmtx"], unpack_from(">H", tables["hhea"], 34)[0], kept),
        "loca": pack(f">{len(ends)}H", *ends),
        "name": _names(tables["name"]),
        "post": pack(">I", 0x30000) + tables["post"][4:32],
        "GPOS": _kerning(tables["GPOS"], kept),
    }
    return _font(made)


def _tables(font: bytes) -> Iterator[tuple[str, bytes]]:
    for n in range(unpack_from(">H", font, 4)[0]):
        tag, _, start, length = unpack_from(">4sIII", font, 12 + 16 * n)
        yield tag.decode(), font[start : start + length]


def _font(tables: dict[str, bytes]) -> bytes:
    power = len(tables).bit_length() - 1
    search = 16 << power
    head = pack(">IHHHH", 0x10000, len(tables), search, power, 16 * len(tables) - search)
    at, records, body = 12 + 16 * len(tables), b"", b""
    for tag, data in sorted(tables.items()):
        padded = data + bytes(-len(data) % 4)
        records += pack(">4sIII", tag.encode(), _checksum(padded), at + len(body), len(data))
        body += padded
    whole = head + records + body
    adjusted = pack(">I", (_MAGIC - _checksum(whole)) % 2**32)
    of_head = whole.index(tables["head"], at) + 8
    return whole[:of_head] + adjusted + whole[of_head + 4 :]


def _checksum(data: bytes) -> int:
    return int(sum(unpack_from(f">{len(data) // 4}I", data))) % 2**32


def _glyphs(cmap: bytes) -> Iterator[tuple[int, int]]:
    """Every character and its glyph, from the Unicode table of format 4."""
    for n in range(unpack_from(">H", cmap, 2)[0]):
        platform, encoding, start = unpack_from(">HHI", cmap, 4 + 8 * n)
        if (platform, encoding) == (3, 1):
            break
    count = unpack_from(">H", cmap, start + 6)[0] // 2
    ends = unpack_from(f">{count}H", cmap, start + 14)
    firsts, deltas, ranges = (
        unpack_from(f">{count}H", cmap, start + 16 + 2 * count * n) for n in (1, 2, 3)
    )
    for n, (first, end) in enumerate(zip(firsts, ends, strict=True)):
        for character in range(first, end + 1):
            glyph = character
            if ranges[n]:
                at = start + 16 + 6 * count + 2 * n + ranges[n] + 2 * (character - first)
                glyph = unpack_from(">H", cmap, at)[0]
            yield character, (glyph + deltas[n]) % 65536


def _parts(outline: bytes) -> Iterator[int]:
    """The glyphs that a glyph is put together from."""
    for at, _ in _places_of_parts(outline):
        yield unpack_from(">H", outline, at + 2)[0]


def _own_width(outline: bytes) -> bytes:
    """As wide as its own entry says: the typeface's % asks for the width of the stroke in it, and
    some browsers on some machines give it that."""
    made = bytearray(outline)
    for at, flags in _places_of_parts(outline):
        made[at : at + 2] = pack(">H", flags & ~_WIDTH_OF_PART)
    return bytes(made)


def _places_of_parts(outline: bytes) -> Iterator[tuple[int, int]]:
    """Where each part of a glyph stands, and its flags."""
    if not outline or unpack_from(">h", outline)[0] >= 0:
        return
    at, more = 10, True
    while more:
        flags = unpack_from(">H", outline, at)[0]
        yield at, flags
        at += 4 + (4 if flags & _COMPOSITE_WORDS else 2)
        at += sum(size for flag, size in _SCALES.items() if flags & flag)
        more = bool(flags & _COMPOSITE_MORE)


def _cmap(glyphs: dict[int, int]) -> bytes:
    """One table of format 12, a run for each stretch that counts up in step."""
    runs: list[list[int]] = []
    for character, glyph in sorted(glyphs.items()):
        if runs and character == runs[-1][1] + 1 and glyph - character == runs[-1][2] - runs[-1][0]:
            runs[-1][1] = character
        else:
            runs.append([character, character, glyph])
    body = b"".join(pack(">III", *run) for run in runs)
    head = pack(">HHHHI", 0, 1, 3, 10, 12)
    return head + pack(">HHIII", 12, 0, 16 + len(body), 0, len(runs)) + body


def _widths(hmtx: bytes, full: int, kept: Iterable[int]) -> bytes:
    """full: so many glyphs have a width of their own, 4 bytes each."""
    made = bytearray(len(hmtx))
    made[4 * (full - 1) :] = hmtx[4 * (full - 1) :]
    for glyph in kept:
        made[4 * glyph : 4 * glyph + 4] = hmtx[4 * glyph : 4 * glyph + 4]
    return bytes(made[: len(hmtx)])


def _names(name: bytes) -> bytes:
    """Its copyright and licence as they are, under our own name."""
    count, texts = unpack_from(">HH", name, 2)
    noted = dict(_NAMED)
    for n in range(count):
        platform, _, _, which, length, start = unpack_from(">6H", name, 6 + 12 * n)
        if platform == 3 and which in noted and noted[which] is None:
            noted[which] = name[texts + start :][:length].decode("utf-16-be")
    records, body = b"", b""
    for which, text in noted.items():
        data = (text or "").encode("utf-16-be")
        records += pack(">6H", 3, 1, 0x409, which, len(data), len(body))
        body += data
    return pack(">HHH", 0, len(noted), 6 + len(records)) + records + body


def _kerning(gpos: bytes, kept: set[int]) -> bytes:
    """The kerning between kept glyphs alone: one lookup, for every script."""
    tables = [_pairs(gpos, start, kept) for start in _pair_tables(gpos)]
    tables = [each for each in tables if each]
    lookup = pack(">HHH", 2, 0, len(tables)) + _offsets(6, tables)
    script = pack(">HHHHHH", 4, 0, 0, 0xFFFF, 1, 0)
    scripts = pack(">H4sH4sH", 2, b"DFLT", 14, b"latn", 14) + script
    features = pack(">H4sHHHH", 1, b"kern", 8, 0, 1, 0)
    lists = [scripts, features, pack(">HH", 1, 4) + lookup]
    return pack(">I", 0x10000) + _offsets(4, lists)


def _offsets(before: int, parts: Sequence[bytes]) -> bytes:
    """Where each part begins, counted from `before` bytes before this, and then the parts."""
    begin = list(accumulate(map(len, parts), initial=before + 2 * len(parts)))
    return pack(f">{len(parts)}H", *begin[:-1]) + b"".join(parts)


def _pair_tables(gpos: bytes) -> Iterator[int]:
    """Where tables of pairs begin that only move the second glyph along."""
    lookups = unpack_from(">H", gpos, 8)[0]
    for n in range(unpack_from(">H", gpos, lookups)[0]):
        lookup = lookups + unpack_from(">H", gpos, lookups + 2 + 2 * n)[0]
        kind, _, count = unpack_from(">HHH", gpos, lookup)
        for m in range(count):
            table = lookup + unpack_from(">H", gpos, lookup + 6 + 2 * m)[0]
            if kind == 9:  # a long way to a table of another kind
                wanted, way = unpack_from(">HI", gpos, table + 2)
                table += way
            else:
                wanted = kind
            if wanted == 2 and unpack_from(">HH", gpos, table + 4) == (4, 0):
                yield table


def _pairs(gpos: bytes, start: int, kept: set[int]) -> bytes:
    """One table of pairs with the kept glyphs alone; empty where it has none."""
    form, coverage = unpack_from(">HH", gpos, start)
    every = _coverage(gpos, start + coverage)
    covered = [glyph for glyph in every if glyph in kept]
    if not covered:
        return b""
    cover = pack(f">HH{len(covered)}H", 1, len(covered), *covered)
    if form == 1:
        sets = []
        for n, glyph in enumerate(every):
            if glyph in kept:
                at = start + unpack_from(">H", gpos, start + 10 + 2 * n)[0]
                count = unpack_from(">H", gpos, at)[0]
                pairs = [unpack_from(">Hh", gpos, at + 2 + 4 * m) for m in range(count)]
                pairs = [pair for pair in pairs if pair[0] in kept]
                sets.append(pack(">H", len(pairs)) + b"".join(pack(">Hh", *p) for p in pairs))
        begin = list(accumulate(map(len, sets), initial=10 + 2 * len(sets)))
        head = pack(f">5H{len(sets)}H", 1, begin[-1], 4, 0, len(sets), *begin[:-1])
        return head + b"".join(sets) + cover
    of_first, of_second, _, columns = unpack_from(">4H", gpos, start + 8)
    of_left, of_right = _classes(gpos, start + of_first), _classes(gpos, start + of_second)
    left = {glyph: of_left.get(glyph, 0) for glyph in covered}
    right = {glyph: of_right.get(glyph, 0) for glyph in sorted(kept)}
    rows, across = sorted({0, *left.values()}), sorted({0, *right.values()})
    cells = [
        unpack_from(">h", gpos, start + 16 + 2 * (row * columns + column))[0]
        for row in rows
        for column in across
    ]
    matrix = pack(f">{len(cells)}h", *cells)
    classes = [
        _class_table({g: order.index(kind) for g, kind in of.items()})
        for of, order in ((left, rows), (right, across))
    ]
    parts = [cover, *classes]
    begin = list(accumulate(map(len, parts), initial=16 + len(matrix)))
    head = pack(">8H", 2, begin[0], 4, 0, begin[1], begin[2], len(rows), len(across))
    return head + matrix + b"".join(parts)


def _class_table(classes: dict[int, int]) -> bytes:
    runs: list[list[int]] = []
    for glyph, kind in classes.items():
        if runs and glyph == runs[-1][1] + 1 and kind == runs[-1][2]:
            runs[-1][1] = glyph
        else:
            runs.append([glyph, glyph, kind])
    return pack(">HH", 2, len(runs)) + b"".join(pack(">HHH", *run) for run in runs)


def _coverage(gpos: bytes, start: int) -> list[int]:
    form, count = unpack_from(">HH", gpos, start)
    if form == 1:
        return list(unpack_from(f">{count}H", gpos, start + 4))
    spans = (unpack_from(">HH", gpos, start + 4 + 6 * n) for n in range(count))
    return [glyph for first, last in spans for glyph in range(first, last + 1)]


def _classes(gpos: bytes, start: int) -> dict[int, int]:
    form, first, count = unpack_from(">HHH", gpos, start)
    if form == 1:
        return dict(enumerate(unpack_from(f">{count}H", gpos, start + 6), first))
    spans = (unpack_from(">HHH", gpos, start + 4 + 6 * n) for n in range(first))
    return {glyph: kind for low, high, kind in spans for glyph in range(low, high + 1)}
