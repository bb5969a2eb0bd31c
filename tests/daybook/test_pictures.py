"""Photographs without their metadata, with Pillow as the judge of pixels and of what is left."""

from __future__ import annotations

import struct
import zlib
from contextlib import suppress
from io import BytesIO
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms, PngImagePlugin

from pointage.daybook.store.pictures import MOST_PIXELS, without_metadata
from pointage.errors import InputError

ORIENTATION, GPS, MAKER, TAKEN = 0x0112, 0x8825, 0x010F, 0x0132
LATITUDE = (53.0, 20.0, 59.0)
SECRET = b"secret-harbour-53.34972"
XMP = (
    b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF '
    b'xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#"><rdf:Description '
    b'xmlns:exif="http://ns.adobe.com/exif/1.0/" exif:GPSLatitude="' + SECRET + b'"/></rdf:RDF>'
    b"</x:xmpmeta>"
)
IPTC = b"Photoshop 3.0\0" + b"8BIM\x04\x04\0\0" + struct.pack(">I", len(SECRET)) + SECRET + b"\0"
MEDIA = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
PROFILE = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()


def pixels(size: tuple[int, int] = (40, 24), mode: str = "RGB") -> Image.Image:
    gradient = Image.linear_gradient("L").resize(size)
    return Image.merge("RGB", (gradient, gradient.rotate(180), gradient)).convert(mode)


def exif(orientation: int) -> Image.Exif:
    found = Image.Exif()
    found[ORIENTATION] = orientation
    found[MAKER] = SECRET.decode()
    found[TAKEN] = "2026:11:26 05:12:00"
    found[GPS] = {1: "N", 2: LATITUDE}
    return found


def photograph(kind: str, orientation: int = 6, image: Image.Image | None = None) -> bytes:
    """A picture with all the metadata that it can hold."""
    out = BytesIO()
    more: dict[str, Any] = {"exif": exif(orientation), "xmp": XMP, "icc_profile": PROFILE}
    if kind == "JPEG":
        more |= {"comment": SECRET, "progressive": True, "extra": segment(0xED, IPTC)}
    if kind == "PNG":
        text = PngImagePlugin.PngInfo()
        text.add_itxt("XML:com.adobe.xmp", XMP.decode())
        text.add_text("Comment", SECRET.decode())
        text.add_text("Location", SECRET.decode(), zip=True)
        more = {"exif": exif(orientation), "pnginfo": text, "icc_profile": PROFILE}
    (image or pixels()).save(out, kind, **more)
    return out.getvalue() + b"a second picture behind the first " + SECRET


def segment(marker: int, data: bytes) -> bytes:
    return bytes([0xFF, marker]) + struct.pack(">H", len(data) + 2) + data


def stripped(content: bytes, kind: str) -> Image.Image:
    found = without_metadata(content, MEDIA[kind])
    assert without_metadata(found, MEDIA[kind]) == found
    assert SECRET not in found
    image = Image.open(BytesIO(found))
    image.load()
    return image


@pytest.mark.parametrize("kind", MEDIA)
@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_orientation_is_all_that_is_left(kind: str, orientation: int) -> None:
    content = photograph(kind, orientation)
    before = Image.open(BytesIO(content))
    assert before.getexif().get_ifd(GPS)[2] == LATITUDE  # the judge sees what there was
    image = stripped(content, kind)
    left = dict(image.getexif())
    assert left == ({} if orientation == 1 else {ORIENTATION: orientation})
    assert image.getexif().get_ifd(GPS) == {}
    shown = {"icc_profile", "jfif", "jfif_version", "jfif_unit", "jfif_density", "adobe", "exif"}
    shown |= {"adobe_transform", "progressive", "progression", "dpi", "loop", "background"}
    shown |= {"duration", "timestamp"}
    assert set(image.info) <= shown
    assert image.info["icc_profile"] == PROFILE
    assert image.size == before.size


@given(
    kind=st.sampled_from(sorted(MEDIA)),
    width=st.integers(1, 70),
    height=st.integers(1, 70),
    orientation=st.integers(1, 8),
    mode=st.sampled_from(["RGB", "L", "RGBA", "CMYK"]),
)
def test_no_pixel_changes(kind: str, width: int, height: int, orientation: int, mode: str) -> None:
    if mode == ("RGBA" if kind == "JPEG" else "CMYK"):
        mode = "RGB"
    content = photograph(kind, orientation, pixels((width, height), mode))
    before, after = Image.open(BytesIO(content)), stripped(content, kind)
    assert (before.mode, before.size) == (after.mode, after.size)
    assert before.tobytes() == after.tobytes()


def test_a_thumbnail_in_the_head_goes_too() -> None:
    content = photograph("JPEG")
    at = content.index(b"JFIF\0") - 4
    with_one = segment(0xE0, content[at + 4 : at + 16] + b"\1\1" + b"\xaa\xbb\xcc")
    jfxx = segment(0xE0, b"JFXX\0\x10" + SECRET)
    changed = content[:at] + with_one + jfxx + content[at + 18 :]
    found = without_metadata(changed, "image/jpeg")
    assert b"\xaa\xbb\xcc" not in found
    assert found == without_metadata(content, "image/jpeg")


def png_of(width: int, height: int) -> bytes:
    """A picture whose pixels are all zero: so many take hardly any bytes."""

    def chunk(name: bytes, data: bytes) -> bytes:
        crc = struct.pack(">I", zlib.crc32(name + data))
        return struct.pack(">I", len(data)) + name + data + crc

    head = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    lines = zlib.compress(bytes(((width + 7) // 8 + 1) * min(height, 200)), 9)
    end = chunk(b"IDAT", lines) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + end


def test_too_many_pixels_are_refused_by_the_header() -> None:
    with pytest.raises(InputError, match=r"50000 × 50000 pixels .* at most 60 megapixels"):
        without_metadata(png_of(50_000, 50_000), "image/png")
    assert MOST_PIXELS == 60_000_000
    jpeg = bytearray(photograph("JPEG"))
    at = jpeg.index(b"\xff\xc2") + 5
    jpeg[at : at + 4] = struct.pack(">HH", 50_000, 50_000)
    with pytest.raises(InputError, match="50000 × 50000 pixels"):
        without_metadata(bytes(jpeg), "image/jpeg")
    webp = bytearray(photograph("WEBP"))
    webp[24:30] = b"\xff\x2f\0\xff\x3f\0"  # 12288 × 16384, less one each: RFC 9649, 2.7
    with pytest.raises(InputError, match="at most 60 megapixels"):
        without_metadata(bytes(webp), "image/webp")


@pytest.mark.parametrize("kind", MEDIA)
def test_what_only_begins_as_a_picture_is_refused(kind: str) -> None:
    content = photograph(kind)
    whole = len(without_metadata(content, MEDIA[kind]))
    for wrong in (content[:12] + bytes(300), content[: whole // 2], content[:40]):
        with pytest.raises(InputError, match="photo: this file cannot be used"):
            without_metadata(wrong, MEDIA[kind])


@pytest.mark.parametrize("kind", MEDIA)
def test_cut_short_anywhere_it_is_refused_or_a_picture_without_metadata(kind: str) -> None:
    content = photograph(kind)
    for end in range(12, len(content), 37):
        with suppress(InputError):
            stripped(content[:end], kind)


@given(kind=st.sampled_from(sorted(MEDIA)), at=st.integers(12, 3000), letters=st.binary(max_size=8))
def test_damage_is_refused_in_one_line(kind: str, at: int, letters: bytes) -> None:
    content = bytearray(photograph(kind))
    content[at : at + len(letters)] = letters
    with suppress(InputError):  # and nothing else
        without_metadata(bytes(content), MEDIA[kind])


def test_a_moving_picture_is_refused() -> None:
    out = BytesIO()
    pixels().save(out, "WEBP", save_all=True, append_images=[pixels().rotate(180)], duration=100)
    with pytest.raises(InputError, match="a still picture"):
        without_metadata(out.getvalue(), "image/webp")
