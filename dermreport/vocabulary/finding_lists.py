"""Lists of structures to go through; naming one states that each of its items was looked for."""

from __future__ import annotations

from typing import Self

from dermreport.sources import COMMON_PRACTICE, Basis
from dermreport.vocabulary.structures import Structure
from dermreport.vocabulary.term import Term

_NETWORKS = (
    Structure.NETWORK,
    Structure.NETWORK_TYPICAL,
    Structure.NETWORK_DELICATE,
    Structure.NETWORK_THICK,
    Structure.NETWORK_ATYPICAL,
    Structure.NETWORK_NEGATIVE,
)
_DOTS_AND_GLOBULES = (
    Structure.DOTS_BROWN,
    Structure.DOTS_BLACK,
    Structure.DOTS_BLACK_PERIPHERAL,
    Structure.DOTS_IRREGULAR,
    Structure.DOTS_GREY,
    Structure.GLOBULES,
    Structure.GLOBULES_REGULAR,
    Structure.GLOBULES_IRREGULAR,
    Structure.GLOBULES_AGGREGATED,
    Structure.GLOBULES_PERIPHERAL_RIM,
    Structure.CLODS_COBBLESTONE,
    Structure.CLODS_BLACK_PERIPHERAL,
)
_STREAKS = (
    Structure.LINES_BRANCHED,
    Structure.LINES_RADIAL,
    Structure.LINES_RADIAL_SEGMENTAL,
    Structure.PSEUDOPODS,
)
_STRUCTURELESS = (
    Structure.BLOTCH_REGULAR,
    Structure.BLOTCH_IRREGULAR,
    Structure.STRUCTURELESS_ECCENTRIC,
    Structure.STRUCTURELESS_TAN_PERIPHERAL,
    Structure.STRUCTURELESS_BLUE_WHOLE,
    Structure.HYPOPIGMENTED_AREA,
    Structure.BLUE_WHITE_VEIL,
    Structure.SCAR_LIKE_AREA,
)
_WHITE_IN_POLARISED_LIGHT = (
    Structure.LINES_WHITE_PERPENDICULAR,
    Structure.SHINY_WHITE_STRANDS,
    Structure.SHINY_WHITE_AREAS,
)
_VESSELS = (
    Structure.VESSELS_DOTTED,
    Structure.VESSELS_COILED,
    Structure.VESSELS_LOOPED,
    Structure.VESSELS_SERPENTINE,
    Structure.VESSELS_STRAIGHT,
    Structure.VESSELS_HELICAL,
    Structure.VESSELS_CURVED,
    Structure.VESSELS_BRANCHED,
    Structure.VESSELS_SHORT_FINE,
)


class FindingList(Term):
    """A list of structures; ``structures`` are its items in the order in which they are best looked for."""

    structures: tuple[Structure, ...]

    def __new__(
        cls,
        code: str,
        display: str = "",
        definition: str = "",
        basis: Basis = COMMON_PRACTICE,
        structures: tuple[Structure, ...] = (),
    ) -> Self:
        """Make one row with its items."""
        member = str.__new__(cls, code)
        member._value_ = code
        member.display = display
        member.definition = definition
        member.basis = basis
        member.synonyms = ()
        member.structures = structures
        return member

    PIGMENTED_LESION = (
        "pigmented-lesion",
        "pigmented lesion of trunk or limb",
        "All structures that the scores for pigmented lesions of trunk and limbs ask for.",
        COMMON_PRACTICE,
        (*_NETWORKS, *_DOTS_AND_GLOBULES, *_STREAKS, *_STRUCTURELESS, *_WHITE_IN_POLARISED_LIGHT, *_VESSELS),
    )
    SEVEN_POINT_CRITERIA = (
        "seven-point-criteria",
        "criteria of the seven-point checklist",
        "The structures behind the seven criteria.",
        COMMON_PRACTICE,
        (
            Structure.NETWORK_ATYPICAL,
            Structure.NETWORK_THICK,
            Structure.BLUE_WHITE_VEIL,
            Structure.VESSELS_DOTTED,
            Structure.VESSELS_SERPENTINE,
            Structure.LINES_RADIAL,
            Structure.LINES_RADIAL_SEGMENTAL,
            Structure.PSEUDOPODS,
            Structure.DOTS_IRREGULAR,
            Structure.GLOBULES_IRREGULAR,
            Structure.BLOTCH_IRREGULAR,
            Structure.SCAR_LIKE_AREA,
            Structure.DOTS_GREY,
        ),
    )
    VESSELS = (
        "vessels",
        "vessels",
        "Shapes of vessels.",
        COMMON_PRACTICE,
        _VESSELS,
    )
    BASAL_CELL_SIGNS = (
        "basal-cell-signs",
        "signs of basal cell carcinoma",
        "Network, and the structures described for pigmented and unpigmented basal cell carcinoma.",
        COMMON_PRACTICE,
        (
            Structure.NETWORK,
            Structure.VESSELS_BRANCHED,
            Structure.VESSELS_SHORT_FINE,
            Structure.LINES_RADIAL_COMMON_BASE,
            Structure.LINES_RADIAL_CONVERGING,
            Structure.CLOD_WITHIN_CLOD,
            Structure.CLODS_BLUE_LARGE,
            Structure.CLODS_BLUE_MULTIPLE,
            Structure.ULCERATION,
            Structure.EROSIONS_SMALL_MULTIPLE,
            Structure.SHINY_WHITE_AREAS,
        ),
    )
    SEBORRHOEIC_KERATOSIS_SIGNS = (
        "seborrhoeic-keratosis-signs",
        "signs of seborrhoeic keratosis",
        "The structures described for seborrhoeic keratosis and flat solar lesions.",
        COMMON_PRACTICE,
        (
            Structure.MILIA_LIKE_CYSTS,
            Structure.COMEDO_LIKE_OPENINGS,
            Structure.LINES_CURVED_THICK,
            Structure.LINES_CURVED_THIN_PARALLEL,
            Structure.BORDER_MOTH_EATEN,
            Structure.VESSELS_LOOPED_WHITE_HALO,
        ),
    )
    ACRAL_PATTERNS = (
        "acral-patterns",
        "patterns of palms and soles",
        "Patterns along furrows and ridges, and what is counted with them.",
        COMMON_PRACTICE,
        (
            Structure.FURROW_PARALLEL,
            Structure.FURROW_DOUBLE_LINE,
            Structure.FURROW_DOTTED_LINE,
            Structure.LATTICE_LIKE,
            Structure.FIBRILLAR,
            Structure.RIDGE_PARALLEL,
            Structure.BLOTCH_IRREGULAR,
            Structure.ACRAL_DIFFUSE_IRREGULAR,
            Structure.BLOOD_IN_HORNY_LAYER,
        ),
    )
    NAIL_SIGNS = (
        "nail-signs",
        "signs of the nail unit",
        "What is looked for in a pigmented nail.",
        COMMON_PRACTICE,
        (
            Structure.NAIL_LINES_REGULAR,
            Structure.NAIL_LINES_IRREGULAR,
            Structure.NAIL_BACKGROUND_BROWN,
            Structure.NAIL_BACKGROUND_GREY,
            Structure.NAIL_COLOURS_GREY_BLACK,
            Structure.NAIL_BAND_WIDE,
            Structure.NAIL_BAND_OVER_3MM,
            Structure.NAIL_BORDER_FADING,
            Structure.NAIL_BAND_TRIANGULAR,
            Structure.NAIL_GRANULAR_PIGMENT,
            Structure.NAIL_HUTCHINSON,
            Structure.NAIL_MICRO_HUTCHINSON,
            Structure.NAIL_DYSTROPHY,
            Structure.NAIL_BLOOD_SPOTS,
        ),
    )
    FACIAL_SIGNS = (
        "facial-signs",
        "signs of flat facial lesions",
        "What is looked for in a flat pigmented lesion of the face.",
        COMMON_PRACTICE,
        (
            Structure.PSEUDONETWORK,
            Structure.FOLLICLES_ASYMMETRIC_PIGMENTED,
            Structure.FOLLICULAR_RHOMBOIDS,
            Structure.GLOBULES_SLATE_GREY,
            Structure.DOTS_GREY,
            Structure.CIRCLES_GREY,
            Structure.CIRCLE_WITHIN_CIRCLE,
            Structure.ANNULAR_GRANULAR,
            Structure.FOLLICLES_OBLITERATED,
            Structure.MILIA_LIKE_CYSTS,
            Structure.COMEDO_LIKE_OPENINGS,
            Structure.LINES_CURVED_THIN_PARALLEL,
            Structure.BORDER_MOTH_EATEN,
        ),
    )
    MUCOSAL_SIGNS = (
        "mucosal-signs",
        "signs of mucosal lesions",
        "What is looked for in a lesion of lip, mouth or genital mucosa.",
        COMMON_PRACTICE,
        (
            Structure.MUCOSAL_STRUCTURELESS_BLUE_GREY_WHITE,
            Structure.MUCOSAL_STRUCTURELESS_BROWN,
            Structure.MUCOSAL_LINES_PARALLEL,
            Structure.MUCOSAL_CIRCLES,
            Structure.MUCOSAL_DOTS_CLODS,
            Structure.MUCOSAL_MULTICOLOUR_ASYMMETRIC,
        ),
    )
    NO_PIGMENT_CLUES = (
        "no-pigment-clues",
        "clues where pigment is lacking",
        "Ulceration first, then white clues, then vessels.",
        COMMON_PRACTICE,
        (
            Structure.ULCERATION,
            *_WHITE_IN_POLARISED_LIGHT,
            Structure.KERATIN_MASS,
            Structure.WHITE_CIRCLES,
            Structure.STRUCTURELESS_WHITE_KERATIN,
            Structure.SURFACE_SCALE,
            Structure.MILKY_RED_AREA,
            Structure.MILKY_RED_GLOBULES,
            Structure.LACUNAE,
            *_VESSELS,
        ),
    )
