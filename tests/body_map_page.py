"""Write one page with all drawings of the body map and the area of every site, to be looked at by eye.

``python tests/body_map_page.py PAGE.html`` writes first the drawings as they are marked, then each drawing with all
areas, edged and numbered, beside a list of what each number is; a site that encloses others comes first.
"""

from __future__ import annotations

import sys
from html import escape
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from dermreport.body_map import BY_SIDE, FROM_BEHIND, PROFILES, area_of, best_map, centre_of, drawing_of
from dermreport.body_map.drawing import is_paired
from dermreport.examination.lesion import Lesion
from dermreport.plots.body_map import body_map_svg
from dermreport.vocabulary.body_maps import BodyMap
from dermreport.vocabulary.sides import Side
from dermreport.vocabulary.sites import Site

#: Shown in lines and paper of their own, so that lines inside lines can be told.
INKS = ("#9c2f2f", "#1f5f99", "#2f7d32", "#7a4b9a", "#a05a00", "#00737a")


def path(shape: tuple[tuple[float, float], ...], *, closed: bool = False) -> str:
    return "M" + " ".join(f"{x:.1f} {y:.1f}" for x, y in shape) + ("Z" if closed else "")


def areas(map_: BodyMap, scale: float) -> str:
    """Return one drawing with all areas, and the list of their numbers."""
    side = PROFILES.get(map_) or BY_SIDE.get(map_) or (Side.RIGHT if map_ in FROM_BEHIND else Side.LEFT)
    drawing = drawing_of(map_, side)
    parts = []
    for number, site in enumerate(drawing.areas, 1):
        shown = side if is_paired(site) or map_ in BY_SIDE else None
        ink = INKS[number % len(INKS)]
        parts.extend(
            f'<path d="{path(one, closed=True)}" fill="{ink}" fill-opacity="0.07" stroke="{ink}"/>'
            for one in area_of(site, map_, shown) or ()
        )
        x, y = centre_of(site, map_, shown) or (0, 0)
        parts.append(f'<text x="{x}" y="{y + 3}" font-size="9" text-anchor="middle" fill="{ink}">{number}</text>')
    strong = "".join(path(line) for line in drawing.contour)
    fine = "".join(path(line) for line in drawing.lines)
    here = [best_map(site, side if is_paired(site) else None) is map_ for site in drawing.areas]
    rows = "".join(
        f"<li>{escape(site.display)}{'' if best else ' (marked elsewhere)'}</li>"
        for site, best in zip(drawing.areas, here, strict=True)
    )
    return (
        f"<h2>{escape(map_.display)}, areas of one side</h2><div class=row>"
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {drawing.width} {drawing.height}" '
        f'width="{drawing.width * scale}" font-family="sans-serif">'
        f'<g fill="none" stroke="#000"><path stroke-width="1.8" d="{strong}"/><path stroke-width=".8" d="{fine}"/></g>'
        f"{''.join(parts)}</svg><ol>{rows}</ol></div>"
    )


def marked() -> str:
    """Return a drawing for every site, on its left or without a side."""
    drawn = []
    for number, site in enumerate(Site):
        lesion = Lesion.model_validate({"label": "A", "site": site, "side": "left" if is_paired(site) else None})
        drawn.extend(
            f"<figure>{one.svg}<figcaption>{escape(one.marks[0][1].words)}</figcaption></figure>"
            for one in body_map_svg([lesion], prefix=f"s{number}")
        )
    return f"<h2>Every site as it is marked</h2><div class=all>{''.join(drawn)}</div>"


def page() -> str:
    style = (
        "body{font:13px sans-serif;margin:12px;background:#fff;color:#111}.row{display:flex;gap:16px}"
        "ol{columns:2;font-size:12px}.all{display:flex;flex-wrap:wrap;gap:6px}figure{margin:0;width:180px}"
        "figure svg{width:100%;height:auto}figcaption{font-size:10px}"
    )
    drawings = "".join(areas(map_, 1.6) for map_ in BodyMap)
    return (
        f'<!doctype html><html lang="en"><meta charset="utf-8"><title>Body map</title><style>{style}</style>'
        f"<h1>Body map: all drawings, all sites</h1>{drawings}{marked()}</html>\n"
    )


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(page(), encoding="utf-8")
