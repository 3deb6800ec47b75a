"""Pictures for a letter: checked to be the ones that are meant, allowed by consent, and drawn anew.

A picture is decoded and encoded again from its pixels alone: no place, name, time, comment, colour profile or picture
within the picture stays. It is upright and in sRGB before. The original is never changed, and its hash is kept.
"""

from __future__ import annotations

import hashlib
import warnings
from dataclasses import dataclass, field, fields
from io import BytesIO
from typing import TYPE_CHECKING, Any, Final

from dermreport.dicom_files.limits import DicomLimits
from dermreport.dicom_files.module import MEDIA_TYPE
from dermreport.dicom_files.pixels import NotOnePictureError, OtherEncodingError, Pixels, pixels
from dermreport.dicom_files.structure import Stopped, is_dicom
from dermreport.extras import loaded
from dermreport.issues import MissingExtraError, SettingsError, refuse_all, wrong_counts
from dermreport.letters.picture_rules import picture_issue
from dermreport.letters.settings import PicturePurpose
from dermreport.vocabulary.consents import Consent
from dermreport.vocabulary.hash_algorithms import HashAlgorithm

if TYPE_CHECKING:
    from collections.abc import Iterator

    from dermreport.examination.observed import Image
    from dermreport.issues import Issue

_JPEG, _PNG = "image/jpeg", "image/png"
_JPEG_BEGIN: Final = b"\xff\xd8\xff"
_PNG_BEGIN: Final = b"\x89PNG\r\n\x1a\n"
#: Where a pass over the picture begins in a JPEG file, and the most that are gone along with.
_SCAN: Final = b"\xff\xda"
_MOST_SCANS: Final = 100
_SAMPLES: Final = 3
_QUALITY: Final = 85
#: Orientation in EXIF (TIFF tag 0112): which turn makes the picture upright, as names of Pillow's.
_TURNS: Final = {
    2: "FLIP_LEFT_RIGHT",
    3: "ROTATE_180",
    4: "FLIP_TOP_BOTTOM",
    5: "TRANSPOSE",
    6: "ROTATE_270",
    7: "TRANSVERSE",
    8: "ROTATE_90",
}
_ORIENTATION: Final = 0x0112
_SIXTEEN_TO_EIGHT: Final = 1 / 257
_WHITE: Final = (255, 255, 255)


@dataclass(frozen=True, slots=True, kw_only=True)
class PictureLimits:
    """How much of a picture is taken and embedded at most.

    Attributes:
        size: Bytes of the file.
        pixels: Width times height of the original.
        longest: Longest side of the embedded picture, pixels; a smaller original isn't enlarged.
        embedded: Bytes of the embedded picture.
    """

    size: int = 64 * 1024 * 1024
    pixels: int = 64_000_000
    longest: int = 900
    embedded: int = 1024 * 1024

    def __post_init__(self) -> None:
        """Refuse what isn't a limit; no value is in the error."""
        refuse_all(wrong_counts("limits", {one.name: getattr(self, one.name) for one in fields(self)}))
        if self.longest == 0:
            raise SettingsError("limits: longest is a whole number from 1")


DEFAULT_PICTURE_LIMITS: Final = PictureLimits()


@dataclass(frozen=True, slots=True)
class Prepared:
    """A picture for a letter.

    Attributes:
        content: The picture to embed, as JPEG; ``None`` where it isn't embedded, and the issues say why.
        media_type: ``image/jpeg``, empty where nothing is embedded.
        width: Width of the embedded picture in pixels, 0 where nothing is embedded.
        height: Its height.
        sha256: SHA-256 of the original's bytes, lower-case hexadecimal.
        issues: What was found.
    """

    content: bytes | None = field(repr=False)
    media_type: str
    width: int
    height: int
    sha256: str
    issues: tuple[Issue, ...] = ()


class _Refused(Exception):  # noqa: N818 - not an error to whoever writes a letter: the issue says what was found
    """A picture isn't embedded; the issue says why."""

    def __init__(self, rule: str, **parameters: str) -> None:
        super().__init__(rule)
        self.rule, self.parameters = rule, parameters


def prepared(
    image: Image,
    content: bytes,
    *,
    purpose: PicturePurpose,
    limits: PictureLimits = DEFAULT_PICTURE_LIMITS,
    path: str = "$",
) -> Prepared:
    """Return a picture as it can be embedded in a letter, or why it can't.

    Args:
        image: The picture as it was recorded: its consent, hash, size and kind.
        content: The bytes of the file, JPEG, PNG or DICOM, whatever its name says.
        purpose: What the letter is for; there must be consent to just that.
        limits: How much is taken and embedded.
        path: Where the picture stands in the entry, for the issues.

    Returns:
        The picture, the hash of the original, and every issue. Nothing is raised for what is in the file.

    Raises:
        MissingExtraError: Pillow isn't installed, or pydicom for a DICOM file.
    """
    loaded("PIL.Image")
    found = hashlib.sha256(content, usedforsecurity=False).hexdigest()
    issues: list[Issue] = []
    reason = _Refused("letter-picture-broken")
    try:
        kind = _taken(image, content, purpose, found, limits)
        issues += _remarks(image, kind, path)
        with warnings.catch_warnings():
            # A warning of Pillow's can quote what stands in the file.
            warnings.simplefilter("ignore")
            width, height, made = _embedded(content, kind, purpose, limits)
        return Prepared(made, _JPEG, width, height, found, tuple(issues))
    except MissingExtraError:
        raise
    except _Refused as refused:
        reason = refused
    except Exception:  # noqa: BLE001, S110 - a hostile file makes a decoder raise whatever it likes: it is broken
        pass
    issues.append(picture_issue(reason.rule, path, **reason.parameters))
    return Prepared(None, "", 0, 0, found, tuple(issues))


# -- whether it may be shown, and is the one that is meant -------------------------------------------------------------


def _taken(image: Image, content: bytes, purpose: PicturePurpose, found: str, limits: PictureLimits) -> str:
    """Return the kind of a file that may be embedded."""
    given: Consent | None = None if image.consent is None else getattr(image.consent, purpose.value)
    if given is not Consent.GIVEN:
        raise _Refused("letter-picture-consent", purpose=purpose.value, consent=given or "not recorded")
    if len(content) > limits.size:
        raise _Refused("letter-picture-too-large", limit=str(limits.size))
    if not _is_the_one(image, content, found):
        raise _Refused("letter-picture-differs")
    return _kind(content)


def _is_the_one(image: Image, content: bytes, found: str) -> bool:
    if image.size_bytes is not None and image.size_bytes != len(content):
        return False
    if image.hash is None:
        return True
    if image.hash.algorithm is HashAlgorithm.SHA_1:
        # It tells two pictures apart, and is no proof against who forges one.
        return image.hash.value == hashlib.sha1(content, usedforsecurity=False).hexdigest()
    return image.hash.value == found


def _kind(content: bytes) -> str:
    dicom = is_dicom(content)
    picture = _JPEG if content.startswith(_JPEG_BEGIN) else _PNG if content.startswith(_PNG_BEGIN) else ""
    if dicom and picture:
        raise _Refused("letter-picture-two-kinds")
    if not dicom and not picture:
        raise _Refused("letter-picture-kind")
    return picture or MEDIA_TYPE


def _remarks(image: Image, kind: str, path: str) -> Iterator[Issue]:
    if image.hash is None:
        yield picture_issue("letter-picture-no-hash", path)
    if image.media_type not in {None, kind}:
        yield picture_issue("letter-picture-other-kind", path)


# -- from a file to upright pixels in sRGB -----------------------------------------------------------------------------


def _embedded(content: bytes, kind: str, purpose: PicturePurpose, limits: PictureLimits) -> tuple[int, int, bytes]:
    """Return width, height and bytes of a picture that is made of the pixels of a file."""
    made = _from_dicom(content, purpose, limits) if kind == MEDIA_TYPE else _from_file(content, kind, limits)
    clean = loaded("PIL.Image").new("RGB", made.size)
    clean.paste(made)
    written = BytesIO()
    clean.save(written, "JPEG", quality=_QUALITY, subsampling=0, optimize=False, progressive=False)
    if len(written.getvalue()) > limits.embedded:
        raise _Refused("letter-picture-result-too-large", limit=str(limits.embedded))
    return clean.width, clean.height, written.getvalue()


def _from_file(content: bytes, kind: str, limits: PictureLimits) -> Any:  # noqa: ANN401 - Pillow loads on first use
    picture = _opened(content, kind, limits)
    turn = _TURNS.get(picture.getexif().get(_ORIENTATION, 1))
    made = _in_srgb(_small(picture, limits), picture.info.get("icc_profile") or b"")
    return made if turn is None else made.transpose(loaded("PIL.Image").Transpose[turn])


def _from_dicom(content: bytes, purpose: PicturePurpose, limits: PictureLimits) -> Any:  # noqa: ANN401 - the same
    rule = "letter-picture-broken"
    found = None
    try:
        found = pixels(content, DicomLimits(size=limits.size, inflated=max(limits.size, _SAMPLES * limits.pixels)))
    except NotOnePictureError:
        rule = "letter-picture-several"
    except OtherEncodingError:
        rule = "letter-picture-encoding"
    except Stopped:
        pass
    if found is None:
        raise _Refused(rule)
    if found.written_on:
        raise _Refused("letter-picture-written-on")
    if found.recognisable and purpose is not PicturePurpose.CARE:
        raise _Refused("letter-picture-recognisable", purpose=purpose.value)
    _bounded(found.width, found.height, limits)
    picture = _jpeg_of(found, limits) if found.jpeg else _plain_of(found)
    return _in_srgb(_small(picture, limits), found.profile or picture.info.get("icc_profile") or b"")


def _jpeg_of(found: Pixels, limits: PictureLimits) -> Any:  # noqa: ANN401 - the same
    """Return the picture of a JPEG within a DICOM file; both must say the same of its size and colours."""
    if not found.data.startswith(_JPEG_BEGIN):
        raise _Refused("letter-picture-broken")
    # Of a JPEG that says nothing of its colours every decoder takes luminance.
    header = _header(found.data, limits)
    luminance = header.info.get("adobe_transform", 1) != 0
    if luminance is not found.luminance:
        raise _Refused("letter-picture-colours")
    if header.size != (found.width, found.height):
        raise _Refused("letter-picture-broken")
    return _opened(found.data, _JPEG, limits)


def _plain_of(found: Pixels) -> Any:  # noqa: ANN401 - the same
    """Return the picture of pixels that stand in a DICOM file as they are."""
    wanted = found.width * found.height * _SAMPLES
    # A value of odd length has one more byte (PS3.5, section 8.1.1).
    if len(found.data) not in {wanted, wanted + wanted % 2}:
        raise _Refused("letter-picture-broken")
    size, mode, module = (found.width, found.height), "YCbCr" if found.luminance else "RGB", loaded("PIL.Image")
    if not found.planar:
        return module.frombytes(mode, size, found.data[:wanted]).convert("RGB")
    plane = wanted // _SAMPLES
    bands = [module.frombytes("L", size, found.data[at * plane : (at + 1) * plane]) for at in range(_SAMPLES)]
    return module.merge(mode, bands).convert("RGB")


def _header(content: bytes, limits: PictureLimits) -> Any:  # noqa: ANN401 - the same
    """Return a JPEG file of which the head is read."""
    opened = loaded("PIL.JpegImagePlugin").JpegImageFile(BytesIO(content))
    _bounded(opened.width, opened.height, limits)
    return opened


def _opened(content: bytes, kind: str, limits: PictureLimits) -> Any:  # noqa: ANN401 - the same
    """Return a JPEG or PNG file decoded."""
    if kind == _JPEG:
        if content.count(_SCAN) > _MOST_SCANS:
            raise _Refused("letter-picture-too-many-passes", limit=str(_MOST_SCANS))
        picture = _header(content, limits)
        # Decoded at a fraction of its size, where that is still enough to be made smaller from.
        picture.draft(picture.mode, (2 * limits.longest, 2 * limits.longest))
    else:
        picture = loaded("PIL.PngImagePlugin").PngImageFile(BytesIO(content))
        _bounded(picture.width, picture.height, limits)
        if picture.is_animated:
            raise _Refused("letter-picture-several")
    picture.load()
    return picture


def _bounded(width: int, height: int, limits: PictureLimits) -> None:
    if width < 1 or height < 1:
        raise _Refused("letter-picture-broken")
    if width * height > limits.pixels:
        raise _Refused("letter-picture-too-many-pixels", limit=str(limits.pixels))


def _small(picture: Any, limits: PictureLimits) -> Any:  # noqa: ANN401 - the same
    """Return a picture in a mode that can be mixed, no longer than the limit."""
    if picture.mode.startswith("I"):
        # Sixteen bits of grey: Pillow cuts them off instead of scaling them.
        picture = picture.convert("I").point(lambda value: value * _SIXTEEN_TO_EIGHT + 0).convert("L")
    transparent = "transparency" in picture.info or picture.mode in {"LA", "PA", "RGBA", "La", "RGBa"}
    if transparent:
        picture = picture.convert("RGBA")
    elif picture.mode not in {"L", "RGB", "CMYK"}:
        picture = picture.convert("L" if picture.mode == "1" else "RGB")
    share = limits.longest / max(picture.size)
    if share >= 1:
        return picture
    size = tuple(max(1, round(side * share)) for side in picture.size)
    return picture.resize(size, loaded("PIL.Image").Resampling.LANCZOS, reducing_gap=3.0)


def _in_srgb(picture: Any, profile: bytes) -> Any:  # noqa: ANN401 - the same
    """Return a picture in sRGB on white; without a profile red, green and blue are taken for sRGB."""
    alpha = None
    if picture.mode == "RGBA":
        alpha, picture = picture.getchannel("A"), picture.convert("RGB")
    if profile:
        picture = _by_profile(picture, profile)
    elif picture.mode == "CMYK":
        raise _Refused("letter-picture-colours")
    picture = picture.convert("RGB")
    if alpha is None:
        return picture
    return loaded("PIL.Image").composite(picture, loaded("PIL.Image").new("RGB", picture.size, _WHITE), alpha)


def _by_profile(picture: Any, profile: bytes) -> Any:  # noqa: ANN401 - the same
    cms = loaded("PIL.ImageCms")
    try:
        given = cms.ImageCmsProfile(BytesIO(profile))
        return cms.profileToProfile(picture, given, cms.createProfile("sRGB"), outputMode="RGB")
    except (OSError, cms.PyCMSError):
        pass
    raise _Refused("letter-picture-colours")
