"""Pictures for letters: nothing but the pixels stays, and only what is meant, allowed and safe is embedded.

The files are made here with Pillow and pydicom; what comes out is read by Pillow and, marker by marker, by a walk over
the JPEG segments (ITU-T T.81, annex B).
"""

from __future__ import annotations

import dataclasses
import hashlib
import struct
import subprocess
import sys
import zlib
from io import BytesIO
from pathlib import Path
from typing import Any

import dicom_cases
import pytest
from html_trees import png
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import ExifTags, ImageChops, ImageCms, ImageStat, PngImagePlugin
from PIL import Image as Pillow
from pydicom.uid import ExplicitVRBigEndian, ExplicitVRLittleEndian, JPEG2000Lossless, JPEGBaseline8Bit

import dermreport
from dermreport.examination.observed import Image
from dermreport.letters.picture_rules import PICTURE_RULES
from dermreport.letters.pictures import PictureLimits, Prepared, prepared
from dermreport.letters.settings import PicturePurpose
from dermreport.vocabulary.consents import Consent

ROOT = Path(__file__).parent.parent
#: What a picture can tell of somebody besides the skin.
MARKERS = (b"MARKERNAME", b"MARKERPLACE", b"MARKERNOTE", b"MARKERCAMERA", b"2026:03:04", b"MARKERPROFILE")
RED, GREEN, BLUE, YELLOW = (200, 30, 30), (30, 160, 40), (30, 40, 190), (220, 210, 40)


def image(**changed: Any) -> Image:
    return Image.model_validate({"key": "a", "consent": {"care": "given"}} | changed)


def quarters(width: int = 240, height: int = 120) -> Pillow.Image:
    """Return a picture of four colours, so that it shows which way up it is."""
    made = Pillow.new("RGB", (width, height), YELLOW)
    half_x, half_y = width // 2, height // 2
    made.paste(RED, (0, 0, half_x, half_y))
    made.paste(GREEN, (half_x, 0, width, half_y))
    made.paste(BLUE, (0, half_y, half_x, height))
    return made


def jpeg(picture: Pillow.Image | None = None, **options: Any) -> bytes:
    written = BytesIO()
    (picture or quarters()).save(written, "JPEG", **({"quality": 95, "subsampling": 0} | options))
    return written.getvalue()


def as_png(picture: Pillow.Image | None = None, **options: Any) -> bytes:
    written = BytesIO()
    (picture or quarters()).save(written, "PNG", **options)
    return written.getvalue()


def care(content: bytes, limits: PictureLimits | None = None, **changed: Any) -> Prepared:
    more = {} if limits is None else {"limits": limits}
    return prepared(image(**changed), content, purpose=PicturePurpose.CARE, path="$.images[0]", **more)


def opened(made: Prepared) -> Pillow.Image:
    assert made.content is not None, made.issues
    picture = Pillow.open(BytesIO(made.content))
    assert (picture.format, picture.mode, picture.size) == ("JPEG", "RGB", (made.width, made.height))
    assert made.media_type == "image/jpeg"
    return picture


def rules(made: Prepared) -> list[str]:
    return [issue.rule for issue in made.issues if issue.rule != "letter-picture-no-hash"]


def refused(made: Prepared) -> str:
    assert (made.content, made.media_type, made.width, made.height) == (None, "", 0, 0)
    (rule,) = (one for one in rules(made) if one != "letter-picture-other-kind")
    return rule


def near(picture: Pillow.Image, at: tuple[int, int], colour: tuple[int, int, int], within: int = 6) -> bool:
    return all(abs(one - other) <= within for one, other in zip(picture.getpixel(at), colour, strict=True))


def upright(picture: Pillow.Image) -> bool:
    wide, high = picture.size
    corners = {(5, 5): RED, (wide - 6, 5): GREEN, (5, high - 6): BLUE, (wide - 6, high - 6): YELLOW}
    return all(near(picture, at, colour) for at, colour in corners.items())


def segments(content: bytes) -> list[tuple[int, bytes]]:
    """Return the markers of a JPEG file with what stands in each, up to the first scan."""
    assert content[:2] == b"\xff\xd8"
    found, at = [], 2
    while True:
        assert content[at] == 0xFF
        marker, (length,) = content[at + 1], struct.unpack(">H", content[at + 2 : at + 4])
        found.append((marker, content[at + 4 : at + 2 + length]))
        if marker == 0xDA:
            return found
        at += 2 + length


def marked_exif(orientation: int = 1) -> Pillow.Exif:
    exif = Pillow.Exif()
    exif[ExifTags.Base.Artist] = "MARKERNAME"
    exif[ExifTags.Base.Model] = "MARKERCAMERA"
    exif[ExifTags.Base.DateTime] = "2026:03:04 10:15:00"
    exif[ExifTags.Base.ImageDescription] = "MARKERNOTE"
    exif[ExifTags.Base.Orientation] = orientation
    exif.get_ifd(ExifTags.IFD.GPSInfo).update({1: "N", 2: (52.0, 31.0, 12.0), 29: "2026:03:04", 27: b"MARKERPLACE"})
    return exif


def marked_profile() -> bytes:
    """Return sRGB as a profile in which a name stands."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    profile += b"MARKERPROFILE---"
    profile[0:4] = struct.pack(">I", len(profile))
    return bytes(profile)


XMP = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><r>MARKERNAME MARKERPLACE</r></x:xmpmeta>'


def marked_jpeg() -> bytes:
    made = jpeg(exif=marked_exif(), xmp=XMP, comment=b"MARKERNOTE", icc_profile=marked_profile())
    # IPTC as in a newspaper's picture, and a second picture behind the end.
    iptc = b"Photoshop 3.0\x008BIM\x04\x04\x00\x00\x00\x00\x00\x10\x1c\x02\x50\x00\x0aMARKERNAME\x00"
    return made[:2] + b"\xff\xed" + struct.pack(">H", len(iptc) + 2) + iptc + made[2:] + b"MARKERNOTE" + jpeg()


def marked_png() -> bytes:
    text = PngImagePlugin.PngInfo()
    text.add_text("Author", "MARKERNAME")
    text.add_text("Comment", "MARKERNOTE", zip=False)
    text.add_itxt("XML:com.adobe.xmp", XMP.decode())
    made = as_png(pnginfo=text, exif=marked_exif(), icc_profile=marked_profile())
    return made + b"MARKERNOTE"


# -- nothing but the pixels stays --------------------------------------------------------------------------------------


def marked_without_profile() -> bytes:
    """Return a picture that is taken as it is, with words beside it."""
    return jpeg(exif=marked_exif(), xmp=XMP, comment=b"MARKERNOTE")


@pytest.mark.parametrize("make", [marked_jpeg, marked_png, marked_without_profile])
def test_nothing_of_what_stands_beside_the_pixels_stays(make: Any) -> None:
    content = make()
    for marker in (b"MARKERNAME", b"MARKERNOTE"):
        assert marker in content
    made = care(content)
    picture = opened(made)
    assert upright(picture)
    assert [marker for marker in MARKERS if marker in made.content] == []
    assert set(picture.info) == {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    assert not picture.getexif()
    # APP0, quantisation, frame, Huffman tables, scan: no other application segment and no comment.
    assert {marker for marker, _ in segments(made.content)} == {0xE0, 0xDB, 0xC0, 0xC4, 0xDA}
    assert [data[:5] for marker, data in segments(made.content) if marker == 0xE0] == [b"JFIF\0"]
    assert made.content.endswith(b"\xff\xd9")
    assert made.content.count(b"\xff\xd8\xff") == 1
    assert rules(made) == []


def test_the_planted_markers_are_really_there() -> None:
    found = Pillow.open(BytesIO(marked_jpeg()))
    assert found.getexif()[ExifTags.Base.Artist] == "MARKERNAME"
    assert found.getexif().get_ifd(ExifTags.IFD.GPSInfo)[2] == (52.0, 31.0, 12.0)
    assert b"MARKERPROFILE" in found.info["icc_profile"]
    assert b"MARKERPLACE" in found.info["xmp"]
    found = Pillow.open(BytesIO(marked_png()))
    assert found.text["Author"] == "MARKERNAME"
    assert b"MARKERPROFILE" in found.info["icc_profile"]
    assert found.getexif()[ExifTags.Base.Model] == "MARKERCAMERA"


def test_the_hash_of_the_original_is_kept_and_the_picture_itself_shows_in_no_text() -> None:
    content = marked_jpeg()
    made = care(content)
    assert made.sha256 == hashlib.sha256(content).hexdigest()
    assert "\\xff" not in repr(made)
    assert care(b"nothing").sha256 == hashlib.sha256(b"nothing").hexdigest()


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_a_picture_stands_upright(orientation: int, kind: str) -> None:
    """EXIF 2.32, tag 0112: where row 0 and column 0 of the file belong; the turns here are written from that table."""
    turned = {
        1: lambda one: one,
        2: lambda one: one.transpose(Pillow.Transpose.FLIP_LEFT_RIGHT),
        3: lambda one: one.rotate(180),
        4: lambda one: one.transpose(Pillow.Transpose.FLIP_TOP_BOTTOM),
        5: lambda one: one.rotate(90, expand=True).transpose(Pillow.Transpose.FLIP_TOP_BOTTOM),
        6: lambda one: one.rotate(90, expand=True),
        7: lambda one: one.rotate(-90, expand=True).transpose(Pillow.Transpose.FLIP_TOP_BOTTOM),
        8: lambda one: one.rotate(-90, expand=True),
    }[orientation](quarters())
    content = (jpeg if kind == "JPEG" else as_png)(turned, exif=marked_exif(orientation))
    picture = opened(care(content))
    assert picture.size == (240, 120)
    assert upright(picture)


def test_a_damaged_description_is_no_reason_to_leave_out_a_picture_and_no_warning() -> None:
    """A warning is an error here, so the picture would be broken."""
    damaged = b"Exif\0\0II*\0\x08\0\0\0\x40\0\x0f\x01\x02\0MARKERCAMERA"
    with pytest.warns(UserWarning, match="EXIF|Tag data|Truncated"):
        Pillow.open(BytesIO(jpeg(exif=damaged))).getexif()
    assert upright(opened(care(jpeg(exif=damaged))))


@pytest.mark.parametrize("orientation", [0, 9, 77])
def test_an_orientation_that_does_not_exist_turns_nothing(orientation: int) -> None:
    assert upright(opened(care(jpeg(exif=marked_exif(orientation)))))


def test_the_same_picture_has_the_same_bytes_in_every_process() -> None:
    code = (
        "import sys, hashlib; sys.path.insert(0, 'tests')\n"
        "import test_letter_pictures as t\n"
        "print(hashlib.sha256(t.care(t.marked_jpeg()).content).hexdigest())"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout.strip() == hashlib.sha256(care(marked_jpeg()).content).hexdigest()


# -- sizes -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("size", "longest", "expected"),
    [
        ((900, 450), 900, (900, 450)),
        ((901, 450), 900, (900, 450)),
        ((450, 900), 900, (450, 900)),
        ((1800, 1200), 900, (900, 600)),
        ((1200, 1800), 900, (600, 900)),
        ((3000, 2), 900, (900, 1)),
        ((60, 40), 900, (60, 40)),
        ((240, 120), 100, (100, 50)),
        ((1, 1), 900, (1, 1)),
    ],
)
@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_the_longest_side_is_at_most_what_is_set(
    size: tuple[int, int], longest: int, expected: tuple[int, int], kind: str
) -> None:
    content = (jpeg if kind == "JPEG" else as_png)(quarters(*size))
    made = care(content, PictureLimits(longest=longest))
    assert (made.width, made.height) == expected
    if min(expected) > 40:
        assert upright(opened(made))


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_every_limit_has_two_sides(kind: str) -> None:
    content = (jpeg if kind == "JPEG" else as_png)()
    result = len(care(content).content)
    for name, limit, rule in (
        ("size", len(content), "letter-picture-too-large"),
        ("pixels", 240 * 120, "letter-picture-too-many-pixels"),
        ("embedded", result, "letter-picture-result-too-large"),
    ):
        assert care(content, PictureLimits(**{name: limit})).content is not None
        made = care(content, PictureLimits(**{name: limit - 1}))
        assert refused(made) == rule
        (issue,) = (one for one in made.issues if one.rule == rule)
        assert issue.parameters == (("limit", str(limit - 1)),)


@pytest.mark.parametrize("wrong", [{"size": -1}, {"pixels": 1.5}, {"longest": 0}, {"embedded": True}])
def test_what_is_no_limit_is_refused(wrong: dict[str, Any]) -> None:
    with pytest.raises(dermreport.SettingsError):
        PictureLimits(**wrong)


def chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def bomb(width: int, height: int) -> bytes:
    """Return a small PNG file that says it is large."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(bytes(10_000_000)))


@pytest.mark.parametrize("size", [(100_000, 100_000), (2**31 - 1, 2**31 - 1), (64_000_001, 1)])
def test_a_picture_that_would_fill_the_memory_is_refused_by_its_head(size: tuple[int, int]) -> None:
    assert refused(care(bomb(*size))) == "letter-picture-too-many-pixels"


def test_a_jpeg_that_says_it_is_large_is_refused_by_its_head() -> None:
    content = bytearray(jpeg())
    at = content.index(b"\xff\xc0")
    content[at + 5 : at + 9] = struct.pack(">HH", 65_535, 65_535)
    assert refused(care(bytes(content))) == "letter-picture-too-many-pixels"


def test_a_jpeg_of_endless_passes_is_refused() -> None:
    content = jpeg(progressive=True)
    scans = content.count(b"\xff\xda")
    assert 5 < scans < 20
    assert upright(opened(care(content)))
    at = content.rindex(b"\xff\xda")
    last = content[at:-2]
    assert care(content[:-2] + last * (100 - scans) + b"\xff\xd9").content is not None
    many = content[:-2] + last * (101 - scans) + b"\xff\xd9"
    assert refused(care(many)) == "letter-picture-too-many-passes"


def test_text_that_unpacks_to_much_is_not_unpacked() -> None:
    start = as_png()[:33]
    packed = chunk(b"zTXt", b"Comment\0\0" + zlib.compress(bytes(200_000_000), 9))
    assert len(packed) < 300_000
    made = care(start + packed + as_png()[33:])
    assert made.content is None or upright(opened(made))


# -- kinds of pixels ---------------------------------------------------------------------------------------------------


def with_alpha() -> Pillow.Image:
    made = quarters().convert("RGBA")
    made.paste((10, 10, 10, 0), (0, 0, 120, 60))
    return made


def palette() -> Pillow.Image:
    return quarters().quantize(8)


def grey_16() -> Pillow.Image:
    return Pillow.frombytes("I;16", (2, 1), struct.pack("<HH", 0x8080, 0xFFFF)).resize(
        (40, 20), Pillow.Resampling.NEAREST
    )


def test_what_shines_through_is_white() -> None:
    picture = opened(care(as_png(with_alpha())))
    assert near(picture, (20, 20), (255, 255, 255))
    assert near(picture, (200, 20), GREEN)


def test_a_palette_gives_its_colours() -> None:
    assert upright(opened(care(as_png(palette()))))


def test_a_palette_with_a_transparent_colour_is_white_there() -> None:
    made = palette()
    index = made.getpixel((10, 10))
    picture = opened(care(as_png(made, transparency=index)))
    assert near(picture, (10, 10), (255, 255, 255))
    assert near(picture, (230, 10), GREEN)


def test_sixteen_bits_of_grey_are_scaled_and_not_cut_off() -> None:
    picture = opened(care(as_png(grey_16())))
    assert near(picture, (5, 10), (128, 128, 128), 2)
    assert near(picture, (35, 10), (255, 255, 255), 2)


def test_sixteen_bits_a_colour_are_scaled() -> None:
    rows = b"".join(b"\0" + struct.pack(">HHH", 0xC8C8, 0x1E1E, 0x1E1E) * 4 for _ in range(4))
    header = struct.pack(">IIBBBBB", 4, 4, 16, 2, 0, 0, 0)
    made = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")
    assert near(opened(care(made)), (1, 1), RED)


@pytest.mark.parametrize("mode", ["1", "L", "LA"])
def test_grey_stays_grey(mode: str) -> None:
    picture = opened(care(as_png(quarters().convert("L").point(lambda value: 255 * (value > 90)).convert(mode))))
    assert ImageStat.Stat(ImageChops.difference(picture.getchannel("R"), picture.getchannel("B"))).sum[0] == 0
    assert near(picture, (20, 20), (0, 0, 0))
    assert near(picture, (220, 100), (255, 255, 255))


def test_colours_for_print_need_their_profile() -> None:
    assert refused(care(jpeg(quarters().convert("CMYK")))) == "letter-picture-colours"


def test_colours_of_another_profile_become_those_of_srgb() -> None:
    """A profile whose red and blue are exchanged: what the file calls red is blue."""
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    red, blue = profile.index(b"rXYZ"), profile.index(b"bXYZ")
    profile[red : red + 4], profile[blue : blue + 4] = b"bXYZ", b"rXYZ"
    for content in (jpeg(icc_profile=bytes(profile)), as_png(icc_profile=bytes(profile))):
        picture = opened(care(content))
        assert near(picture, (20, 20), RED[::-1], 12)
        assert near(picture, (20, 100), BLUE[::-1], 12)


def test_a_profile_that_can_not_be_read_leaves_the_colours_open() -> None:
    assert refused(care(jpeg(icc_profile=b"no profile" * 20))) == "letter-picture-colours"


def test_several_pictures_in_one_file_are_none() -> None:
    made = as_png(save_all=True, append_images=[quarters().rotate(180)])
    assert b"acTL" in made
    assert refused(care(made)) == "letter-picture-several"


# -- what it is --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "rule"),
    [
        (b"", "letter-picture-kind"),
        (b"\xff\xd8", "letter-picture-kind"),
        (b"GIF89a" + bytes(40), "letter-picture-kind"),
        (b"<svg xmlns='http://www.w3.org/2000/svg' onload='x()'/>", "letter-picture-kind"),
        (b"%PDF-1.7", "letter-picture-kind"),
        (b"II*\0" + bytes(200), "letter-picture-kind"),
        (b"\xff\xd8\xff\xe0" + bytes(40), "letter-picture-broken"),
        (b"\x89PNG\r\n\x1a\n", "letter-picture-broken"),
        (b"\xff\xd8\xff\xe0".ljust(128, b"\0") + b"DICM", "letter-picture-two-kinds"),
        (b"\x89PNG\r\n\x1a\n".ljust(128, b"\0") + b"DICM", "letter-picture-two-kinds"),
        (bytes(128) + b"DICM", "letter-picture-broken"),
    ],
)
def test_what_is_no_picture_is_not_embedded(content: bytes, rule: str) -> None:
    assert refused(care(content, media_type="image/jpeg")) == rule


@pytest.mark.parametrize("make", [jpeg, as_png])
def test_a_picture_that_ends_too_early_is_not_embedded(make: Any) -> None:
    content = make()
    for share in (0.1, 0.5, 0.9):
        assert refused(care(content[: int(len(content) * share)])) == "letter-picture-broken"


@settings(max_examples=60)
@given(at=st.integers(0, 10_000), byte=st.integers(0, 255), make=st.sampled_from([marked_jpeg, marked_png]))
def test_a_damaged_picture_raises_nothing_and_tells_nothing(at: int, byte: int, make: Any) -> None:
    content = bytearray(make())
    content[at % len(content)] = byte
    made = care(bytes(content))
    assert all(marker not in (made.content or b"") for marker in MARKERS)
    assert "MARKER" not in repr(made)


@settings(max_examples=60)
@given(st.binary(max_size=400), st.sampled_from([b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", bytes(128) + b"DICM"]))
def test_any_bytes_behind_a_beginning_raise_nothing(rest: bytes, start: bytes) -> None:
    assert care(start + rest).content is None


@pytest.mark.parametrize(
    ("content", "media_type", "expected"),
    [
        (jpeg(), "image/jpeg", []),
        (jpeg(), None, []),
        (jpeg(), "image/png", ["letter-picture-other-kind"]),
        (png(), "image/png", []),
        (png(), "application/dicom", ["letter-picture-other-kind"]),
    ],
)
def test_the_kind_is_that_of_the_bytes(content: bytes, media_type: str | None, expected: list[str]) -> None:
    made = care(content, media_type=media_type)
    assert opened(made)
    assert rules(made) == expected


# -- whether it is the one, and may be shown ---------------------------------------------------------------------------


@pytest.mark.parametrize(("algorithm", "made_by"), [("sha-1", hashlib.sha1), ("sha-256", hashlib.sha256)])
def test_only_the_picture_that_was_recorded_is_embedded(algorithm: str, made_by: Any) -> None:
    content = jpeg()
    right, wrong = made_by(content).hexdigest(), made_by(content + b" ").hexdigest()
    assert care(content, hash={"algorithm": algorithm, "value": right}).issues == ()
    made = care(content, hash={"algorithm": algorithm, "value": wrong})
    assert refused(made) == "letter-picture-differs"
    assert made.issues[0].severity is dermreport.Severity.ERROR
    assert wrong not in repr(made)


def test_a_picture_without_a_recorded_hash_is_embedded_and_said() -> None:
    made = care(jpeg())
    assert made.content is not None
    assert [(issue.rule, issue.severity, issue.path) for issue in made.issues] == [
        ("letter-picture-no-hash", dermreport.Severity.INFORMATION, "$.images[0]")
    ]


def test_a_picture_of_another_size_is_another_picture() -> None:
    content = jpeg()
    assert care(content, size_bytes=len(content)).content is not None
    assert refused(care(content, size_bytes=len(content) + 1)) == "letter-picture-differs"


@pytest.mark.parametrize("purpose", PicturePurpose)
@pytest.mark.parametrize("consent", [None, *Consent])
def test_only_consent_to_this_purpose_embeds_a_picture(purpose: PicturePurpose, consent: Consent | None) -> None:
    others = {one.value: "given" for one in PicturePurpose if one is not purpose}
    recorded = {} if consent is None else {purpose.value: consent.value}
    made = prepared(image(consent=others | recorded), jpeg(), purpose=purpose)
    if consent is Consent.GIVEN:
        assert opened(made)
        return
    assert refused(made) == "letter-picture-consent"
    (issue,) = made.issues
    said = "not recorded" if consent is None else consent.display
    assert issue.parameters == (("purpose", purpose.value), ("consent", consent or said))
    assert f"for {purpose.value} is {said}" in issue.message


def test_without_any_consent_no_byte_of_the_picture_is_looked_at() -> None:
    made = prepared(image(consent=None), b"not a picture", purpose=PicturePurpose.CARE)
    assert refused(made) == "letter-picture-consent"


# -- DICOM -------------------------------------------------------------------------------------------------------------


def encapsulated(*pieces: bytes) -> bytes:
    """Return pixel data in items behind an empty table of offsets (PS3.5, A.4), each of even length."""
    even = [piece + b"\0" * (len(piece) % 2) for piece in (b"", *pieces)]
    return b"".join(b"\xfe\xff\x00\xe0" + struct.pack("<L", len(piece)) + piece for piece in even)


def dicom(picture: Pillow.Image | None = None, syntax: str = ExplicitVRLittleEndian, **changed: Any) -> bytes:
    """Return four colours as a dermoscopic photograph of an invented person."""
    shown = picture or quarters()
    values: dict[str, Any] = {"Rows": shown.height, "Columns": shown.width, "PixelData": shown.tobytes()}
    if syntax == JPEGBaseline8Bit:
        values["PixelData"] = encapsulated(jpeg(shown))
        values["PhotometricInterpretation"] = "YBR_FULL_422"
    return dicom_cases.picture(syntax, **(values | changed))


@pytest.mark.parametrize("encoding", ["implicit", "explicit", "deflated", "encapsulated"])
def test_a_dicom_photograph_gives_its_pixels_and_nothing_of_the_patient(encoding: str) -> None:
    content = dicom(syntax=dicom_cases.ENCODINGS[encoding])
    made = care(content, media_type="application/dicom")
    assert rules(made) == []
    assert upright(opened(made))
    for marker in dicom_cases.MARKERS:
        assert marker.encode() not in made.content
    assert made.sha256 == hashlib.sha256(content).hexdigest()


def test_luminance_and_planes_are_read_as_the_file_says() -> None:
    shown = quarters()
    luminance = dicom(PixelData=shown.convert("YCbCr").tobytes(), PhotometricInterpretation="YBR_FULL")
    planes = dicom(PixelData=b"".join(band.tobytes() for band in shown.split()), PlanarConfiguration=1)
    assert upright(opened(care(luminance)))
    assert upright(opened(care(planes)))


def test_a_picture_in_several_pieces_is_put_together() -> None:
    data = jpeg()
    half = len(data) // 4 * 2
    assert upright(opened(care(dicom(syntax=JPEGBaseline8Bit, PixelData=encapsulated(data[:half], data[half:])))))


@pytest.mark.parametrize(
    ("changed", "rule"),
    [
        ({"NumberOfFrames": "2"}, "letter-picture-several"),
        ({"NumberOfFrames": "1"}, None),
        ({"NumberOfFrames": "-1"}, "letter-picture-encoding"),
        ({"SamplesPerPixel": 1, "PhotometricInterpretation": "MONOCHROME2"}, "letter-picture-encoding"),
        ({"PhotometricInterpretation": "PALETTE COLOR"}, "letter-picture-encoding"),
        ({"PhotometricInterpretation": "YBR_FULL_422"}, "letter-picture-encoding"),
        ({"BitsAllocated": 16, "BitsStored": 16, "HighBit": 15}, "letter-picture-encoding"),
        ({"PixelRepresentation": 1}, "letter-picture-encoding"),
        ({"Rows": 121}, "letter-picture-broken"),
        ({"Rows": 0}, "letter-picture-broken"),
        ({"Columns": None}, "letter-picture-broken"),
        ({"PixelData": bytes(12)}, "letter-picture-broken"),
        ({"Rows": 65_535, "Columns": 65_535}, "letter-picture-too-many-pixels"),
        ({"BurnedInAnnotation": "YES"}, "letter-picture-written-on"),
        ({"BurnedInAnnotation": "NO"}, None),
        ({"RecognizableVisualFeatures": "YES"}, None),
        ({"syntax": JPEGBaseline8Bit, "PhotometricInterpretation": "RGB"}, "letter-picture-colours"),
        ({"syntax": JPEGBaseline8Bit, "PhotometricInterpretation": "YBR_ICT"}, "letter-picture-encoding"),
        ({"syntax": JPEGBaseline8Bit, "Rows": 119}, "letter-picture-broken"),
        ({"syntax": JPEGBaseline8Bit, "PixelData": b"\xfe\xff\x00\xe0\0\0\0\0"}, "letter-picture-broken"),
        ({"syntax": ExplicitVRBigEndian}, "letter-picture-encoding"),
    ],
)
def test_a_dicom_photograph_that_is_not_sure_to_be_shown_as_meant_is_not_embedded(
    changed: dict[str, Any], rule: str | None
) -> None:
    made = care(dicom(**changed))
    if rule is None:
        assert upright(opened(made))
    else:
        assert refused(made) == rule


def test_an_encoding_that_is_not_read_here_is_said() -> None:
    content = dicom(syntax=JPEGBaseline8Bit).replace(JPEGBaseline8Bit.encode(), JPEG2000Lossless.encode())
    assert refused(care(content)) == "letter-picture-encoding"


def test_a_jpeg_in_red_green_and_blue_is_read_where_both_say_so() -> None:
    marked = jpeg(keep_rgb=True)
    adobe = next(data for marker, data in segments(marked) if marker == 0xEE)
    assert adobe.startswith(b"Adobe")
    bare = marked.replace(b"\xff\xee" + struct.pack(">H", len(adobe) + 2) + adobe, b"")
    items, marked_items = encapsulated(bare), encapsulated(marked)
    given = {"syntax": JPEGBaseline8Bit, "PhotometricInterpretation": "RGB"}
    assert upright(opened(care(dicom(**given, PixelData=marked_items))))
    assert refused(care(dicom(**given, PixelData=items))) == "letter-picture-colours"
    other = {"syntax": JPEGBaseline8Bit, "PixelData": marked_items}
    assert refused(care(dicom(**other))) == "letter-picture-colours"


@pytest.mark.parametrize("purpose", PicturePurpose)
def test_a_face_is_embedded_for_care_alone(purpose: PicturePurpose) -> None:
    given = image(consent={one.value: "given" for one in PicturePurpose})
    made = prepared(given, dicom(RecognizableVisualFeatures="YES"), purpose=purpose)
    if purpose is PicturePurpose.CARE:
        assert opened(made)
    else:
        assert refused(made) == "letter-picture-recognisable"


def test_a_dicom_photograph_keeps_to_the_limits() -> None:
    content = dicom(quarters(1200, 600))
    assert opened(care(content)).size == (900, 450)
    assert opened(care(content, PictureLimits(pixels=1200 * 600))).size == (900, 450)
    assert refused(care(content, PictureLimits(pixels=1200 * 600 - 1))) == "letter-picture-too-many-pixels"
    assert care(content, PictureLimits(size=len(content))).content is not None
    assert refused(care(content, PictureLimits(size=len(content) - 1))) == "letter-picture-too-large"


@settings(max_examples=40)
@given(at=st.integers(132, 4_000), byte=st.integers(0, 255), encoding=st.sampled_from(["explicit", "encapsulated"]))
def test_a_damaged_dicom_file_raises_nothing_and_tells_nothing(at: int, byte: int, encoding: str) -> None:
    content = bytearray(dicom(quarters(24, 12), dicom_cases.ENCODINGS[encoding]))
    content[at % len(content)] = byte
    made = care(bytes(content))
    assert all(marker not in repr(made) for marker in dicom_cases.MARKERS)


# -- the rules, and what it needs --------------------------------------------------------------------------------------


def test_the_table_says_what_to_do_and_each_rule_is_tested_here() -> None:
    source = Path(__file__).read_text(encoding="utf-8")
    for rule in PICTURE_RULES.values():
        assert rule.id.startswith("letter-picture-")
        assert rule.message.endswith(".")
        assert rule.source
        assert source.count(f'"{rule.id}"') >= 1, rule.id


def test_the_result_is_frozen() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        care(jpeg()).width = 3


@pytest.mark.parametrize(("library", "extra", "content"), [("PIL", "images", jpeg()), ("pydicom", "dicom", dicom())])
def test_without_the_library_the_error_names_the_command(
    library: str, extra: str, content: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in [name for name in sys.modules if name.partition(".")[0] == library]:
        monkeypatch.setitem(sys.modules, name, None)
    with pytest.raises(dermreport.MissingExtraError, match=rf"pip install 'dermreport\[{extra}\]'"):
        care(content)


def test_the_libraries_are_loaded_on_first_use() -> None:
    code = "import dermreport.letters.pictures, sys; print('PIL' in sys.modules, 'pydicom' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    assert done.stdout == "False False\n"
