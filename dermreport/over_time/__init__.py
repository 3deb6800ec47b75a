"""One lesion over time: a series of examinations, each compared with the one before it, like with like.

The room isn't called after the public function ``dermreport.series``, which it would hide.
"""

from __future__ import annotations

from dermreport.over_time.comparison import Comparison, SeriesVerdict
from dermreport.over_time.series import Series, series

__all__ = ["Comparison", "Series", "SeriesVerdict", "series"]
