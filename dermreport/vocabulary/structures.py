"""Dermatoscopic structures, each under its descriptive and its metaphoric name.

The row says what the structure is, which element it is made of, how deep it lies, which light shows it and in
which skin it has a meaning. What a structure means for a method is the method's matter, not this table's.
"""

from __future__ import annotations

from functools import cache
from typing import NamedTuple, Self

from dermreport.sources import COMMON_PRACTICE, MEMORY, Basis, Source, common_practice, seen
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.depths import Depth
from dermreport.vocabulary.elements import Element
from dermreport.vocabulary.light_fits import LightFit
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.structure_kinds import StructureKind
from dermreport.vocabulary.term import Term


class _Seat(NamedTuple):
    """Where a structure lies and which light shows it, each with how it is known."""

    depth: Depth
    depth_basis: Basis
    light: LightFit
    light_basis: Basis


class _Row(NamedTuple):
    """One row as it is written below; :class:`Structure` documents the columns."""

    code: str
    descriptive: str
    metaphoric: str
    definition: str
    element: Element
    seat: _Seat
    reading_styles: frozenset[ReadingStyle]
    basis: Basis
    kind: StructureKind = StructureKind.LOCAL
    pigmented: bool = False
    implied_colours: tuple[Colour, ...] = ()
    parent: str = ""
    any_of: tuple[str, ...] = ()
    all_of: tuple[str, ...] = ()
    synonyms: tuple[str, ...] = ()
    styles_basis: Basis = COMMON_PRACTICE


_NO_DIFFERENCE_KNOWN = common_practice("No source read tells a difference between the lights")
_HISTOLOGY_TABLE = seen(Source.STRUCTURES_AND_HISTOLOGY_TABLE)
_BASAL_CELL_HISTOLOGY = seen(Source.BASAL_CELL_HISTOLOGY_PAGE)
_MUCOSAL_HISTOLOGY = seen(Source.MUCOSAL_HISTOLOGY_PAGE)
_RED_IN_POLARISED_LIGHT = seen(Source.LIGHTS_COMPARED_2007, Source.LIGHTS_COMPARED_PAGE)
_REGRESSION_IN_NON_POLARISED_LIGHT = seen(Source.LIGHTS_COMPARED_2007)

_SURFACE = _Seat(Depth.SURFACE_EPIDERMIS, MEMORY, LightFit.EITHER, _NO_DIFFERENCE_KNOWN)
_SURFACE_PRACTICE = _Seat(Depth.SURFACE_EPIDERMIS, COMMON_PRACTICE, LightFit.EITHER, _NO_DIFFERENCE_KNOWN)
_EPIDERMIS_SEEN = _Seat(
    Depth.SURFACE_EPIDERMIS,
    seen(Source.KERATINISING_TUMOURS_HISTOLOGY_PAGE),
    LightFit.EITHER,
    _NO_DIFFERENCE_KNOWN,
)
_HORNY_LAYER_SEEN = _Seat(
    Depth.SURFACE_EPIDERMIS,
    seen(Source.DERMOSCOPIC_TESTS_REVIEW),
    LightFit.EITHER,
    _NO_DIFFERENCE_KNOWN,
)
_LOST_SURFACE = _Seat(Depth.SURFACE_EPIDERMIS, _BASAL_CELL_HISTOLOGY, LightFit.EITHER, _NO_DIFFERENCE_KNOWN)
_KERATIN_BETTER_NON_POLARISED = _Seat(Depth.SURFACE_EPIDERMIS, MEMORY, LightFit.BETTER_NON_POLARISED, MEMORY)
_SCALE = _Seat(
    Depth.SURFACE_EPIDERMIS,
    seen(Source.KERATINISING_TUMOURS_HISTOLOGY_PAGE),
    LightFit.BETTER_NON_POLARISED,
    MEMORY,
)
_MILIA = _Seat(
    Depth.SURFACE_EPIDERMIS,
    seen(Source.LIGHTS_COMPARED_PAGE),
    LightFit.BETTER_NON_POLARISED,
    seen(Source.LIGHTS_COMPARED_2007, Source.LIGHTS_COMPARED_PAGE, Source.LIGHTS_BOOK_CHAPTER),
)
_COMEDO = _Seat(
    Depth.SURFACE_EPIDERMIS,
    seen(Source.LIGHTS_BOOK_CHAPTER),
    LightFit.BETTER_NON_POLARISED,
    seen(Source.LIGHTS_COMPARED_2007, Source.LIGHTS_BOOK_CHAPTER),
)
_JUNCTION = _Seat(Depth.JUNCTION, MEMORY, LightFit.EITHER, _NO_DIFFERENCE_KNOWN)
_JUNCTION_SEEN = _Seat(Depth.JUNCTION, _HISTOLOGY_TABLE, LightFit.EITHER, _NO_DIFFERENCE_KNOWN)
_MUCOSA_RETE = _Seat(Depth.JUNCTION, _MUCOSAL_HISTOLOGY, LightFit.EITHER, _NO_DIFFERENCE_KNOWN)
_UPPER_DERMIS = _Seat(Depth.PAPILLARY_DERMIS, MEMORY, LightFit.EITHER, _NO_DIFFERENCE_KNOWN)
_MUCOSA_UPPER_DERMIS = _Seat(Depth.PAPILLARY_DERMIS, _MUCOSAL_HISTOLOGY, LightFit.EITHER, _NO_DIFFERENCE_KNOWN)
_VASCULAR = _Seat(Depth.PAPILLARY_DERMIS, MEMORY, LightFit.BETTER_POLARISED, _RED_IN_POLARISED_LIGHT)
_WHITE_FIBROUS = _Seat(Depth.PAPILLARY_DERMIS, MEMORY, LightFit.BETTER_POLARISED, MEMORY)
_SHINY_WHITE = _Seat(
    Depth.PAPILLARY_DERMIS,
    seen(Source.LIGHTS_COMPARED_PAGE, Source.SHINY_WHITE_STREAKS_PAGE),
    LightFit.ONLY_POLARISED,
    seen(Source.TERMINOLOGY_OF_SHINY_WHITE_STRUCTURES, Source.WHITE_SHINY_STRUCTURES_2011),
)
_ROSETTE = _Seat(
    Depth.MIXED,
    seen(Source.KERATINISING_TUMOURS_HISTOLOGY_PAGE),
    LightFit.ONLY_POLARISED,
    seen(Source.WHITE_SHINY_STRUCTURES_2011),
)
_RAINBOW = _Seat(Depth.PAPILLARY_DERMIS, MEMORY, LightFit.ONLY_POLARISED, seen(Source.RAINBOW_PATTERN_PAGE))
_PEPPERING = _Seat(
    Depth.PAPILLARY_DERMIS,
    seen(Source.STRUCTURES_AND_HISTOLOGY_TABLE, Source.REGRESSION_HISTOLOGY_PAGE),
    LightFit.BETTER_NON_POLARISED,
    _REGRESSION_IN_NON_POLARISED_LIGHT,
)
_REGRESSION = _Seat(
    Depth.PAPILLARY_DERMIS,
    MEMORY,
    LightFit.BETTER_NON_POLARISED,
    _REGRESSION_IN_NON_POLARISED_LIGHT,
)
_VEIL = _Seat(
    Depth.MIXED,
    seen(Source.SEVEN_POINT_CRITERIA_PAGES),
    LightFit.BETTER_NON_POLARISED,
    seen(Source.LIGHTS_COMPARED_PAGE, Source.LIGHTS_BOOK_CHAPTER),
)
_DERMIS = _Seat(Depth.DERMIS, MEMORY, LightFit.EITHER, _NO_DIFFERENCE_KNOWN)
_SEBACEOUS = _Seat(
    Depth.DERMIS,
    seen(Source.YELLOW_LOBULAR_STRUCTURES_2008),
    LightFit.EITHER,
    _NO_DIFFERENCE_KNOWN,
)
_BASAL_CELL_DERMIS = _Seat(Depth.DERMIS, _BASAL_CELL_HISTOLOGY, LightFit.EITHER, _NO_DIFFERENCE_KNOWN)
_BASAL_CELL_NESTS = _Seat(Depth.MIXED, _BASAL_CELL_HISTOLOGY, LightFit.EITHER, _NO_DIFFERENCE_KNOWN)
_MIXED = _Seat(Depth.MIXED, MEMORY, LightFit.EITHER, _NO_DIFFERENCE_KNOWN)
_MIXED_SEEN = _Seat(Depth.MIXED, _HISTOLOGY_TABLE, LightFit.EITHER, _NO_DIFFERENCE_KNOWN)
_NAIL_UNIT = _Seat(Depth.NAIL_UNIT, COMMON_PRACTICE, LightFit.EITHER, _NO_DIFFERENCE_KNOWN)

_TRUNK_LIMB = frozenset((ReadingStyle.TRUNK_LIMB,))
_ACRAL = frozenset((ReadingStyle.ACRAL,))
_NAIL = frozenset((ReadingStyle.NAIL,))
_FACE_SCALP = frozenset((ReadingStyle.FACE_SCALP,))
_MUCOSA = frozenset((ReadingStyle.MUCOSA,))
_TRUNK_LIMB_FACE = _TRUNK_LIMB | _FACE_SCALP
_TRUNK_LIMB_FACE_MUCOSA = _TRUNK_LIMB_FACE | _MUCOSA
_TRUNK_LIMB_ACRAL_NAIL = _TRUNK_LIMB | _ACRAL | _NAIL
_HAIRY_AND_RIDGED = _TRUNK_LIMB_FACE | _ACRAL
_ALL_BUT_NAIL = _HAIRY_AND_RIDGED | _MUCOSA
_ALL = _ALL_BUT_NAIL | _NAIL
_NETWORK_ELSEWHERE = seen(
    Source.HEAD_AND_NECK_MACULES_REVIEW,
    Source.ACRAL_PATTERN_DEFINITIONS_2018,
    note="Less often on the face and on palms and soles, yet described there",
)


class Structure(Term):
    """A structure that dermatoscopy shows; ``display`` is its metaphoric name, or the descriptive one.

    Attributes:
        descriptive: The name in the descriptive terminology: element first, then what qualifies it.
        metaphoric: The name in the metaphoric terminology, empty where there is none.
        element: The element that the structure is made of.
        kind: Whether it is local, a landmark, a composite, a pattern, or a statement about vessels.
        depth: How deep it lies.
        depth_basis: How the depth is known.
        light: Which light shows it.
        light_basis: How the fit of the light is known.
        reading_styles: The skin in which it has a meaning; elsewhere it is stored, and a rule asks about it.
        styles_basis: How the reading styles are known.
        pigmented: Whether it is made of melanin by definition, so that a lesion without pigment cannot show it.
        implied_colours: Colours that the definition fixes; empty where only the record can tell. ``BROWN`` stands
            for either shade of it.
        parent_name: Member name of :attr:`parent`, empty where there is none.
        any_of_names: Member names of :attr:`any_of`.
        all_of_names: Member names of :attr:`all_of`.
    """

    descriptive: str
    metaphoric: str
    element: Element
    kind: StructureKind
    depth: Depth
    depth_basis: Basis
    light: LightFit
    light_basis: Basis
    reading_styles: frozenset[ReadingStyle]
    styles_basis: Basis
    pigmented: bool
    implied_colours: tuple[Colour, ...]
    parent_name: str
    any_of_names: tuple[str, ...]
    all_of_names: tuple[str, ...]

    def __new__(cls, *cells: object) -> Self:
        """Make one member from the cells of its row, which an enumeration passes one by one."""
        row = _Row._make(cells)
        member = str.__new__(cls, row.code)
        member._value_ = row.code
        member.display = row.metaphoric or row.descriptive
        member.definition = row.definition
        member.basis = row.basis
        member.synonyms = row.synonyms
        member.descriptive = row.descriptive
        member.metaphoric = row.metaphoric
        member.element = row.element
        member.kind = row.kind
        member.depth, member.depth_basis, member.light, member.light_basis = row.seat
        member.reading_styles = row.reading_styles
        member.styles_basis = row.styles_basis
        member.pigmented = row.pigmented
        member.implied_colours = row.implied_colours
        member.parent_name = row.parent
        member.any_of_names = row.any_of
        member.all_of_names = row.all_of
        return member

    @property
    def parent(self) -> Structure | None:
        """Return the wider structure that this one is a kind of: where this is present, so is that."""
        return Structure[self.parent_name] if self.parent_name else None

    @property
    def any_of(self) -> tuple[Structure, ...]:
        """Return the parts of which one is enough.

        A composite is present when one of them is; a pattern cannot be present when all of them are absent.
        """
        return tuple(Structure[name] for name in self.any_of_names)

    @property
    def all_of(self) -> tuple[Structure, ...]:
        """Return the parts of which none may be missing.

        A composite is present when all of them are; a pattern cannot be present when one of them is absent.
        """
        return tuple(Structure[name] for name in self.all_of_names)

    NETWORK = _Row(
        code="network",
        descriptive="lines, reticular",
        metaphoric="pigment network",
        definition="Grid of pigmented lines around paler holes; a narrower code says what its lines are like.",
        element=Element.LINE,
        seat=_JUNCTION_SEEN,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(
            Source.TERMINOLOGY_OF_LINES, Source.METAPHORIC_TERM_DEFINITIONS, Source.STRUCTURES_AND_HISTOLOGY_TABLE
        ),
        pigmented=True,
        styles_basis=_NETWORK_ELSEWHERE,
    )
    NETWORK_TYPICAL = _Row(
        code="network-typical",
        descriptive="lines, reticular, even in thickness, colour and spacing",
        metaphoric="typical pigment network",
        definition="Network whose lines vary little and are spread evenly.",
        element=Element.LINE,
        seat=_JUNCTION_SEEN,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(Source.METAPHORIC_TERM_DEFINITIONS),
        pigmented=True,
        parent="NETWORK",
        styles_basis=_NETWORK_ELSEWHERE,
    )
    NETWORK_DELICATE = _Row(
        code="network-delicate",
        descriptive="lines, reticular, thin",
        metaphoric="delicate network",
        definition="Network of thin light brown lines.",
        element=Element.LINE,
        seat=_JUNCTION,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(Source.TERMINOLOGY_OF_LINES, Source.METAPHORIC_TERM_DEFINITIONS),
        pigmented=True,
        implied_colours=(Colour.LIGHT_BROWN,),
        parent="NETWORK",
        styles_basis=_NETWORK_ELSEWHERE,
    )
    NETWORK_THICK = _Row(
        code="network-thick",
        descriptive="lines, reticular, thick",
        metaphoric="broadened network",
        definition="Network with widened lines, as wide as the holes or wider.",
        element=Element.LINE,
        seat=_JUNCTION,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(Source.TERMINOLOGY_OF_LINES, Source.METAPHORIC_TERM_DEFINITIONS),
        pigmented=True,
        parent="NETWORK",
        styles_basis=_NETWORK_ELSEWHERE,
    )
    NETWORK_ATYPICAL = _Row(
        code="network-atypical",
        descriptive="lines, reticular, thick or varying in colour",
        metaphoric="atypical pigment network",
        definition="Network whose lines vary in thickness, colour or spacing and are spread unevenly.",
        element=Element.LINE,
        seat=_JUNCTION,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(Source.TERMINOLOGY_OF_LINES, Source.METAPHORIC_TERM_DEFINITIONS),
        pigmented=True,
        parent="NETWORK",
        synonyms=("irregular network",),
        styles_basis=_NETWORK_ELSEWHERE,
    )
    NETWORK_NEGATIVE = _Row(
        code="network-negative",
        descriptive="lines, reticular, hypopigmented, around brown clods",
        metaphoric="negative pigment network",
        definition="Pale, winding, joined lines around long, curved pigmented bodies.",
        element=Element.LINE,
        seat=_MIXED_SEEN,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(
            Source.TERMINOLOGY_OF_LINES, Source.METAPHORIC_TERM_DEFINITIONS, Source.STRUCTURES_AND_HISTOLOGY_TABLE
        ),
        pigmented=True,
        synonyms=("inverse network", "reticular depigmentation"),
    )
    NETWORK_WHITE = _Row(
        code="network-white",
        descriptive="lines, reticular, white",
        metaphoric="",
        definition="White lines joined in a grid, whiter than the skin around.",
        element=Element.LINE,
        seat=_WHITE_FIBROUS,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.TERMINOLOGY_OF_LINES),
        implied_colours=(Colour.WHITE,),
        synonyms=("white network",),
    )
    PSEUDONETWORK = _Row(
        code="pseudonetwork",
        descriptive="structureless pigment interrupted by follicle openings",
        metaphoric="pseudonetwork",
        definition="Even pigment with round unpigmented gaps where follicles open.",
        element=Element.STRUCTURELESS,
        seat=_MIXED_SEEN,
        reading_styles=_FACE_SCALP,
        basis=seen(Source.TERMINOLOGY_OF_FACIAL_SKIN, Source.STRUCTURES_AND_HISTOLOGY_TABLE),
        pigmented=True,
    )
    LINES_ANGULATED = _Row(
        code="lines-angulated",
        descriptive="lines, angulated or polygonal",
        metaphoric="angulated lines",
        definition=(
            "Straight grey-brown lines that meet at angles, open or closed into polygons larger than the holes "
            "of a network."
        ),
        element=Element.LINE,
        seat=_JUNCTION,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.DIAGNOSTIC_METHODS_COURSE, note="Polygons seen; the rest from memory"),
        pigmented=True,
        synonyms=("polygons", "zig-zag lines"),
    )
    FOLLICULAR_RHOMBOIDS = _Row(
        code="follicular-rhomboids",
        descriptive="lines, angulated, around follicle openings",
        metaphoric="rhomboids",
        definition="Grey-brown angulated lines that enclose follicle openings.",
        element=Element.LINE,
        seat=_JUNCTION,
        reading_styles=_FACE_SCALP,
        basis=seen(Source.TERMINOLOGY_OF_FACIAL_SKIN),
        pigmented=True,
        synonyms=("rhomboidal structures",),
    )
    LINES_WHITE_PERPENDICULAR = _Row(
        code="lines-white-perpendicular",
        descriptive="lines, white, perpendicular",
        metaphoric="shiny white streaks",
        definition="Short bright white lines, parallel or at right angles to each other.",
        element=Element.LINE,
        seat=_SHINY_WHITE,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.TERMINOLOGY_OF_LINES, Source.TERMINOLOGY_OF_SHINY_WHITE_STRUCTURES),
        implied_colours=(Colour.WHITE,),
        synonyms=("shiny white lines", "chrysalis", "chrysalids", "crystalline structures"),
    )
    SHINY_WHITE_STRANDS = _Row(
        code="shiny-white-strands",
        descriptive="lines, white, long and ill-defined, parallel or haphazard",
        metaphoric="shiny white strands",
        definition="Longer and less sharp bright white lines, parallel or without a set direction.",
        element=Element.LINE,
        seat=_SHINY_WHITE,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.TERMINOLOGY_OF_SHINY_WHITE_STRUCTURES),
        implied_colours=(Colour.WHITE,),
    )
    SHINY_WHITE_AREAS = _Row(
        code="shiny-white-areas",
        descriptive="clods or structureless areas, shiny white",
        metaphoric="shiny white blotches",
        definition="Bright white circles, ovals or larger areas.",
        element=Element.STRUCTURELESS,
        seat=_SHINY_WHITE,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.TERMINOLOGY_OF_SHINY_WHITE_STRUCTURES),
        implied_colours=(Colour.WHITE,),
        synonyms=("shiny white clods",),
    )
    ROSETTES = _Row(
        code="rosettes",
        descriptive="dots, white, four arranged in a square",
        metaphoric="rosettes",
        definition="Four bright white points set like a four-leaf clover, often at a follicle opening.",
        element=Element.DOT,
        seat=_ROSETTE,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(Source.TERMINOLOGY_OF_SHINY_WHITE_STRUCTURES, Source.TERMINOLOGY_OF_DOTS),
        implied_colours=(Colour.WHITE,),
        synonyms=("four-dot clods",),
    )
    LINES_BRANCHED = _Row(
        code="lines-branched",
        descriptive="lines, branched",
        metaphoric="branched streaks",
        definition="Pigmented lines that branch and are not joined into a grid.",
        element=Element.LINE,
        seat=_JUNCTION,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.TERMINOLOGY_OF_LINES),
        pigmented=True,
    )
    LINES_RADIAL = _Row(
        code="lines-radial",
        descriptive="lines, radial, at the periphery",
        metaphoric="streaks",
        definition=(
            "Pigmented lines from the body of the lesion outwards; their spread, all round or segmental, and "
            "their regularity are recorded."
        ),
        element=Element.LINE,
        seat=_JUNCTION_SEEN,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(Source.TERMINOLOGY_OF_LINES, Source.STRUCTURES_AND_HISTOLOGY_TABLE),
        pigmented=True,
        styles_basis=_NETWORK_ELSEWHERE,
    )
    LINES_RADIAL_SEGMENTAL = _Row(
        code="lines-radial-segmental",
        descriptive="lines, radial, segmental",
        metaphoric="radial streaming",
        definition="Radial lines at part of the edge only.",
        element=Element.LINE,
        seat=_JUNCTION_SEEN,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(Source.TERMINOLOGY_OF_LINES),
        pigmented=True,
        parent="LINES_RADIAL",
        styles_basis=_NETWORK_ELSEWHERE,
    )
    PSEUDOPODS = _Row(
        code="pseudopods",
        descriptive="pseudopods",
        metaphoric="pseudopods",
        definition="Radial pigmented lines with a knob at the outer end.",
        element=Element.PSEUDOPOD,
        seat=_JUNCTION_SEEN,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(Source.STRUCTURES_AND_HISTOLOGY_TABLE),
        pigmented=True,
        styles_basis=_NETWORK_ELSEWHERE,
    )
    LINES_RADIAL_COMMON_BASE = _Row(
        code="lines-radial-common-base",
        descriptive="lines, radial, connected to a common base",
        metaphoric="leaf-like areas",
        definition="Brown to grey-blue lines or lobes that spread outwards from one base at the edge.",
        element=Element.LINE,
        seat=_BASAL_CELL_NESTS,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.TERMINOLOGY_OF_LINES, Source.BASAL_CELL_HISTOLOGY_PAGE),
        pigmented=True,
        synonyms=("maple-leaf-like areas",),
    )
    LINES_RADIAL_CONVERGING = _Row(
        code="lines-radial-converging",
        descriptive="lines, radial, converging to a central dot or clod",
        metaphoric="spoke-wheel areas",
        definition="Lines that meet at a darker central dot or clod.",
        element=Element.LINE,
        seat=_BASAL_CELL_NESTS,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.TERMINOLOGY_OF_LINES, Source.BASAL_CELL_HISTOLOGY_PAGE),
        pigmented=True,
    )
    CLOD_WITHIN_CLOD = _Row(
        code="clod-within-clod",
        descriptive="clod within a clod",
        metaphoric="concentric structures",
        definition="A dark clod inside a paler one: a spoke-wheel area without plain spokes.",
        element=Element.CLOD,
        seat=_BASAL_CELL_NESTS,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.TERMINOLOGY_OF_LINES, Source.BASAL_CELL_HISTOLOGY_PAGE),
        pigmented=True,
    )
    LINES_CURVED_THICK = _Row(
        code="lines-curved-thick",
        descriptive="lines, curved and thick",
        metaphoric="fissures and ridges",
        definition="Thick curved ridges with keratin-filled grooves between them.",
        element=Element.LINE,
        seat=_KERATIN_BETTER_NON_POLARISED,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.TERMINOLOGY_OF_LINES, Source.SEBORRHOEIC_KERATOSIS_FEATURES_PAGE),
        synonyms=("gyri and sulci", "fat fingers"),
    )
    LINES_CURVED_THIN_PARALLEL = _Row(
        code="lines-curved-thin-parallel",
        descriptive="lines, brown, curved, parallel, thin",
        metaphoric="fingerprint structures",
        definition="Thin curved brown lines that run side by side and do not join into a network.",
        element=Element.LINE,
        seat=_SURFACE,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.TERMINOLOGY_OF_LINES, Source.TERMINOLOGY_OF_PATTERNS),
        pigmented=True,
        implied_colours=(Colour.BROWN,),
        synonyms=("fingerprint-like structures", "fingerprinting"),
    )
    CRYPTS = _Row(
        code="crypts",
        descriptive="lines, curved and thick, in combination with clods",
        metaphoric="crypts",
        definition="Keratin-filled pits, larger than comedo-like openings, between thick curved ridges.",
        element=Element.LINE,
        seat=_KERATIN_BETTER_NON_POLARISED,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.TERMINOLOGY_OF_LINES, Source.SEBORRHOEIC_KERATOSIS_LEVEL_PAGE),
    )
    MILIA_LIKE_CYSTS = _Row(
        code="milia-like-cysts",
        descriptive="dots or clods, white, clustered or disseminated",
        metaphoric="milia-like cysts",
        definition="White to yellowish round points or clods that glow; methods ask for few, or for more than three.",
        element=Element.CLOD,
        seat=_MILIA,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.TERMINOLOGY_OF_DOTS, Source.SEBORRHOEIC_KERATOSIS_FEATURES_PAGE),
        synonyms=("cloudy milia-like cysts", "starry milia-like cysts"),
    )
    COMEDO_LIKE_OPENINGS = _Row(
        code="comedo-like-openings",
        descriptive="clods, brown, yellow or orange, rarely black",
        metaphoric="comedo-like openings",
        definition="Sharply bounded keratin plugs in open pits.",
        element=Element.CLOD,
        seat=_COMEDO,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.SEBORRHOEIC_KERATOSIS_FEATURES_PAGE, Source.LIGHTS_BOOK_CHAPTER),
    )
    BORDER_MOTH_EATEN = _Row(
        code="border-moth-eaten",
        descriptive="sharp border with small concave notches",
        metaphoric="moth-eaten border",
        definition="Sharp pigmented edge with small bites out of it.",
        element=Element.OTHER,
        seat=_SURFACE,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.SEBORRHOEIC_KERATOSIS_FEATURES_PAGE, Source.SEBORRHOEIC_KERATOSIS_LEVEL_PAGE),
        pigmented=True,
    )
    BORDER_SHARPLY_DEMARCATED = _Row(
        code="border-sharply-demarcated",
        descriptive="sharp border over the whole or part of the circumference",
        metaphoric="sharp demarcation",
        definition="Pigment ends abruptly; the share of the edge is recorded.",
        element=Element.OTHER,
        seat=_MIXED,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.HEAD_AND_NECK_MACULES_REVIEW, Source.SEBORRHOEIC_KERATOSIS_LEVEL_PAGE),
        pigmented=True,
        synonyms=("abrupt edge",),
    )
    BORDER_SCALLOPED = _Row(
        code="border-scalloped",
        descriptive="scalloped border",
        metaphoric="scalloped border",
        definition="Edge of repeated shallow arcs.",
        element=Element.OTHER,
        seat=_SURFACE,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.SEBORRHOEIC_KERATOSIS_FEATURES_PAGE),
    )
    SURFACE_SCALE = _Row(
        code="surface-scale",
        descriptive="structureless, white or yellow, scale",
        metaphoric="surface scale",
        definition="Loose or adherent keratin on the surface; a medium can hide it, so it is looked for dry as well.",
        element=Element.OTHER,
        seat=_SCALE,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.HEAD_AND_NECK_MACULES_REVIEW, Source.KERATINISING_TUMOURS_HISTOLOGY_PAGE),
        synonyms=("scale", "surface keratin"),
    )
    KERATIN_MASS = _Row(
        code="keratin-mass",
        descriptive="clod or structureless, white to yellow, central, opaque",
        metaphoric="keratin mass",
        definition="Solid opaque keratin, often in the centre of the lesion.",
        element=Element.CLOD,
        seat=_SURFACE_PRACTICE,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.PREDICTION_WITHOUT_PIGMENT_2014),
        synonyms=("keratin plug",),
    )
    WHITE_CIRCLES = _Row(
        code="white-circles",
        descriptive="circles, white",
        metaphoric="white circles",
        definition="Bright white ring round a yellow or orange keratin plug.",
        element=Element.CIRCLE,
        seat=_EPIDERMIS_SEEN,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.PREDICTION_WITHOUT_PIGMENT_2014, Source.KERATINISING_TUMOURS_HISTOLOGY_PAGE),
        implied_colours=(Colour.WHITE,),
        synonyms=("keratin-filled follicles with a white ring",),
    )
    STRUCTURELESS_WHITE_KERATIN = _Row(
        code="structureless-white-keratin",
        descriptive="structureless, white, in a raised lesion",
        metaphoric="white keratin area",
        definition="Opaque white area of thick keratin in a raised lesion; not scar-like.",
        element=Element.STRUCTURELESS,
        seat=_SURFACE,
        reading_styles=_TRUNK_LIMB_FACE_MUCOSA,
        basis=seen(Source.PREDICTION_WITHOUT_PIGMENT_2014),
        implied_colours=(Colour.WHITE,),
    )
    COLLARETTE_SCALE = _Row(
        code="collarette-scale",
        descriptive="circle, white, scaly, at the edge",
        metaphoric="white collarette",
        definition="White scaly ring or arc at the edge of the lesion.",
        element=Element.CIRCLE,
        seat=_KERATIN_BETTER_NON_POLARISED,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(Source.PYOGENIC_GRANULOMA_PAGE),
        implied_colours=(Colour.WHITE,),
    )
    BLACK_LAMELLA = _Row(
        code="black-lamella",
        descriptive="structureless, black, central, removable",
        metaphoric="black lamella",
        definition="Dark central pigment in the horny layer that adhesive tape can lift off.",
        element=Element.STRUCTURELESS,
        seat=_HORNY_LAYER_SEEN,
        reading_styles=_TRUNK_LIMB,
        basis=seen(Source.DERMOSCOPIC_TESTS_REVIEW),
        pigmented=True,
        implied_colours=(Colour.BLACK,),
    )

    FURROW_PARALLEL = _Row(
        code="furrow-parallel",
        descriptive="lines, parallel, thin, in the furrows",
        metaphoric="parallel furrow pattern",
        definition="Pigmented lines along the furrows; the ridges are paler.",
        element=Element.LINE,
        seat=_JUNCTION,
        reading_styles=_ACRAL,
        basis=seen(Source.ACRAL_PATTERNS_PAGE, Source.ACRAL_CONSENSUS_PAGE),
        pigmented=True,
    )
    FURROW_DOUBLE_LINE = _Row(
        code="furrow-double-line",
        descriptive="lines, parallel, paired along the furrows",
        metaphoric="double-line variant of the furrow pattern",
        definition="Two thin lines, one on each side of a furrow.",
        element=Element.LINE,
        seat=_JUNCTION,
        reading_styles=_ACRAL,
        basis=MEMORY,
        pigmented=True,
        parent="FURROW_PARALLEL",
    )
    FURROW_DOTTED_LINE = _Row(
        code="furrow-dotted-line",
        descriptive="dots in lines along the furrows",
        metaphoric="dotted variant of the furrow pattern",
        definition="Furrow lines made of dots, single or double.",
        element=Element.DOT,
        seat=_JUNCTION,
        reading_styles=_ACRAL,
        basis=seen(Source.ACRAL_PATTERNS_PAGE),
        pigmented=True,
        parent="FURROW_PARALLEL",
    )
    LATTICE_LIKE = _Row(
        code="lattice-like",
        descriptive="lines, parallel, thin, in the furrows and crossing the ridges",
        metaphoric="lattice-like pattern",
        definition="Furrow lines joined by lines across the ridges.",
        element=Element.LINE,
        seat=_JUNCTION,
        reading_styles=_ACRAL,
        basis=seen(Source.TERMINOLOGY_OF_LINES, Source.ACRAL_CONSENSUS_PAGE),
        pigmented=True,
    )
    FIBRILLAR = _Row(
        code="fibrillar",
        descriptive="lines, parallel, short, crossing the ridges",
        metaphoric="fibrillar pattern",
        definition="Fine lines that cross furrows and ridges, usually by pressure; regular or irregular is recorded.",
        element=Element.LINE,
        seat=_JUNCTION,
        reading_styles=_ACRAL,
        basis=seen(Source.TERMINOLOGY_OF_LINES, Source.ACRAL_CONSENSUS_PAGE),
        pigmented=True,
    )
    RIDGE_PARALLEL = _Row(
        code="ridge-parallel",
        descriptive="lines, parallel, thick, on the ridges",
        metaphoric="parallel ridge pattern",
        definition=(
            "Bands of pigment on the ridges; the furrows are paler. Blood, drugs, dyes and syndromic spots can "
            "look like it."
        ),
        element=Element.LINE,
        seat=_JUNCTION,
        reading_styles=_ACRAL,
        basis=seen(Source.TERMINOLOGY_OF_LINES, Source.ACRAL_CONSENSUS_PAGE),
        pigmented=True,
    )
    FURROW_AND_GLOBULES = _Row(
        code="furrow-and-globules",
        descriptive="lines in the furrows with clods or dots on the ridges",
        metaphoric="combined furrow and globular pattern",
        definition="Furrow lines with dots or clods in rows on the ridges, described in congenital naevi.",
        element=Element.LINE,
        seat=_JUNCTION,
        reading_styles=_ACRAL,
        basis=seen(Source.ACRAL_CONGENITAL_NAEVI_2011),
        pigmented=True,
        parent="FURROW_PARALLEL",
        synonyms=("crista dotted with parallel furrow pattern", "peas-in-a-pod pattern"),
    )
    SWEAT_DUCT_OPENINGS = _Row(
        code="sweat-duct-openings",
        descriptive="dots, white, in rows on the ridges",
        metaphoric="eccrine duct openings",
        definition=(
            "Openings of the sweat ducts, a landmark that tells ridges from furrows; no criterion of any method."
        ),
        element=Element.DOT,
        seat=_SURFACE_PRACTICE,
        reading_styles=_ACRAL,
        basis=COMMON_PRACTICE,
        kind=StructureKind.LANDMARK,
    )
    ACRAL_DIFFUSE_IRREGULAR = _Row(
        code="acral-diffuse-irregular",
        descriptive="structureless, brown to black, diffuse and irregular",
        metaphoric="irregular diffuse pigmentation",
        definition="Uneven diffuse pigment that follows neither ridges nor furrows.",
        element=Element.STRUCTURELESS,
        seat=_MIXED,
        reading_styles=_ACRAL,
        basis=seen(Source.ACRAL_PATTERNS_CENTRAL_ITALY),
        pigmented=True,
    )
    ACRAL_HOMOGENEOUS = _Row(
        code="acral-homogeneous",
        descriptive="structureless, brown, even",
        metaphoric="homogeneous acral pattern",
        definition="Even brown pigment without lines.",
        element=Element.STRUCTURELESS,
        seat=_JUNCTION,
        reading_styles=_ACRAL,
        basis=seen(Source.ACRAL_PATTERN_DEFINITIONS_2018),
        kind=StructureKind.PATTERN,
        pigmented=True,
        implied_colours=(Colour.BROWN,),
    )
    ACRAL_SERRATED_EDGE = _Row(
        code="acral-serrated-edge",
        descriptive="lines ending like teeth at the edge",
        metaphoric="serrated pattern",
        definition="Edge formed by the ends of short pigmented lines.",
        element=Element.LINE,
        seat=_JUNCTION,
        reading_styles=_ACRAL,
        basis=seen(Source.ACRAL_PATTERNS_CENTRAL_ITALY, note="The name; the description from memory"),
        pigmented=True,
    )
    BLOOD_IN_HORNY_LAYER = _Row(
        code="blood-in-horny-layer",
        descriptive="structureless or clods, red-black, sharply bounded",
        metaphoric="subcorneal haemorrhage",
        definition=(
            "Even red-black area, at times with round bodies apart from it, that can be scraped off. Blood "
            "does not exclude a tumour."
        ),
        element=Element.STRUCTURELESS,
        seat=_SURFACE_PRACTICE,
        reading_styles=_TRUNK_LIMB_ACRAL_NAIL,
        basis=seen(Source.DERMOSCOPIC_TESTS_REVIEW, note="Scraping; the names from memory"),
        synonyms=("subcorneal haematoma", "pebbles on the ridges"),
    )

    DOTS_BROWN = _Row(
        code="dots-brown",
        descriptive="dots, brown",
        metaphoric="brown dots",
        definition="Brown points below about 0.1 mm; their number, place and regularity are recorded.",
        element=Element.DOT,
        seat=_JUNCTION,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.GLOSSARY_OF_DOTS, Source.STRUCTURES_AND_HISTOLOGY_TABLE),
        pigmented=True,
        implied_colours=(Colour.BROWN,),
    )
    DOTS_BLACK = _Row(
        code="dots-black",
        descriptive="dots, black",
        metaphoric="black dots",
        definition="Black points below about 0.1 mm; central or peripheral is recorded.",
        element=Element.DOT,
        seat=_SURFACE,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.GLOSSARY_OF_DOTS, Source.STRUCTURES_AND_HISTOLOGY_TABLE),
        pigmented=True,
        implied_colours=(Colour.BLACK,),
    )
    DOTS_BLACK_PERIPHERAL = _Row(
        code="dots-black-peripheral",
        descriptive="dots, black, at the periphery",
        metaphoric="peripheral black dots",
        definition="Black dots at or near the edge.",
        element=Element.DOT,
        seat=_SURFACE,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(Source.MENZIES_METHOD_DEFINITIONS),
        pigmented=True,
        implied_colours=(Colour.BLACK,),
        parent="DOTS_BLACK",
    )
    DOTS_IRREGULAR = _Row(
        code="dots-irregular",
        descriptive="dots, varying in colour, size or spacing, unevenly spread",
        metaphoric="irregular dots",
        definition="Pigmented dots without order.",
        element=Element.DOT,
        seat=_MIXED,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(
            Source.ACRAL_PATTERNS_CENTRAL_ITALY,
            Source.HEAD_AND_NECK_MACULES_REVIEW,
            note="The name; the definition from memory",
        ),
        pigmented=True,
    )
    DOTS_GREY = _Row(
        code="dots-grey",
        descriptive="dots, grey or blue-grey",
        metaphoric="peppering",
        definition="Fine grey or blue-grey points below about 0.1 mm.",
        element=Element.DOT,
        seat=_PEPPERING,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.TERMINOLOGY_OF_DOTS, Source.STRUCTURES_AND_HISTOLOGY_TABLE, Source.REGRESSION_HISTOLOGY_PAGE),
        pigmented=True,
        implied_colours=(Colour.GREY,),
        synonyms=("granularity",),
    )
    DOTS_BROWN_CENTRAL = _Row(
        code="dots-brown-central",
        descriptive="dots, brown, in the centre of network holes",
        metaphoric="targetoid dots",
        definition="One brown dot in each hole of a network.",
        element=Element.DOT,
        seat=_JUNCTION,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.TERMINOLOGY_OF_DOTS),
        pigmented=True,
        implied_colours=(Colour.BROWN,),
        parent="DOTS_BROWN",
    )
    DOTS_LINEAR_PERIPHERAL = _Row(
        code="dots-linear-peripheral",
        descriptive="dots, in lines, at the periphery",
        metaphoric="linear dots",
        definition="Brown or grey dots in rows towards the edge, described in pigmented Bowen disease.",
        element=Element.DOT,
        seat=_EPIDERMIS_SEEN,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.TERMINOLOGY_OF_DOTS, Source.KERATINISING_TUMOURS_HISTOLOGY_PAGE),
        pigmented=True,
    )
    GLOBULES = _Row(
        code="globules",
        descriptive="clods, brown",
        metaphoric="globules",
        definition="Round to oval pigmented bodies above about 0.1 mm.",
        element=Element.CLOD,
        seat=_JUNCTION_SEEN,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.DESCRIPTIVE_CLODS_CASE, Source.STRUCTURES_AND_HISTOLOGY_TABLE),
        pigmented=True,
    )
    GLOBULES_REGULAR = _Row(
        code="globules-regular",
        descriptive="clods, brown, alike in colour, size and shape",
        metaphoric="regular globules",
        definition="Globules that vary little.",
        element=Element.CLOD,
        seat=_JUNCTION_SEEN,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.METAPHORIC_TERM_DEFINITIONS),
        pigmented=True,
        parent="GLOBULES",
    )
    GLOBULES_IRREGULAR = _Row(
        code="globules-irregular",
        descriptive="clods, brown, varying, unevenly spread",
        metaphoric="irregular globules",
        definition="Globules that vary in colour, size, shape or spacing and are spread without symmetry.",
        element=Element.CLOD,
        seat=_MIXED,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.METAPHORIC_TERM_DEFINITIONS),
        pigmented=True,
        parent="GLOBULES",
    )
    GLOBULES_AGGREGATED = _Row(
        code="globules-aggregated",
        descriptive="clods, brown, clustered, more than three",
        metaphoric="aggregated globules",
        definition="More than three well-bounded globules in a cluster, or three or more along the edge.",
        element=Element.CLOD,
        seat=_JUNCTION_SEEN,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.STRUCTURES_AND_HISTOLOGY_TABLE),
        pigmented=True,
        parent="GLOBULES",
    )
    GLOBULES_PERIPHERAL_RIM = _Row(
        code="globules-peripheral-rim",
        descriptive="clods, brown, all round the periphery",
        metaphoric="rim of brown globules",
        definition="Brown globules along the whole edge, as in a growing naevus; unexpected in older adults.",
        element=Element.CLOD,
        seat=_JUNCTION,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.METAPHORIC_TERM_DEFINITIONS, note="The growth and the age from memory"),
        pigmented=True,
        implied_colours=(Colour.BROWN,),
        parent="GLOBULES",
    )
    CLODS_COBBLESTONE = _Row(
        code="clods-cobblestone",
        descriptive="clods, polygonal, skin-coloured to brown, closely set",
        metaphoric="cobblestone globules",
        definition="Angular clods close together throughout the lesion.",
        element=Element.CLOD,
        seat=_MIXED,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.METAPHORIC_TERM_DEFINITIONS, Source.DESCRIPTIVE_CLODS_CASE),
    )
    CLODS_BLACK_PERIPHERAL = _Row(
        code="clods-black-peripheral",
        descriptive="clods, black, at the periphery",
        metaphoric="peripheral black globules",
        definition="Black clods at or near the edge.",
        element=Element.CLOD,
        seat=_MIXED,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(Source.MENZIES_METHOD_DEFINITIONS),
        pigmented=True,
        implied_colours=(Colour.BLACK,),
    )
    CLODS_BLUE_LARGE = _Row(
        code="clods-blue-large",
        descriptive="clods, blue, large",
        metaphoric="blue-grey ovoid nests",
        definition="Large well-bounded blue-grey ovals, not joined to the body of the lesion.",
        element=Element.CLOD,
        seat=_BASAL_CELL_DERMIS,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.DESCRIPTIVE_CLODS_CASE, Source.BASAL_CELL_HISTOLOGY_PAGE),
        pigmented=True,
        implied_colours=(Colour.BLUE,),
    )
    CLODS_BLUE_MULTIPLE = _Row(
        code="clods-blue-multiple",
        descriptive="clods, blue, small, several",
        metaphoric="multiple blue-grey globules",
        definition="Several round to oval blue-grey bodies, smaller than ovoid nests.",
        element=Element.CLOD,
        seat=_BASAL_CELL_DERMIS,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.BASAL_CELL_HISTOLOGY_PAGE, Source.PIGMENTED_BASAL_CELL_CARCINOMA_2000),
        pigmented=True,
        implied_colours=(Colour.BLUE,),
    )
    CLODS_YELLOW_WHITE_CLUSTERED = _Row(
        code="clods-yellow-white-clustered",
        descriptive="clods, white-yellow, clustered, around a central opening",
        metaphoric="yellow lobules",
        definition="White to yellow clods in a group, often round a small crater.",
        element=Element.CLOD,
        seat=_SEBACEOUS,
        reading_styles=_FACE_SCALP,
        basis=seen(Source.SEBACEOUS_HYPERPLASIA_PAGE, Source.YELLOW_LOBULAR_STRUCTURES_2008),
        synonyms=("cumulus sign", "sebaceous lobules"),
    )
    CLODS_ORANGE = _Row(
        code="clods-orange",
        descriptive="clods, orange",
        metaphoric="orange clods",
        definition="Orange clods of keratin or dried serum.",
        element=Element.CLOD,
        seat=_SURFACE,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.DESCRIPTIVE_CLODS_CASE),
        implied_colours=(Colour.ORANGE,),
    )
    LACUNAE = _Row(
        code="lacunae",
        descriptive="clods, red, purple, blue or black, separated by stroma",
        metaphoric="lacunae",
        definition="Sharply bounded round or oval red to dark areas with no vessel inside.",
        element=Element.CLOD,
        seat=_UPPER_DERMIS,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.TERMINOLOGY_OF_VESSEL_SHAPES),
        synonyms=("lagoons",),
    )
    MILKY_RED_GLOBULES = _Row(
        code="milky-red-globules",
        descriptive="clods, pink to milky red, blurred",
        metaphoric="milky red globules",
        definition="Blurred pink clods, alone or in a milky red area.",
        element=Element.CLOD,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.MILKY_RED_PAGE),
        implied_colours=(Colour.PINK,),
    )

    FOLLICLES_ASYMMETRIC_PIGMENTED = _Row(
        code="follicles-asymmetric-pigmented",
        descriptive="circles, partial or eccentric, grey-brown, round follicle openings",
        metaphoric="asymmetric pigmented follicular openings",
        definition="Pigment that surrounds a follicle opening unevenly or in part.",
        element=Element.CIRCLE,
        seat=_JUNCTION,
        reading_styles=_FACE_SCALP,
        basis=seen(Source.TERMINOLOGY_OF_FACIAL_SKIN),
        pigmented=True,
    )
    CIRCLES_GREY = _Row(
        code="circles-grey",
        descriptive="circles, grey",
        metaphoric="grey circles",
        definition="Grey ring round a follicle opening.",
        element=Element.CIRCLE,
        seat=_JUNCTION,
        reading_styles=_FACE_SCALP,
        basis=seen(Source.CHAOS_AND_CLUES_PAGE, Source.CIRCLES_PAGE),
        pigmented=True,
        implied_colours=(Colour.GREY,),
    )
    CIRCLE_WITHIN_CIRCLE = _Row(
        code="circle-within-circle",
        descriptive="circle within a circle",
        metaphoric="",
        definition="Two rings of pigment, one inside the other, round a follicle opening.",
        element=Element.CIRCLE,
        seat=_JUNCTION,
        reading_styles=_FACE_SCALP,
        basis=seen(Source.FACIAL_CRITERIA_CHAPTER),
        pigmented=True,
        synonyms=("isobar pattern",),
    )
    ANNULAR_GRANULAR = _Row(
        code="annular-granular",
        descriptive="dots, grey, and circles, grey",
        metaphoric="annular-granular pattern",
        definition="Grey dots set round follicle openings.",
        element=Element.CIRCLE,
        seat=_MIXED,
        reading_styles=_FACE_SCALP,
        basis=seen(Source.TERMINOLOGY_OF_DOTS, Source.TERMINOLOGY_OF_FACIAL_SKIN),
        pigmented=True,
        implied_colours=(Colour.GREY,),
        parent="DOTS_GREY",
    )
    FOLLICLES_OBLITERATED = _Row(
        code="follicles-obliterated",
        descriptive="structureless, dark, follicle openings no longer seen",
        metaphoric="obliterated follicular openings",
        definition="Dark pigment that covers the follicle openings.",
        element=Element.STRUCTURELESS,
        seat=_MIXED,
        reading_styles=_FACE_SCALP,
        basis=seen(Source.FLAT_FACIAL_LESIONS_2018),
        pigmented=True,
    )
    GLOBULES_SLATE_GREY = _Row(
        code="globules-slate-grey",
        descriptive="clods, slate-grey",
        metaphoric="slate-grey globules",
        definition="Grey clods between the follicles.",
        element=Element.CLOD,
        seat=_UPPER_DERMIS,
        reading_styles=_FACE_SCALP,
        basis=seen(Source.LENTIGO_MALIGNA_2000, Source.LENTIGO_MALIGNA_REVIEW_2016),
        pigmented=True,
        implied_colours=(Colour.GREY,),
    )
    FOLLICLES_EVIDENT = _Row(
        code="follicles-evident",
        descriptive="circles, white, follicle openings prominent",
        metaphoric="evident follicles with a white halo",
        definition="Enlarged follicle openings with a pale ring and often a yellow plug.",
        element=Element.CIRCLE,
        seat=_SURFACE,
        reading_styles=_FACE_SCALP,
        basis=seen(Source.HEAD_AND_NECK_MACULES_REVIEW),
    )
    STRAWBERRY_PATTERN = _Row(
        code="strawberry-pattern",
        descriptive="structureless, red, interrupted by follicle openings",
        metaphoric="strawberry pattern",
        definition="Red pseudonetwork of fine wavy vessels round pale follicle openings.",
        element=Element.STRUCTURELESS,
        seat=_VASCULAR,
        reading_styles=_FACE_SCALP,
        basis=seen(Source.TERMINOLOGY_OF_STRUCTURELESS_AREAS, Source.TERMINOLOGY_OF_PATTERNS),
        kind=StructureKind.PATTERN,
        implied_colours=(Colour.RED,),
    )

    BLOTCH_REGULAR = _Row(
        code="blotch-regular",
        descriptive="structureless, brown or black, central or even",
        metaphoric="regular blotch",
        definition="Single dark area, centred or even.",
        element=Element.STRUCTURELESS,
        seat=_MIXED,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.TERMINOLOGY_OF_STRUCTURELESS_AREAS),
        pigmented=True,
    )
    BLOTCH_IRREGULAR = _Row(
        code="blotch-irregular",
        descriptive="structureless, brown or black, eccentric or multiple",
        metaphoric="irregular blotch",
        definition="Dark area off centre, with an uneven edge, or more than one.",
        element=Element.STRUCTURELESS,
        seat=_MIXED,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.TERMINOLOGY_OF_STRUCTURELESS_AREAS),
        pigmented=True,
    )
    STRUCTURELESS_ECCENTRIC = _Row(
        code="structureless-eccentric",
        descriptive="structureless, any colour but skin colour, eccentric",
        metaphoric="eccentric structureless area",
        definition="Area without structures, off centre, in any colour but that of the skin.",
        element=Element.STRUCTURELESS,
        seat=_MIXED,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(Source.CHAOS_AND_CLUES_PAGE),
    )
    STRUCTURELESS_TAN_PERIPHERAL = _Row(
        code="structureless-tan-peripheral",
        descriptive="structureless, light brown, peripheral",
        metaphoric="tan structureless area",
        definition="Light brown area at the edge without structures.",
        element=Element.STRUCTURELESS,
        seat=_JUNCTION,
        reading_styles=_TRUNK_LIMB,
        basis=MEMORY,
        pigmented=True,
        implied_colours=(Colour.LIGHT_BROWN,),
        synonyms=("brown peripheral structureless area",),
    )
    BLUE_WHITE_VEIL = _Row(
        code="blue-white-veil",
        descriptive="structureless, blue, with a whitish haze, part of the lesion",
        metaphoric="blue-whitish veil",
        definition="Irregular confluent blue area under a white ground-glass haze; never the whole lesion.",
        element=Element.STRUCTURELESS,
        seat=_VEIL,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.TERMINOLOGY_OF_STRUCTURELESS_AREAS, Source.MENZIES_METHOD_DEFINITIONS),
        pigmented=True,
        implied_colours=(Colour.BLUE, Colour.WHITE),
        synonyms=("blue-white veil",),
    )
    STRUCTURELESS_BLUE_WHOLE = _Row(
        code="structureless-blue-whole",
        descriptive="structureless, blue, whole lesion, even",
        metaphoric="homogeneous blue pattern",
        definition="Even blue throughout; reassuring only with a convincing history of no change.",
        element=Element.STRUCTURELESS,
        seat=_DERMIS,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.TERMINOLOGY_OF_PATTERNS, Source.BLUE_NAEVUS_TEXTBOOK),
        kind=StructureKind.PATTERN,
        pigmented=True,
        implied_colours=(Colour.BLUE,),
    )
    BLUE_BLACK_COLOUR = _Row(
        code="blue-black-colour",
        descriptive="structureless, blue and black together, over a tenth of the surface",
        metaphoric="blue-black colour",
        definition="Both colours in at least a tenth of a raised lesion.",
        element=Element.STRUCTURELESS,
        seat=_MIXED,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.BLUE_BLACK_RULE_2011),
        pigmented=True,
        implied_colours=(Colour.BLUE, Colour.BLACK),
    )
    MILKY_RED_AREA = _Row(
        code="milky-red-area",
        descriptive="structureless, pink to milky red",
        metaphoric="milky red areas",
        definition="Pink-white area without distinct vessels.",
        element=Element.STRUCTURELESS,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.TERMINOLOGY_OF_STRUCTURELESS_AREAS, Source.MILKY_RED_PAGE),
        implied_colours=(Colour.PINK,),
        synonyms=("vascular blush",),
    )
    SCAR_LIKE_AREA = _Row(
        code="scar-like-area",
        descriptive="structureless, white, whiter than the skin around",
        metaphoric="scar-like depigmentation",
        definition="White like a true scar, without vessels or shiny lines; not mere loss of pigment.",
        element=Element.STRUCTURELESS,
        seat=_REGRESSION,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(
            Source.TERMINOLOGY_OF_STRUCTURELESS_AREAS,
            Source.MENZIES_METHOD_DEFINITIONS,
            Source.REGRESSION_HISTOLOGY_PAGE,
        ),
        implied_colours=(Colour.WHITE,),
    )
    REGRESSION_STRUCTURES = _Row(
        code="regression-structures",
        descriptive="scar-like area, grey dots or both",
        metaphoric="regression structures",
        definition="Follows from a scar-like area, grey dots or both, which are recorded themselves.",
        element=Element.OTHER,
        seat=_REGRESSION,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.SEVEN_POINT_CRITERIA_PAGES, Source.REGRESSION_HISTOLOGY_PAGE),
        kind=StructureKind.COMPOSITE,
        any_of=("SCAR_LIKE_AREA", "DOTS_GREY"),
    )
    CENTRAL_WHITE_PATCH = _Row(
        code="central-white-patch",
        descriptive="structureless, white, central",
        metaphoric="central white patch",
        definition="White centre of the lesion, typical of a dermatofibroma with a delicate network round it.",
        element=Element.STRUCTURELESS,
        seat=_WHITE_FIBROUS,
        reading_styles=_TRUNK_LIMB,
        basis=seen(Source.TERMINOLOGY_OF_STRUCTURELESS_AREAS),
        implied_colours=(Colour.WHITE,),
    )
    RAINBOW_PATTERN = _Row(
        code="rainbow-pattern",
        descriptive="structureless, polychromatic",
        metaphoric="rainbow pattern",
        definition="Area in the colours of the spectrum, seen in various vascular and other lesions.",
        element=Element.STRUCTURELESS,
        seat=_RAINBOW,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(
            Source.TERMINOLOGY_OF_STRUCTURELESS_AREAS, Source.TERMINOLOGY_OF_PATTERNS, Source.RAINBOW_PATTERN_PAGE
        ),
        synonyms=("polychromatic pattern",),
    )
    HYPOPIGMENTED_AREA = _Row(
        code="hypopigmented-area",
        descriptive="structureless, paler than the rest, not white",
        metaphoric="hypopigmented area",
        definition="Area with less pigment than the rest of the lesion, not scar-like.",
        element=Element.STRUCTURELESS,
        seat=_MIXED,
        reading_styles=_ALL_BUT_NAIL,
        basis=MEMORY,
    )
    HALO_HYPOPIGMENTED = _Row(
        code="halo-hypopigmented",
        descriptive="structureless, pale ring round the lesion",
        metaphoric="halo",
        definition="Ring without pigment round the lesion.",
        element=Element.STRUCTURELESS,
        seat=_JUNCTION,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=MEMORY,
    )
    STRUCTURELESS_PURPLE = _Row(
        code="structureless-purple",
        descriptive="structureless, purple to maroon",
        metaphoric="haemorrhagic area",
        definition="Purple-red area of blood without lacunae.",
        element=Element.STRUCTURELESS,
        seat=_UPPER_DERMIS,
        reading_styles=_ALL,
        basis=MEMORY,
        implied_colours=(Colour.PURPLE,),
    )
    STRUCTURELESS_YELLOW = _Row(
        code="structureless-yellow",
        descriptive="structureless, yellow to orange",
        metaphoric="yellow area",
        definition="Yellow or orange area of fat, granuloma, serum or keratin.",
        element=Element.STRUCTURELESS,
        seat=_MIXED,
        reading_styles=_ALL_BUT_NAIL,
        basis=MEMORY,
    )
    ULCERATION = _Row(
        code="ulceration",
        descriptive="structureless, red to orange-brown with crust, loss of surface",
        metaphoric="ulceration",
        definition="Loss of the epidermis that injury does not explain; a reported injury is recorded.",
        element=Element.OTHER,
        seat=_LOST_SURFACE,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.PREDICTION_WITHOUT_PIGMENT_2014, Source.BASAL_CELL_HISTOLOGY_PAGE),
    )
    EROSIONS_SMALL_MULTIPLE = _Row(
        code="erosions-small-multiple",
        descriptive="clods, orange to red-brown, small, several",
        metaphoric="multiple small erosions",
        definition="Several small brown-red to orange-yellow crusted points.",
        element=Element.OTHER,
        seat=_LOST_SURFACE,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.BASAL_CELL_HISTOLOGY_PAGE),
    )
    CRUST_BLOOD = _Row(
        code="crust-blood",
        descriptive="structureless or clods, red-black, adherent",
        metaphoric="blood crust",
        definition="Dried blood or serum that can hide structures: what lies under it is not assessed.",
        element=Element.OTHER,
        seat=_SURFACE_PRACTICE,
        reading_styles=_ALL,
        basis=COMMON_PRACTICE,
    )

    VESSELS_DOTTED = _Row(
        code="vessels-dotted",
        descriptive="vessels, dots",
        metaphoric="dotted vessels",
        definition="Vessels seen end on as red points.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.TERMINOLOGY_OF_VESSEL_SHAPES),
        kind=StructureKind.VESSEL_SHAPE,
    )
    VESSELS_COILED = _Row(
        code="vessels-coiled",
        descriptive="vessels, linear, coiled",
        metaphoric="glomerular vessels",
        definition="Tightly coiled vessels.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.TERMINOLOGY_OF_VESSEL_SHAPES),
        kind=StructureKind.VESSEL_SHAPE,
        synonyms=("coiled vessels",),
    )
    VESSELS_LOOPED = _Row(
        code="vessels-looped",
        descriptive="vessels, linear, looped",
        metaphoric="hairpin vessels",
        definition="Two parallel limbs joined in a loop; a white halo is recorded.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.TERMINOLOGY_OF_VESSEL_SHAPES),
        kind=StructureKind.VESSEL_SHAPE,
        synonyms=("looped vessels",),
    )
    VESSELS_SERPENTINE = _Row(
        code="vessels-serpentine",
        descriptive="vessels, linear, serpentine",
        metaphoric="linear irregular vessels",
        definition="Lines with several bends.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.TERMINOLOGY_OF_VESSEL_SHAPES),
        kind=StructureKind.VESSEL_SHAPE,
        synonyms=("serpentine vessels",),
    )
    VESSELS_STRAIGHT = _Row(
        code="vessels-straight",
        descriptive="vessels, linear, straight",
        metaphoric="linear vessels",
        definition="Lines with few bends or none.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.TERMINOLOGY_OF_VESSEL_SHAPES),
        kind=StructureKind.VESSEL_SHAPE,
        synonyms=("straight vessels",),
    )
    VESSELS_HELICAL = _Row(
        code="vessels-helical",
        descriptive="vessels, linear, helical",
        metaphoric="corkscrew vessels",
        definition="Vessels twisted round an axis.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.TERMINOLOGY_OF_VESSEL_SHAPES),
        kind=StructureKind.VESSEL_SHAPE,
        synonyms=("helical vessels",),
    )
    VESSELS_CURVED = _Row(
        code="vessels-curved",
        descriptive="vessels, linear, curved",
        metaphoric="comma vessels",
        definition="Short, coarse, curved lines.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.TERMINOLOGY_OF_VESSEL_SHAPES),
        kind=StructureKind.VESSEL_SHAPE,
        synonyms=("curved vessels",),
    )
    VESSELS_BRANCHED = _Row(
        code="vessels-branched",
        descriptive="vessels, branched",
        metaphoric="arborising vessels",
        definition="Bright, sharp, thick stems that divide into finer ones.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.TERMINOLOGY_OF_VESSEL_ARRANGEMENTS),
        kind=StructureKind.VESSEL_SHAPE,
        synonyms=("arborising telangiectasia", "branched vessels"),
    )
    VESSELS_SHORT_FINE = _Row(
        code="vessels-short-fine",
        descriptive="vessels, linear, short and fine, few branches",
        metaphoric="short fine telangiectasia",
        definition="Thin short vessels with few branches.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.BASAL_CELL_SUBTYPES),
        kind=StructureKind.VESSEL_SHAPE,
    )
    VESSELS_LOOPED_WHITE_HALO = _Row(
        code="vessels-looped-white-halo",
        descriptive="vessels, looped, each with a white halo",
        metaphoric="hairpin vessels with white halo",
        definition="Looped vessels, each in a pale surround of keratin.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.SEBORRHOEIC_KERATOSIS_LEVEL_PAGE),
        kind=StructureKind.VESSEL_SHAPE,
        parent="VESSELS_LOOPED",
    )
    VESSELS_WAVY_PERIFOLLICULAR = _Row(
        code="vessels-wavy-perifollicular",
        descriptive="vessels, linear, wavy, round follicles",
        metaphoric="wavy vessels around follicles",
        definition="Fine wavy lines round follicle openings.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_FACE_SCALP,
        basis=seen(Source.HEAD_AND_NECK_MACULES_REVIEW),
        kind=StructureKind.VESSEL_SHAPE,
    )
    VESSELS_MONOMORPHOUS = _Row(
        code="vessels-monomorphous",
        descriptive="vessels, one type dominates",
        metaphoric="monomorphous vessels",
        definition="One shape of vessel prevails.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.TERMINOLOGY_OF_VESSEL_SHAPES),
        kind=StructureKind.VESSEL_SUMMARY,
    )
    VESSELS_POLYMORPHOUS = _Row(
        code="vessels-polymorphous",
        descriptive="vessels, more than one type",
        metaphoric="polymorphous vessels",
        definition="Two or more shapes of vessel occur together.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.TERMINOLOGY_OF_VESSEL_SHAPES),
        kind=StructureKind.VESSEL_SUMMARY,
    )
    VESSELS_ATYPICAL = _Row(
        code="vessels-atypical",
        descriptive="vessels, dotted or serpentine, outside regression",
        metaphoric="atypical vascular pattern",
        definition="Follows from dotted or linear irregular vessels that are not clearly within regression.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.SEVEN_POINT_CRITERIA_PAGES),
        kind=StructureKind.COMPOSITE,
        any_of=("VESSELS_DOTTED", "VESSELS_SERPENTINE"),
        synonyms=("atypical vessels",),
    )
    ARRANGED_RADIAL = _Row(
        code="arranged-radial",
        descriptive="vessels, radial, not crossing the centre",
        metaphoric="crown vessels",
        definition="Vessels that run from the edge inwards and stop before the centre.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.TERMINOLOGY_OF_VESSEL_ARRANGEMENTS),
        kind=StructureKind.VESSEL_ARRANGEMENT,
    )
    ARRANGED_SERPIGINOUS = _Row(
        code="arranged-serpiginous",
        descriptive="vessels, serpiginous",
        metaphoric="string of pearls",
        definition="Dotted or coiled vessels in winding lines.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.TERMINOLOGY_OF_VESSEL_ARRANGEMENTS),
        kind=StructureKind.VESSEL_ARRANGEMENT,
    )
    ARRANGED_CLUSTERED = _Row(
        code="arranged-clustered",
        descriptive="vessels, clustered",
        metaphoric="clustered vessels",
        definition="Vessels in groups.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.TERMINOLOGY_OF_VESSEL_ARRANGEMENTS),
        kind=StructureKind.VESSEL_ARRANGEMENT,
    )
    ARRANGED_CENTRED = _Row(
        code="arranged-centred",
        descriptive="vessels, centred in network holes or clods",
        metaphoric="targetoid vessels",
        definition="One vessel in the centre of each hole or clod.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.TERMINOLOGY_OF_VESSEL_ARRANGEMENTS),
        kind=StructureKind.VESSEL_ARRANGEMENT,
    )
    ARRANGED_RETICULAR = _Row(
        code="arranged-reticular",
        descriptive="vessels, reticular",
        metaphoric="vascular network",
        definition="Vessels joined in a grid.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.PREDICTION_WITHOUT_PIGMENT_COURSE),
        kind=StructureKind.VESSEL_ARRANGEMENT,
    )
    ARRANGED_LINEAR = _Row(
        code="arranged-linear",
        descriptive="vessels, in lines",
        metaphoric="",
        definition="Dotted or coiled vessels in straight rows.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.PREDICTION_WITHOUT_PIGMENT_COURSE),
        kind=StructureKind.VESSEL_ARRANGEMENT,
    )
    ARRANGED_RANDOM = _Row(
        code="arranged-random",
        descriptive="vessels, random",
        metaphoric="",
        definition="Vessels without order.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.PREDICTION_WITHOUT_PIGMENT_COURSE),
        kind=StructureKind.VESSEL_ARRANGEMENT,
        synonyms=("irregular distribution of vessels",),
    )
    ARRANGED_REGULAR = _Row(
        code="arranged-regular",
        descriptive="vessels, evenly spread",
        metaphoric="",
        definition="Vessels spread evenly over the lesion.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=MEMORY,
        kind=StructureKind.VESSEL_ARRANGEMENT,
        synonyms=("regular distribution of vessels",),
    )
    ARRANGED_PERIPHERAL = _Row(
        code="arranged-peripheral",
        descriptive="vessels, peripheral",
        metaphoric="",
        definition="Vessels at the edge only.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=MEMORY,
        kind=StructureKind.VESSEL_ARRANGEMENT,
        synonyms=("peripheral distribution of vessels",),
    )
    ARRANGED_CENTRAL = _Row(
        code="arranged-central",
        descriptive="vessels, mainly central",
        metaphoric="predominant central vessels",
        definition="Vessels mainly in the centre of the lesion.",
        element=Element.VESSEL,
        seat=_VASCULAR,
        reading_styles=_ALL,
        basis=seen(Source.LITTLE_PIGMENT_2008),
        kind=StructureKind.VESSEL_ARRANGEMENT,
    )

    NAIL_LINES_REGULAR = _Row(
        code="nail-lines-regular",
        descriptive="lines, brown, longitudinal, parallel, alike in colour, width and spacing",
        metaphoric="regular longitudinal lines",
        definition="Even brown lines along the plate.",
        element=Element.LINE,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=MEMORY,
        pigmented=True,
    )
    NAIL_LINES_IRREGULAR = _Row(
        code="nail-lines-irregular",
        descriptive="lines, brown to black, longitudinal, varying in colour, width or spacing",
        metaphoric="irregular longitudinal lines",
        definition="Lines that vary or lose their parallel course.",
        element=Element.LINE,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=seen(Source.NAIL_BANDS_2017, Source.NAIL_HISTOLOGY_PAGE),
        pigmented=True,
    )
    NAIL_BACKGROUND_BROWN = _Row(
        code="nail-background-brown",
        descriptive="structureless, brown, longitudinal band",
        metaphoric="brown background",
        definition="Brown to black band behind the lines, a sign of more melanocytes.",
        element=Element.STRUCTURELESS,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=seen(Source.NAIL_HISTOLOGY_PAGE),
        pigmented=True,
        synonyms=("brown band",),
    )
    NAIL_BACKGROUND_GREY = _Row(
        code="nail-background-grey",
        descriptive="structureless, grey, longitudinal band with thin grey lines",
        metaphoric="grey background",
        definition="Grey band, a sign of melanocytes that are active but not more in number.",
        element=Element.STRUCTURELESS,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=seen(Source.NAIL_HISTOLOGY_PAGE),
        pigmented=True,
        implied_colours=(Colour.GREY,),
        synonyms=("grey band",),
    )
    NAIL_COLOURS_GREY_BLACK = _Row(
        code="nail-colours-grey-black",
        descriptive="lines or band, grey or black",
        metaphoric="grey or black colour of the band",
        definition="Grey or black within the band.",
        element=Element.LINE,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=seen(Source.NAIL_BANDS_2017),
        pigmented=True,
    )
    NAIL_BAND_WIDE = _Row(
        code="nail-band-wide",
        descriptive="band wider than two thirds of the plate",
        metaphoric="wide band",
        definition="Pigmented band over two thirds of the width of the plate; millimetres and ratio are recorded.",
        element=Element.OTHER,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=seen(Source.NAIL_BANDS_2017),
        pigmented=True,
    )
    NAIL_BAND_OVER_3MM = _Row(
        code="nail-band-over-3mm",
        descriptive="band 3 mm wide or more",
        metaphoric="band of 3 mm or more",
        definition="Pigmented band of at least 3 mm, studied in adults with one digit affected.",
        element=Element.OTHER,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=seen(Source.SUBUNGUAL_IN_SITU_2018),
        pigmented=True,
    )
    NAIL_BORDER_FADING = _Row(
        code="nail-border-fading",
        descriptive="band with a fading border",
        metaphoric="border fading",
        definition="The edge of the band blurs into the plate.",
        element=Element.OTHER,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=seen(Source.SUBUNGUAL_IN_SITU_2018),
        pigmented=True,
    )
    NAIL_BAND_ASYMMETRIC = _Row(
        code="nail-band-asymmetric",
        descriptive="band asymmetric",
        metaphoric="asymmetric band",
        definition="The two halves of the band differ.",
        element=Element.OTHER,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=seen(Source.SUBUNGUAL_IN_SITU_2018),
        pigmented=True,
    )
    NAIL_BAND_MULTICOLOUR = _Row(
        code="nail-band-multicolour",
        descriptive="band with more than one colour",
        metaphoric="multicolour band",
        definition="Two or more colours within the band.",
        element=Element.OTHER,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=seen(Source.SUBUNGUAL_IN_SITU_2018),
        pigmented=True,
    )
    NAIL_BAND_TRIANGULAR = _Row(
        code="nail-band-triangular",
        descriptive="band wider near the cuticle than at the free edge",
        metaphoric="triangular band",
        definition="A band that has become wider while the nail grew.",
        element=Element.OTHER,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=MEMORY,
        pigmented=True,
    )
    NAIL_GRANULAR_PIGMENT = _Row(
        code="nail-granular-pigment",
        descriptive="dots, dark, in the band",
        metaphoric="granular pigmentation",
        definition="Small grains of pigment within the band.",
        element=Element.DOT,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=seen(Source.NAIL_BANDS_2017),
        pigmented=True,
    )
    NAIL_HUTCHINSON = _Row(
        code="nail-hutchinson",
        descriptive="structureless or lines, brown, on the skin round the nail",
        metaphoric="Hutchinson sign",
        definition="Pigment of the nail folds or of the skin of the tip, seen with the naked eye.",
        element=Element.OTHER,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=seen(Source.NAIL_BANDS_2017),
        pigmented=True,
    )
    NAIL_MICRO_HUTCHINSON = _Row(
        code="nail-micro-hutchinson",
        descriptive="structureless or dots, brown, on the cuticle or fold, seen only by dermatoscopy",
        metaphoric="micro-Hutchinson sign",
        definition="Pigment of cuticle or fold that only magnification shows.",
        element=Element.OTHER,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=seen(Source.NAIL_BANDS_2017, Source.NAIL_HISTOLOGY_PAGE),
        pigmented=True,
    )
    NAIL_PSEUDO_HUTCHINSON = _Row(
        code="nail-pseudo-hutchinson",
        descriptive="cuticle dark because the plate below shows through",
        metaphoric="pseudo-Hutchinson sign",
        definition="The fold itself has no pigment: a look from the side and after pressure tells.",
        element=Element.OTHER,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=MEMORY,
    )
    NAIL_DYSTROPHY = _Row(
        code="nail-dystrophy",
        descriptive="plate split, thinned, lifted or lost along the band",
        metaphoric="nail dystrophy",
        definition="Change of the plate at the band.",
        element=Element.OTHER,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=seen(Source.NAIL_BANDS_2017),
    )
    NAIL_BLOOD_SPOTS = _Row(
        code="nail-blood-spots",
        descriptive="clods or streaks, purple to red-black, moving out with growth",
        metaphoric="blood spots",
        definition="Blood under or in the plate; it can occur with a melanoma too.",
        element=Element.CLOD,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=seen(Source.NAIL_DERMOSCOPY_COURSE),
        synonyms=("subungual haemorrhage", "filamentous haemorrhage"),
    )
    NAIL_WHOLE_PLATE = _Row(
        code="nail-whole-plate",
        descriptive="structureless, brown to black, whole plate",
        metaphoric="total melanonychia",
        definition="No band is left: pigment darkens the whole plate.",
        element=Element.STRUCTURELESS,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=seen(Source.NAIL_DERMOSCOPY_REVIEW_2019, Source.NAIL_DERMOSCOPY_COURSE),
        pigmented=True,
    )
    NAIL_BED_ULCER = _Row(
        code="nail-bed-ulcer",
        descriptive="loss of surface of nail bed or fold, bleeding",
        metaphoric="ulcerated nail unit",
        definition="Ulcer or bleeding tissue in the nail unit, pigmented or not.",
        element=Element.OTHER,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=COMMON_PRACTICE,
    )
    NAIL_BAND_RED_LONGITUDINAL = _Row(
        code="nail-band-red-longitudinal",
        descriptive="band, red, longitudinal",
        metaphoric="longitudinal erythronychia",
        definition="Red band along the plate; one alone, with a change at its free end, needs an opinion.",
        element=Element.OTHER,
        seat=_NAIL_UNIT,
        reading_styles=_NAIL,
        basis=MEMORY,
        implied_colours=(Colour.RED,),
    )

    MUCOSAL_CIRCLES = _Row(
        code="mucosal-circles",
        descriptive="circles, brown",
        metaphoric="ring-like pattern",
        definition="Brown rings, whole or half.",
        element=Element.CIRCLE,
        seat=_MUCOSA_RETE,
        reading_styles=_MUCOSA,
        basis=seen(Source.MUCOSAL_HISTOLOGY_PAGE, Source.MUCOSA_COURSE),
        pigmented=True,
        implied_colours=(Colour.BROWN,),
        synonyms=("fish-scale-like pattern",),
    )
    MUCOSAL_LINES_PARALLEL = _Row(
        code="mucosal-lines-parallel",
        descriptive="lines, brown, parallel",
        metaphoric="parallel pattern of mucosa",
        definition="Brown parallel lines, straight or curved.",
        element=Element.LINE,
        seat=_MUCOSA_RETE,
        reading_styles=_MUCOSA,
        basis=seen(Source.MUCOSAL_HISTOLOGY_PAGE, Source.MUCOSA_COURSE),
        pigmented=True,
        implied_colours=(Colour.BROWN,),
    )
    MUCOSAL_DOTS_CLODS = _Row(
        code="mucosal-dots-clods",
        descriptive="dots or clods, brown",
        metaphoric="dotted-globular pattern of mucosa",
        definition="Brown dots or clods alike in size and shape.",
        element=Element.DOT,
        seat=_MUCOSA_UPPER_DERMIS,
        reading_styles=_MUCOSA,
        basis=seen(Source.MUCOSAL_HISTOLOGY_PAGE, Source.MUCOSA_COURSE),
        pigmented=True,
        implied_colours=(Colour.BROWN,),
    )
    MUCOSAL_STRUCTURELESS_BROWN = _Row(
        code="mucosal-structureless-brown",
        descriptive="structureless, brown, even, on mucosa",
        metaphoric="homogeneous pattern of mucosa",
        definition="Even brown without structures.",
        element=Element.STRUCTURELESS,
        seat=_MUCOSA_RETE,
        reading_styles=_MUCOSA,
        basis=seen(Source.MUCOSAL_HISTOLOGY_PAGE, Source.MUCOSA_COURSE),
        pigmented=True,
        implied_colours=(Colour.BROWN,),
    )
    MUCOSAL_STRUCTURELESS_BLUE_GREY_WHITE = _Row(
        code="mucosal-structureless-blue-grey-white",
        descriptive="structureless, blue, grey or white",
        metaphoric="structureless zone with blue, grey or white",
        definition="Area without structures in one of these colours, the published sign of malignancy on mucosa.",
        element=Element.STRUCTURELESS,
        seat=_MIXED,
        reading_styles=_MUCOSA,
        basis=seen(Source.MUCOSA_2011),
    )
    MUCOSAL_MULTICOLOUR_ASYMMETRIC = _Row(
        code="mucosal-multicolour-asymmetric",
        descriptive="several colours and structures, unevenly spread",
        metaphoric="multicomponent mucosal pattern",
        definition="Disorder of colour and structure on mucosa.",
        element=Element.OTHER,
        seat=_MIXED,
        reading_styles=_MUCOSA,
        basis=seen(Source.MUCOSAL_HISTOLOGY_PAGE, Source.MUCOSA_COURSE),
    )

    PATTERN_RETICULAR = _Row(
        code="pattern-reticular",
        descriptive="one pattern, lines reticular",
        metaphoric="reticular pattern",
        definition="Network over most of the lesion.",
        element=Element.LINE,
        seat=_MIXED,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(Source.PATTERN_ANALYSIS_COURSE),
        kind=StructureKind.PATTERN,
        pigmented=True,
        all_of=("NETWORK",),
        styles_basis=_NETWORK_ELSEWHERE,
    )
    PATTERN_GLOBULAR = _Row(
        code="pattern-globular",
        descriptive="one pattern, clods",
        metaphoric="globular pattern",
        definition="Globules over most of the lesion.",
        element=Element.CLOD,
        seat=_MIXED,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.PATTERN_ANALYSIS_COURSE),
        kind=StructureKind.PATTERN,
    )
    PATTERN_RETICULAR_GLOBULAR = _Row(
        code="pattern-reticular-globular",
        descriptive="two patterns, lines reticular and clods, symmetrically combined",
        metaphoric="reticular-globular pattern",
        definition="Central globules with a network round them, or the reverse.",
        element=Element.OTHER,
        seat=_MIXED,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.BENIGN_NAEVUS_PATTERNS_PAGE),
        kind=StructureKind.PATTERN,
        pigmented=True,
        all_of=("NETWORK", "GLOBULES"),
    )
    PATTERN_STARBURST = _Row(
        code="pattern-starburst",
        descriptive="lines radial, pseudopods or clods all round the periphery",
        metaphoric="starburst pattern",
        definition="Streaks, pseudopods or globules round the whole edge.",
        element=Element.OTHER,
        seat=_MIXED,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(Source.TERMINOLOGY_OF_PATTERNS),
        kind=StructureKind.PATTERN,
        pigmented=True,
        any_of=("LINES_RADIAL", "PSEUDOPODS", "GLOBULES_PERIPHERAL_RIM"),
    )
    PATTERN_HOMOGENEOUS = _Row(
        code="pattern-homogeneous",
        descriptive="structureless, one colour",
        metaphoric="homogeneous pattern",
        definition="No definable pigment structure.",
        element=Element.STRUCTURELESS,
        seat=_MIXED,
        reading_styles=_ALL_BUT_NAIL,
        basis=seen(Source.TERMINOLOGY_OF_PATTERNS),
        kind=StructureKind.PATTERN,
    )
    PATTERN_CEREBRIFORM = _Row(
        code="pattern-cerebriform",
        descriptive="lines curved and thick throughout",
        metaphoric="cerebriform pattern",
        definition="Thick ridges and keratin-filled grooves throughout, like the surface of the brain.",
        element=Element.LINE,
        seat=_SURFACE,
        reading_styles=_TRUNK_LIMB_FACE,
        basis=seen(Source.TERMINOLOGY_OF_PATTERNS),
        kind=StructureKind.PATTERN,
        all_of=("LINES_CURVED_THICK",),
        synonyms=("brain-like appearance",),
    )
    PATTERN_MULTICOMPONENT = _Row(
        code="pattern-multicomponent",
        descriptive="three or more patterns",
        metaphoric="multicomponent pattern",
        definition="Three or more patterns, each in a sizable part of the lesion.",
        element=Element.OTHER,
        seat=_MIXED,
        reading_styles=_HAIRY_AND_RIDGED,
        basis=seen(Source.PATTERN_ANALYSIS_COURSE, Source.ACRAL_PATTERN_DEFINITIONS_2018),
        kind=StructureKind.PATTERN,
        styles_basis=_NETWORK_ELSEWHERE,
    )
    PATTERN_CENTRAL_WHITE_PERIPHERAL_NETWORK = _Row(
        code="pattern-central-white-peripheral-network",
        descriptive="structureless, white, central, with thin reticular lines round it",
        metaphoric="central white patch with peripheral network",
        definition="Follows from its two parts, which are recorded themselves.",
        element=Element.OTHER,
        seat=_MIXED,
        reading_styles=_TRUNK_LIMB,
        basis=seen(
            Source.TERMINOLOGY_OF_LINES,
            Source.TERMINOLOGY_OF_STRUCTURELESS_AREAS,
            note="The two parts; the combination from memory",
        ),
        kind=StructureKind.COMPOSITE,
        all_of=("CENTRAL_WHITE_PATCH", "NETWORK_DELICATE"),
    )
    PATTERN_NONSPECIFIC = _Row(
        code="pattern-nonspecific",
        descriptive="no recognised pattern",
        metaphoric="non-specific pattern",
        definition="Fits no other pattern; this never reassures.",
        element=Element.OTHER,
        seat=_MIXED,
        reading_styles=_ALL,
        basis=COMMON_PRACTICE,
        kind=StructureKind.PATTERN,
    )


@cache
def family_of(structure: Structure) -> tuple[Structure, ...]:
    """Return a structure and its kinds, in the order of the table: one of them present makes it present."""
    kinds = tuple(one for one in Structure if one.parent is structure)
    return (structure, *(member for kind in kinds for member in family_of(kind)))
