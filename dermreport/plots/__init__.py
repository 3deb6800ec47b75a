"""Plain drawings of what was recorded, as SVG: no script, nothing fetched, the same content gives the same bytes."""

from __future__ import annotations

from dermreport.plots.series import series_plot

__all__ = ["series_plot"]
