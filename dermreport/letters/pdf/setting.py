"""typst at work: a template and its data become PDF. It reads no file of the machine and calls nobody.

Its errors quote the text that it can't set, so none of them leaves this module: what failed gives nothing.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from dermreport.extras import loaded

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

#: The folder that typst takes for the whole disk: the templates.
_ROOT: Final = Path(__file__).parent / "typst"
#: Tagged for screen readers (PDF/UA-1).
READABLE: Final = ("ua-1",)
#: The same, and made to be kept (PDF/A-2a).
STANDARDS: Final = (*READABLE, "a-2a")


@cache
def typefaces(folder: Path | None) -> Any:  # noqa: ANN401 - typst is loaded on first use
    """Return the built-in fonts and those of a folder, as it is at first use; fonts of the machine are never taken."""
    folders = [] if folder is None else [str(folder)]
    return loaded("typst").Fonts(include_system_fonts=False, font_paths=folders)


@cache
def _template(name: str) -> bytes:
    return (_ROOT / f"{name}.typ").read_bytes()


def pdf_of(
    template: str,
    files: Mapping[str, bytes],
    faces: Any,  # noqa: ANN401 - the same
    *,
    standards: Iterable[str] = (),
    day: date | None = None,
) -> bytes | None:
    """Return a template with its files as PDF, or nothing if that can't be made.

    Args:
        template: Its name.
        files: What it reads, by name.
        faces: Fonts, of :func:`typefaces`.
        standards: Standards that the file has to keep.
        day: Day of the file; one without says the first of 1970, because typst would read the clock.
    """
    made = datetime.combine(day or date(1970, 1, 1), time(), UTC)
    compiled = loaded("typst").compile
    try:
        return bytes(
            compiled(
                {"main.typ": _template(template), **files},
                root=str(_ROOT),
                font_paths=faces,
                ignore_system_fonts=True,
                package_path=str(_ROOT),
                package_cache_path=str(_ROOT),
                format="pdf",
                pdf_standards=list(standards),
                timestamp=made,
            )
        )
    except Exception:  # noqa: BLE001 - whatever stops typst, its words may be the patient's
        return None
    except BaseException as error:
        # A fault in typst itself comes as a kind of its own, which is no Exception.
        if type(error).__name__ != "PanicException":
            raise
        return None
