"""Small tests at the couch."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class BedsideTest(Term):
    """Small tests at the couch."""

    TAPE = "tape", "adhesive tape", "Whether dark pigment lifts off with tape.", COMMON_PRACTICE
    SCRAPING = "scraping", "scraping", "Whether dark material can be scraped off.", COMMON_PRACTICE
    INK = "ink", "surface ink", "Whether ink shows furrows, ridges or burrows.", COMMON_PRACTICE
    PRESSURE = "pressure", "pressure", "Whether it empties under pressure.", COMMON_PRACTICE
    DIMPLE = "dimple", "dimple on pinching", "Whether it dips when pinched.", COMMON_PRACTICE
