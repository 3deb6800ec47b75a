"""Ways of reading a lesion, which follow from the skin it lies in."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.term import Term


class ReadingStyle(Term):
    """Ways of reading a lesion: the same structure can mean something else, or nothing, in other skin."""

    TRUNK_LIMB = (
        "trunk-limb",
        "trunk and limbs",
        "Hairy skin with a marked rete: network, dots, globules and streaks.",
        COMMON_PRACTICE,
    )
    ACRAL = (
        "acral",
        "palms and soles",
        "Ridged skin without follicles: pigment is read by furrow and ridge.",
        COMMON_PRACTICE,
    )
    NAIL = "nail", "nails", "Nail plate, its bed and folds: pigment is read as a band and its lines.", COMMON_PRACTICE
    FACE_SCALP = (
        "face-scalp",
        "face and scalp",
        "Many follicle openings and a flat junction: pigment is read around the openings.",
        COMMON_PRACTICE,
    )
    MUCOSA = "mucosa", "mucosa", "Lining without follicles or horny layer: read by colour and order.", COMMON_PRACTICE
