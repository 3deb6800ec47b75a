"""Sites of the body: the whole skin from scalp to sole, each nail unit, and the mucosa that can be seen.

The sites form one tree under :attr:`Site.SKIN`. A site tells how a lesion in it is read, whether it has a side,
and where it lies on the body map; a scar is no site but something that can be true at any of them.
"""

from __future__ import annotations

from typing import NamedTuple, Self

from dermreport.sources import COMMON_PRACTICE
from dermreport.vocabulary.lateralities import Laterality
from dermreport.vocabulary.map_regions import MapRegion
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.site_traits import SiteTrait
from dermreport.vocabulary.term import Term


class _Skin(NamedTuple):
    """What sites of the same kind of skin share."""

    laterality: Laterality
    reading_style: ReadingStyle | None
    second_style: ReadingStyle | None
    head_and_neck: bool | None


class _Row(NamedTuple):
    """One row as it is written below; :class:`Site` documents the columns."""

    code: str
    display: str
    definition: str
    skin: _Skin
    map_region: MapRegion
    parent: str
    traits: frozenset[SiteTrait] = frozenset()
    synonyms: tuple[str, ...] = ()


_ANY = _Skin(Laterality.EITHER_OR_NONE, None, None, head_and_neck=None)
_HEAD = _Skin(Laterality.EITHER_OR_NONE, ReadingStyle.FACE_SCALP, None, head_and_neck=True)
_HEAD_PAIRED = _Skin(Laterality.PAIRED, ReadingStyle.FACE_SCALP, None, head_and_neck=True)
_HEAD_MIDLINE = _Skin(Laterality.MIDLINE, ReadingStyle.FACE_SCALP, None, head_and_neck=True)
_EYELID = _Skin(Laterality.PAIRED, ReadingStyle.FACE_SCALP, ReadingStyle.MUCOSA, head_and_neck=True)
_BEHIND_EAR = _Skin(Laterality.PAIRED, ReadingStyle.FACE_SCALP, ReadingStyle.TRUNK_LIMB, head_and_neck=True)
_VERMILION = _Skin(Laterality.EITHER_OR_NONE, ReadingStyle.MUCOSA, ReadingStyle.FACE_SCALP, head_and_neck=True)
_HEAD_MUCOSA = _Skin(Laterality.EITHER_OR_NONE, ReadingStyle.MUCOSA, None, head_and_neck=True)
_HEAD_MUCOSA_PAIRED = _Skin(Laterality.PAIRED, ReadingStyle.MUCOSA, None, head_and_neck=True)
_NECK = _Skin(Laterality.EITHER_OR_NONE, ReadingStyle.TRUNK_LIMB, ReadingStyle.FACE_SCALP, head_and_neck=True)
_NECK_PAIRED = _Skin(Laterality.PAIRED, ReadingStyle.TRUNK_LIMB, ReadingStyle.FACE_SCALP, head_and_neck=True)
_NAPE = _Skin(Laterality.EITHER_OR_NONE, ReadingStyle.TRUNK_LIMB, None, head_and_neck=True)
_BODY = _Skin(Laterality.EITHER_OR_NONE, ReadingStyle.TRUNK_LIMB, None, head_and_neck=False)
_BODY_PAIRED = _Skin(Laterality.PAIRED, ReadingStyle.TRUNK_LIMB, None, head_and_neck=False)
_BODY_MIDLINE = _Skin(Laterality.MIDLINE, ReadingStyle.TRUNK_LIMB, None, head_and_neck=False)
_PERINEUM = _Skin(Laterality.MIDLINE, ReadingStyle.TRUNK_LIMB, ReadingStyle.MUCOSA, head_and_neck=False)
_GENITAL = _Skin(Laterality.EITHER_OR_NONE, ReadingStyle.MUCOSA, ReadingStyle.TRUNK_LIMB, head_and_neck=False)
_GENITAL_SKIN = _Skin(Laterality.EITHER_OR_NONE, ReadingStyle.TRUNK_LIMB, ReadingStyle.MUCOSA, head_and_neck=False)
_GENITAL_SKIN_PAIRED = _Skin(Laterality.PAIRED, ReadingStyle.TRUNK_LIMB, ReadingStyle.MUCOSA, head_and_neck=False)
_GENITAL_MUCOSA = _Skin(Laterality.EITHER_OR_NONE, ReadingStyle.MUCOSA, None, head_and_neck=False)
_GENITAL_MUCOSA_PAIRED = _Skin(Laterality.PAIRED, ReadingStyle.MUCOSA, None, head_and_neck=False)
_GENITAL_MUCOSA_MIDLINE = _Skin(Laterality.MIDLINE, ReadingStyle.MUCOSA, None, head_and_neck=False)
_RIDGED = _Skin(Laterality.PAIRED, ReadingStyle.ACRAL, None, head_and_neck=False)
_RIDGED_EDGE = _Skin(Laterality.PAIRED, ReadingStyle.ACRAL, ReadingStyle.TRUNK_LIMB, head_and_neck=False)
_NEAR_RIDGED = _Skin(Laterality.PAIRED, ReadingStyle.TRUNK_LIMB, ReadingStyle.ACRAL, head_and_neck=False)
_NAIL = _Skin(Laterality.PAIRED, ReadingStyle.NAIL, ReadingStyle.ACRAL, head_and_neck=False)

_NO_TRAIT: frozenset[SiteTrait] = frozenset()
_VAGUE = frozenset((SiteTrait.VAGUE,))
_EYE = frozenset((SiteTrait.EYE,))
_INTIMATE = frozenset((SiteTrait.INTIMATE,))
_IDENTIFIABLE = frozenset((SiteTrait.IDENTIFIABLE,))
_DIGIT = frozenset((SiteTrait.DIGIT,))
_NAIL_OF_DIGIT = frozenset((SiteTrait.DIGIT, SiteTrait.NAIL))
_HAIRY = frozenset((SiteTrait.HAIR,))
_FOLD = frozenset((SiteTrait.FOLD,))
_TRANSITION = frozenset((SiteTrait.TRANSITION,))
_WEIGHT_BEARING = frozenset((SiteTrait.WEIGHT_BEARING,))


class Site(Term):
    """A site of the body.

    Attributes:
        laterality: Whether it has a side.
        reading_style: How a lesion in it is read; none where the place is not known.
        second_style: Another way of reading that applies where the site lies between two kinds of skin.
        head_and_neck: Whether it belongs to head and neck; none where the place is not known.
        map_region: Its region on the body map.
        traits: What is special about it.
        parent_name: Member name of :attr:`parent`, empty for the root.
    """

    laterality: Laterality
    reading_style: ReadingStyle | None
    second_style: ReadingStyle | None
    head_and_neck: bool | None
    map_region: MapRegion
    traits: frozenset[SiteTrait]
    parent_name: str

    def __new__(cls, *cells: object) -> Self:
        """Make one member from the cells of its row, which an enumeration passes one by one."""
        row = _Row._make(cells)
        member = str.__new__(cls, row.code)
        member._value_ = row.code
        member.display = row.display
        member.definition = row.definition
        member.basis = COMMON_PRACTICE
        member.synonyms = row.synonyms
        member.laterality, member.reading_style, member.second_style, member.head_and_neck = row.skin
        member.map_region = row.map_region
        member.traits = row.traits
        member.parent_name = row.parent
        return member

    @property
    def parent(self) -> Site | None:
        """Return the wider site that this one is part of, none for the whole skin."""
        return Site[self.parent_name] if self.parent_name else None

    @property
    def vague(self) -> bool:
        """Return whether it is too wide to find one lesion again."""
        return SiteTrait.VAGUE in self.traits

    @property
    def styles(self) -> frozenset[ReadingStyle]:
        """Return the one or two reading styles that apply, none where the place is not known."""
        return frozenset(style for style in (self.reading_style, self.second_style) if style)

    def within(self, wider: Site) -> bool:
        """Return whether this site is ``wider`` itself or a part of it."""
        site: Site | None = self
        while site is not None and site is not wider:
            site = site.parent
        return site is wider

    SKIN = _Row(
        "skin",
        "skin, site not further given",
        "Skin somewhere, where nobody told the place.",
        _ANY,
        MapRegion.WHOLE_SKIN,
        "",
        _VAGUE,
    )
    HEAD = _Row("head", "head", "Head, part not further given.", _HEAD, MapRegion.HEAD, "SKIN", _VAGUE | _IDENTIFIABLE)
    SCALP = _Row(
        "scalp",
        "scalp",
        "Hair-bearing skin of the head, part not further given.",
        _HEAD,
        MapRegion.HEAD,
        "HEAD",
        _HAIRY,
    )
    SCALP_FRONTAL = _Row(
        "scalp-frontal",
        "scalp, frontal",
        "Scalp behind the hairline of the forehead.",
        _HEAD,
        MapRegion.HEAD_FRONT,
        "SCALP",
        _HAIRY,
    )
    SCALP_VERTEX = _Row(
        "scalp-vertex",
        "scalp, vertex",
        "Top of the head.",
        _HEAD,
        MapRegion.HEAD,
        "SCALP",
        _HAIRY,
        ("crown of the head",),
    )
    SCALP_PARIETAL = _Row(
        "scalp-parietal",
        "scalp, parietal",
        "Scalp above and behind the ear.",
        _HEAD_PAIRED,
        MapRegion.HEAD_SIDE,
        "SCALP",
        _HAIRY,
    )
    SCALP_TEMPORAL = _Row(
        "scalp-temporal",
        "scalp, temporal",
        "Scalp above and in front of the ear.",
        _HEAD_PAIRED,
        MapRegion.HEAD_SIDE,
        "SCALP",
        _HAIRY,
    )
    SCALP_OCCIPITAL = _Row(
        "scalp-occipital",
        "scalp, occipital",
        "Scalp at the back of the head.",
        _HEAD,
        MapRegion.HEAD_BACK,
        "SCALP",
        _HAIRY,
        ("back of the head",),
    )

    FACE = _Row(
        "face", "face", "Face, part not further given.", _HEAD, MapRegion.HEAD_FRONT, "HEAD", _VAGUE | _IDENTIFIABLE
    )
    FOREHEAD = _Row(
        "forehead",
        "forehead",
        "Between the eyebrows and the hairline.",
        _HEAD,
        MapRegion.HEAD_FRONT,
        "FACE",
        _IDENTIFIABLE,
        ("brow",),
    )
    TEMPLE = _Row(
        "temple",
        "temple",
        "Beside the forehead, in front of the hairline.",
        _HEAD_PAIRED,
        MapRegion.HEAD_SIDE,
        "FACE",
        _IDENTIFIABLE,
    )
    EYEBROW = _Row(
        "eyebrow",
        "eyebrow",
        "Eyebrow and the skin under its hair.",
        _HEAD_PAIRED,
        MapRegion.HEAD_FRONT,
        "FACE",
        _HAIRY | _IDENTIFIABLE,
    )
    EYELID_UPPER = _Row(
        "eyelid-upper",
        "upper eyelid",
        "Skin and margin of the upper lid.",
        _EYELID,
        MapRegion.HEAD_FRONT,
        "FACE",
        _EYE | _IDENTIFIABLE,
    )
    EYELID_LOWER = _Row(
        "eyelid-lower",
        "lower eyelid",
        "Skin and margin of the lower lid.",
        _EYELID,
        MapRegion.HEAD_FRONT,
        "FACE",
        _EYE | _IDENTIFIABLE,
    )
    CANTHUS_INNER = _Row(
        "canthus-inner",
        "inner canthus",
        "Where the lids meet beside the nose.",
        _HEAD_PAIRED,
        MapRegion.HEAD_FRONT,
        "FACE",
        _EYE | _IDENTIFIABLE,
        ("medial canthus",),
    )
    CANTHUS_OUTER = _Row(
        "canthus-outer",
        "outer canthus",
        "Where the lids meet beside the temple.",
        _HEAD_PAIRED,
        MapRegion.HEAD_FRONT,
        "FACE",
        _EYE | _IDENTIFIABLE,
        ("lateral canthus",),
    )
    CONJUNCTIVA = _Row(
        "conjunctiva",
        "conjunctiva",
        "Lining of the lids and of the white of the eye.",
        _HEAD_MUCOSA_PAIRED,
        MapRegion.HEAD_FRONT,
        "FACE",
        _EYE,
    )
    CHEEK = _Row(
        "cheek",
        "cheek",
        "Between eye, nose, mouth and jaw.",
        _HEAD_PAIRED,
        MapRegion.HEAD_FRONT,
        "FACE",
        _IDENTIFIABLE,
        ("malar area",),
    )
    ZYGOMA = _Row(
        "zygoma",
        "cheekbone area",
        "Over the cheekbone.",
        _HEAD_PAIRED,
        MapRegion.HEAD_FRONT,
        "FACE",
        _IDENTIFIABLE,
        ("zygomatic area",),
    )
    NASOLABIAL_FOLD = _Row(
        "nasolabial-fold",
        "nasolabial fold",
        "Fold from the side of the nose to the corner of the mouth.",
        _HEAD_PAIRED,
        MapRegion.HEAD_FRONT,
        "FACE",
        _IDENTIFIABLE,
    )
    NOSE = _Row("nose", "nose", "Nose, part not further given.", _HEAD, MapRegion.HEAD_FRONT, "FACE", _IDENTIFIABLE)
    NOSE_BRIDGE = _Row(
        "nose-bridge",
        "bridge of nose",
        "Ridge of the nose from its root to the tip.",
        _HEAD_MIDLINE,
        MapRegion.HEAD_FRONT,
        "NOSE",
        _IDENTIFIABLE,
        ("dorsum of nose",),
    )
    NOSE_TIP = _Row(
        "nose-tip",
        "tip of nose",
        "Foremost part of the nose.",
        _HEAD_MIDLINE,
        MapRegion.HEAD_FRONT,
        "NOSE",
        _IDENTIFIABLE,
    )
    NOSE_ALA = _Row(
        "nose-ala",
        "ala of nose",
        "Wing of the nostril.",
        _HEAD_PAIRED,
        MapRegion.HEAD_FRONT,
        "NOSE",
        _IDENTIFIABLE,
        ("ala nasi",),
    )
    NOSTRIL_MUCOSA = _Row(
        "nostril-mucosa",
        "nasal vestibule",
        "Lining just inside the nostril.",
        _HEAD_MUCOSA_PAIRED,
        MapRegion.HEAD_FRONT,
        "NOSE",
    )
    LIP_UPPER_SKIN = _Row(
        "lip-upper-skin",
        "upper lip, skin",
        "Skin between nose and red of the upper lip.",
        _HEAD,
        MapRegion.HEAD_FRONT,
        "FACE",
        _IDENTIFIABLE,
        ("cutaneous upper lip",),
    )
    LIP_LOWER_SKIN = _Row(
        "lip-lower-skin",
        "lower lip, skin",
        "Skin between red of the lower lip and chin.",
        _HEAD,
        MapRegion.HEAD_FRONT,
        "FACE",
        _IDENTIFIABLE,
        ("cutaneous lower lip",),
    )
    LIP_UPPER_VERMILION = _Row(
        "lip-upper-vermilion",
        "upper lip, vermilion",
        "Red of the upper lip.",
        _VERMILION,
        MapRegion.MOUTH,
        "FACE",
        _IDENTIFIABLE,
    )
    LIP_LOWER_VERMILION = _Row(
        "lip-lower-vermilion",
        "lower lip, vermilion",
        "Red of the lower lip.",
        _VERMILION,
        MapRegion.MOUTH,
        "FACE",
        _IDENTIFIABLE,
    )
    CHIN = _Row("chin", "chin", "Below the lower lip.", _HEAD, MapRegion.HEAD_FRONT, "FACE", _IDENTIFIABLE)
    JAW = _Row(
        "jaw", "jaw line", "Along the edge of the lower jaw.", _HEAD_PAIRED, MapRegion.HEAD_FRONT, "FACE", _IDENTIFIABLE
    )

    EAR = _Row(
        "ear",
        "external ear",
        "Ear, part not further given.",
        _HEAD_PAIRED,
        MapRegion.HEAD_SIDE,
        "HEAD",
        _NO_TRAIT,
        ("auricle",),
    )
    EAR_HELIX = _Row("ear-helix", "helix of ear", "Outer rim of the ear.", _HEAD_PAIRED, MapRegion.HEAD_SIDE, "EAR")
    EAR_ANTIHELIX_CONCHA = _Row(
        "ear-antihelix-concha",
        "antihelix and concha",
        "Inner rim and bowl of the ear.",
        _HEAD_PAIRED,
        MapRegion.HEAD_SIDE,
        "EAR",
    )
    EAR_LOBE = _Row("ear-lobe", "ear lobe", "Soft lower end of the ear.", _HEAD_PAIRED, MapRegion.HEAD_SIDE, "EAR")
    EAR_POSTERIOR = _Row(
        "ear-posterior",
        "back of ear",
        "Surface of the ear that faces the head.",
        _HEAD_PAIRED,
        MapRegion.HEAD_SIDE,
        "EAR",
    )
    EAR_CANAL = _Row(
        "ear-canal",
        "external ear canal",
        "Skin of the canal that leads inwards.",
        _HEAD_PAIRED,
        MapRegion.HEAD_SIDE,
        "EAR",
    )
    PREAURICULAR = _Row(
        "preauricular",
        "in front of the ear",
        "Strip of the face before the ear.",
        _HEAD_PAIRED,
        MapRegion.HEAD_SIDE,
        "FACE",
        _NO_TRAIT,
        ("preauricular area",),
    )
    POSTAURICULAR = _Row(
        "postauricular",
        "behind the ear",
        "Over the bone behind the ear.",
        _BEHIND_EAR,
        MapRegion.HEAD_SIDE,
        "HEAD",
        _NO_TRAIT,
        ("mastoid area", "retroauricular area"),
    )

    MOUTH_MUCOSA = _Row(
        "mouth-mucosa",
        "oral mucosa",
        "Lining of the mouth, part not further given.",
        _HEAD_MUCOSA,
        MapRegion.MOUTH,
        "HEAD",
    )
    TONGUE = _Row("tongue", "tongue", "Any surface of the tongue.", _HEAD_MUCOSA, MapRegion.MOUTH, "MOUTH_MUCOSA")
    GUM = _Row(
        "gum", "gum", "Lining round the teeth.", _HEAD_MUCOSA, MapRegion.MOUTH, "MOUTH_MUCOSA", _NO_TRAIT, ("gingiva",)
    )
    PALATE = _Row("palate", "palate", "Roof of the mouth.", _HEAD_MUCOSA, MapRegion.MOUTH, "MOUTH_MUCOSA")
    BUCCAL_MUCOSA = _Row(
        "buccal-mucosa",
        "inner cheek",
        "Lining of the cheek.",
        _HEAD_MUCOSA_PAIRED,
        MapRegion.MOUTH,
        "MOUTH_MUCOSA",
        _NO_TRAIT,
        ("buccal mucosa",),
    )

    NECK = _Row("neck", "neck", "Neck, part not further given.", _NECK, MapRegion.HEAD, "SKIN")
    NECK_ANTERIOR = _Row(
        "neck-anterior", "neck, front", "Between chin and collarbones.", _NECK, MapRegion.HEAD_FRONT, "NECK"
    )
    NECK_LATERAL = _Row(
        "neck-lateral", "neck, side", "Between ear and shoulder.", _NECK_PAIRED, MapRegion.HEAD_SIDE, "NECK"
    )
    NECK_POSTERIOR = _Row(
        "neck-posterior",
        "neck, back",
        "Below the hair at the back of the head.",
        _NAPE,
        MapRegion.HEAD_BACK,
        "NECK",
        _HAIRY,
        ("nape",),
    )

    TRUNK = _Row("trunk", "trunk", "Trunk, part not further given.", _BODY, MapRegion.BODY_EITHER, "SKIN", _VAGUE)
    CHEST = _Row("chest", "chest", "Front of the trunk above the lower ribs.", _BODY, MapRegion.BODY_FRONT, "TRUNK")
    STERNUM = _Row(
        "sternum",
        "over the breastbone",
        "Midline of the chest.",
        _BODY_MIDLINE,
        MapRegion.BODY_FRONT,
        "CHEST",
        _NO_TRAIT,
        ("sternal area",),
    )
    CLAVICLE = _Row(
        "clavicle",
        "over the collarbone",
        "Along and just below the collarbone.",
        _BODY_PAIRED,
        MapRegion.BODY_FRONT,
        "CHEST",
        _NO_TRAIT,
        ("clavicular area",),
    )
    BREAST = _Row(
        "breast",
        "breast",
        "Skin of the breast outside the areola.",
        _BODY_PAIRED,
        MapRegion.BODY_FRONT,
        "CHEST",
        _INTIMATE,
    )
    NIPPLE_AREOLA = _Row(
        "nipple-areola",
        "nipple and areola",
        "Nipple and the darker skin round it.",
        _BODY_PAIRED,
        MapRegion.BODY_FRONT,
        "BREAST",
        _INTIMATE,
    )
    INFRAMAMMARY_FOLD = _Row(
        "inframammary-fold",
        "fold below the breast",
        "Where the breast rests on the chest.",
        _BODY_PAIRED,
        MapRegion.BODY_FRONT,
        "CHEST",
        _INTIMATE | _FOLD,
        ("inframammary fold",),
    )
    AXILLA = _Row(
        "axilla",
        "armpit",
        "Hollow under the arm.",
        _BODY_PAIRED,
        MapRegion.BODY_EITHER,
        "TRUNK",
        _FOLD | _HAIRY,
        ("axilla",),
    )
    FLANK = _Row(
        "flank", "flank", "Side of the trunk between ribs and hip.", _BODY_PAIRED, MapRegion.BODY_EITHER, "TRUNK"
    )
    ABDOMEN = _Row(
        "abdomen",
        "abdomen",
        "Front of the trunk below the ribs, part not further given.",
        _BODY,
        MapRegion.BODY_FRONT,
        "TRUNK",
        _NO_TRAIT,
        ("belly",),
    )
    ABDOMEN_UPPER = _Row(
        "abdomen-upper", "upper abdomen", "Between the ribs and the navel.", _BODY, MapRegion.BODY_FRONT, "ABDOMEN"
    )
    ABDOMEN_LOWER = _Row(
        "abdomen-lower",
        "lower abdomen",
        "Between the navel and the pubic area.",
        _BODY,
        MapRegion.BODY_FRONT,
        "ABDOMEN",
    )
    UMBILICUS = _Row(
        "umbilicus",
        "navel",
        "Navel and its rim.",
        _BODY_MIDLINE,
        MapRegion.BODY_FRONT,
        "ABDOMEN",
        _NO_TRAIT,
        ("umbilicus",),
    )
    GROIN = _Row(
        "groin",
        "groin",
        "Fold between trunk and thigh.",
        _BODY_PAIRED,
        MapRegion.GROIN,
        "TRUNK",
        _FOLD | _INTIMATE,
        ("inguinal area",),
    )
    PUBIC_AREA = _Row(
        "pubic-area",
        "pubic area",
        "Hair-bearing skin over the pubic bone.",
        _BODY,
        MapRegion.GROIN,
        "TRUNK",
        _HAIRY | _INTIMATE,
        ("mons pubis",),
    )

    BACK = _Row("back", "back", "Back of the trunk, part not further given.", _BODY, MapRegion.BODY_BACK, "TRUNK")
    BACK_UPPER = _Row("back-upper", "upper back", "Back of the chest.", _BODY, MapRegion.BODY_BACK, "BACK")
    SCAPULAR_AREA = _Row(
        "scapular-area",
        "over the shoulder blade",
        "Over the shoulder blade.",
        _BODY_PAIRED,
        MapRegion.BODY_BACK,
        "BACK",
        _NO_TRAIT,
        ("scapular area",),
    )
    INTERSCAPULAR_AREA = _Row(
        "interscapular-area",
        "between the shoulder blades",
        "Between the shoulder blades.",
        _BODY,
        MapRegion.BODY_BACK,
        "BACK",
        _NO_TRAIT,
        ("interscapular area",),
    )
    BACK_LOWER = _Row(
        "back-lower",
        "lower back",
        "Between the ribs and the buttocks.",
        _BODY,
        MapRegion.BODY_BACK,
        "BACK",
        _NO_TRAIT,
        ("lumbar area",),
    )
    SACRAL_AREA = _Row(
        "sacral-area",
        "over the sacrum",
        "Above the natal cleft.",
        _BODY,
        MapRegion.BODY_BACK,
        "BACK",
        _NO_TRAIT,
        ("sacral area",),
    )
    BUTTOCK = _Row(
        "buttock",
        "buttock",
        "Skin over the seat.",
        _BODY_PAIRED,
        MapRegion.BODY_BACK,
        "TRUNK",
        _INTIMATE,
        ("gluteal area",),
    )
    NATAL_CLEFT = _Row(
        "natal-cleft",
        "natal cleft",
        "Furrow between the buttocks.",
        _BODY_MIDLINE,
        MapRegion.GENITAL,
        "TRUNK",
        _FOLD | _INTIMATE,
        ("intergluteal cleft",),
    )
    PERINEUM = _Row(
        "perineum", "perineum", "Between the genitalia and the anus.", _PERINEUM, MapRegion.GENITAL, "TRUNK", _INTIMATE
    )
    PERIANAL_SKIN = _Row(
        "perianal-skin",
        "skin round the anus",
        "Skin round the anus, outside its margin.",
        _GENITAL_SKIN,
        MapRegion.GENITAL,
        "TRUNK",
        _INTIMATE,
        ("perianal skin",),
    )
    ANAL_MUCOSA = _Row(
        "anal-mucosa",
        "anal margin and mucosa",
        "Margin of the anus and the lining inside it.",
        _GENITAL_MUCOSA,
        MapRegion.GENITAL,
        "TRUNK",
        _INTIMATE,
    )

    EXTERNAL_GENITALIA = _Row(
        "external-genitalia",
        "external genitalia",
        "External genitalia, part not further given.",
        _GENITAL,
        MapRegion.GENITAL,
        "SKIN",
        _VAGUE | _INTIMATE,
    )
    PENIS_SHAFT = _Row(
        "penis-shaft",
        "penis, shaft",
        "Skin of the shaft.",
        _GENITAL_SKIN,
        MapRegion.GENITAL,
        "EXTERNAL_GENITALIA",
        _INTIMATE,
    )
    PREPUCE = _Row(
        "prepuce",
        "foreskin",
        "Outer and inner surface of the foreskin.",
        _GENITAL,
        MapRegion.GENITAL,
        "EXTERNAL_GENITALIA",
        _INTIMATE,
        ("prepuce",),
    )
    GLANS = _Row(
        "glans",
        "glans penis",
        "Glans and its furrow.",
        _GENITAL_MUCOSA,
        MapRegion.GENITAL,
        "EXTERNAL_GENITALIA",
        _INTIMATE,
    )
    SCROTUM = _Row(
        "scrotum", "scrotum", "Skin of the scrotum.", _BODY, MapRegion.GENITAL, "EXTERNAL_GENITALIA", _INTIMATE
    )
    LABIUM_MAJUS = _Row(
        "labium-majus",
        "labium majus",
        "Outer lip of the vulva.",
        _GENITAL_SKIN_PAIRED,
        MapRegion.GENITAL,
        "EXTERNAL_GENITALIA",
        _INTIMATE,
    )
    LABIUM_MINUS = _Row(
        "labium-minus",
        "labium minus",
        "Inner lip of the vulva.",
        _GENITAL_MUCOSA_PAIRED,
        MapRegion.GENITAL,
        "EXTERNAL_GENITALIA",
        _INTIMATE,
    )
    CLITORAL_AREA = _Row(
        "clitoral-area",
        "clitoral area",
        "Clitoris and its hood.",
        _GENITAL_MUCOSA_MIDLINE,
        MapRegion.GENITAL,
        "EXTERNAL_GENITALIA",
        _INTIMATE,
    )
    VULVAL_VESTIBULE = _Row(
        "vulval-vestibule",
        "vestibule of vulva",
        "Between the inner lips.",
        _GENITAL_MUCOSA,
        MapRegion.GENITAL,
        "EXTERNAL_GENITALIA",
        _INTIMATE,
    )

    UPPER_LIMB = _Row(
        "upper-limb",
        "upper limb",
        "Arm or hand, part not further given.",
        _BODY_PAIRED,
        MapRegion.BODY_EITHER,
        "SKIN",
        _VAGUE,
        ("arm",),
    )
    SHOULDER = _Row(
        "shoulder", "shoulder", "Over the shoulder joint.", _BODY_PAIRED, MapRegion.BODY_EITHER, "UPPER_LIMB"
    )
    UPPER_ARM_OUTER = _Row(
        "upper-arm-outer",
        "upper arm, outer side",
        "Between shoulder and elbow, away from the trunk.",
        _BODY_PAIRED,
        MapRegion.BODY_EITHER,
        "UPPER_LIMB",
    )
    UPPER_ARM_INNER = _Row(
        "upper-arm-inner",
        "upper arm, inner side",
        "Between armpit and elbow, towards the trunk.",
        _BODY_PAIRED,
        MapRegion.BODY_EITHER,
        "UPPER_LIMB",
    )
    ELBOW = _Row("elbow", "elbow", "Over the point of the elbow.", _BODY_PAIRED, MapRegion.BODY_EITHER, "UPPER_LIMB")
    ELBOW_CREASE = _Row(
        "elbow-crease",
        "elbow crease",
        "Front of the elbow.",
        _BODY_PAIRED,
        MapRegion.BODY_EITHER,
        "UPPER_LIMB",
        _FOLD,
        ("antecubital fossa",),
    )
    FOREARM = _Row(
        "forearm",
        "forearm",
        "Between elbow and wrist, side not further given.",
        _BODY_PAIRED,
        MapRegion.BODY_EITHER,
        "UPPER_LIMB",
    )
    FOREARM_EXTENSOR = _Row(
        "forearm-extensor",
        "forearm, back",
        "Extensor side of the forearm.",
        _BODY_PAIRED,
        MapRegion.BODY_EITHER,
        "FOREARM",
        _NO_TRAIT,
        ("extensor forearm",),
    )
    FOREARM_FLEXOR = _Row(
        "forearm-flexor",
        "forearm, front",
        "Flexor side of the forearm.",
        _BODY_PAIRED,
        MapRegion.BODY_EITHER,
        "FOREARM",
        _NO_TRAIT,
        ("flexor forearm",),
    )
    WRIST = _Row("wrist", "wrist", "Between forearm and hand, all round.", _NEAR_RIDGED, MapRegion.HAND, "UPPER_LIMB")

    HAND = _Row("hand", "hand", "Hand, part not further given.", _NEAR_RIDGED, MapRegion.HAND, "UPPER_LIMB", _VAGUE)
    HAND_DORSUM = _Row(
        "hand-dorsum",
        "back of hand",
        "Back of the hand without the fingers.",
        _BODY_PAIRED,
        MapRegion.HAND_BACK,
        "HAND",
        _NO_TRAIT,
        ("dorsum of hand",),
    )
    PALM = _Row(
        "palm", "palm", "Ridged skin of the palm, part not further given.", _RIDGED, MapRegion.HAND_PALM, "HAND"
    )
    PALM_THENAR = _Row(
        "palm-thenar",
        "palm, thumb side",
        "Over the ball of the thumb.",
        _RIDGED,
        MapRegion.HAND_PALM,
        "PALM",
        _NO_TRAIT,
        ("thenar eminence",),
    )
    PALM_HYPOTHENAR = _Row(
        "palm-hypothenar",
        "palm, little-finger side",
        "Over the ball of the little finger.",
        _RIDGED,
        MapRegion.HAND_PALM,
        "PALM",
        _NO_TRAIT,
        ("hypothenar eminence",),
    )
    HAND_EDGE_ULNAR = _Row(
        "hand-edge-ulnar",
        "edge of hand",
        "Little-finger edge, where ridged and hairy skin meet.",
        _RIDGED_EDGE,
        MapRegion.HAND,
        "HAND",
        _TRANSITION,
        ("ulnar edge of hand",),
    )
    FINGER_WEB = _Row(
        "finger-web",
        "web between fingers",
        "Skin between two fingers.",
        _RIDGED_EDGE,
        MapRegion.HAND,
        "HAND",
        _TRANSITION,
        ("interdigital skin of hand",),
    )

    THUMB_PALMAR = _Row(
        "thumb-palmar",
        "thumb, palm side",
        "Ridged skin of the thumb, tip included.",
        _RIDGED,
        MapRegion.HAND_PALM,
        "HAND",
        _DIGIT,
    )
    THUMB_DORSAL = _Row(
        "thumb-dorsal",
        "thumb, back",
        "Back and sides of the thumb, outside the nail unit.",
        _NEAR_RIDGED,
        MapRegion.HAND_BACK,
        "HAND",
        _DIGIT,
    )
    THUMB_NAIL = _Row(
        "thumb-nail",
        "thumb, nail unit",
        "Plate, bed, matrix and folds of the nail of the thumb.",
        _NAIL,
        MapRegion.FINGERNAILS,
        "THUMB_DORSAL",
        _NAIL_OF_DIGIT,
        ("thumbnail",),
    )
    INDEX_FINGER_PALMAR = _Row(
        "index-finger-palmar",
        "index finger, palm side",
        "Ridged skin of the index finger, tip included.",
        _RIDGED,
        MapRegion.HAND_PALM,
        "HAND",
        _DIGIT,
    )
    INDEX_FINGER_DORSAL = _Row(
        "index-finger-dorsal",
        "index finger, back",
        "Back and sides of the index finger, outside the nail unit.",
        _NEAR_RIDGED,
        MapRegion.HAND_BACK,
        "HAND",
        _DIGIT,
    )
    INDEX_FINGER_NAIL = _Row(
        "index-finger-nail",
        "index finger, nail unit",
        "Plate, bed, matrix and folds of the nail of the index finger.",
        _NAIL,
        MapRegion.FINGERNAILS,
        "INDEX_FINGER_DORSAL",
        _NAIL_OF_DIGIT,
        ("index fingernail",),
    )
    MIDDLE_FINGER_PALMAR = _Row(
        "middle-finger-palmar",
        "middle finger, palm side",
        "Ridged skin of the middle finger, tip included.",
        _RIDGED,
        MapRegion.HAND_PALM,
        "HAND",
        _DIGIT,
    )
    MIDDLE_FINGER_DORSAL = _Row(
        "middle-finger-dorsal",
        "middle finger, back",
        "Back and sides of the middle finger, outside the nail unit.",
        _NEAR_RIDGED,
        MapRegion.HAND_BACK,
        "HAND",
        _DIGIT,
    )
    MIDDLE_FINGER_NAIL = _Row(
        "middle-finger-nail",
        "middle finger, nail unit",
        "Plate, bed, matrix and folds of the nail of the middle finger.",
        _NAIL,
        MapRegion.FINGERNAILS,
        "MIDDLE_FINGER_DORSAL",
        _NAIL_OF_DIGIT,
        ("middle fingernail",),
    )
    RING_FINGER_PALMAR = _Row(
        "ring-finger-palmar",
        "ring finger, palm side",
        "Ridged skin of the ring finger, tip included.",
        _RIDGED,
        MapRegion.HAND_PALM,
        "HAND",
        _DIGIT,
    )
    RING_FINGER_DORSAL = _Row(
        "ring-finger-dorsal",
        "ring finger, back",
        "Back and sides of the ring finger, outside the nail unit.",
        _NEAR_RIDGED,
        MapRegion.HAND_BACK,
        "HAND",
        _DIGIT,
    )
    RING_FINGER_NAIL = _Row(
        "ring-finger-nail",
        "ring finger, nail unit",
        "Plate, bed, matrix and folds of the nail of the ring finger.",
        _NAIL,
        MapRegion.FINGERNAILS,
        "RING_FINGER_DORSAL",
        _NAIL_OF_DIGIT,
        ("ring fingernail",),
    )
    LITTLE_FINGER_PALMAR = _Row(
        "little-finger-palmar",
        "little finger, palm side",
        "Ridged skin of the little finger, tip included.",
        _RIDGED,
        MapRegion.HAND_PALM,
        "HAND",
        _DIGIT,
    )
    LITTLE_FINGER_DORSAL = _Row(
        "little-finger-dorsal",
        "little finger, back",
        "Back and sides of the little finger, outside the nail unit.",
        _NEAR_RIDGED,
        MapRegion.HAND_BACK,
        "HAND",
        _DIGIT,
    )
    LITTLE_FINGER_NAIL = _Row(
        "little-finger-nail",
        "little finger, nail unit",
        "Plate, bed, matrix and folds of the nail of the little finger.",
        _NAIL,
        MapRegion.FINGERNAILS,
        "LITTLE_FINGER_DORSAL",
        _NAIL_OF_DIGIT,
        ("little fingernail",),
    )

    LOWER_LIMB = _Row(
        "lower-limb",
        "lower limb",
        "Leg or foot, part not further given.",
        _BODY_PAIRED,
        MapRegion.BODY_EITHER,
        "SKIN",
        _VAGUE,
        ("leg",),
    )
    HIP = _Row("hip", "hip", "Over the hip joint.", _BODY_PAIRED, MapRegion.BODY_EITHER, "LOWER_LIMB")
    THIGH_ANTERIOR = _Row(
        "thigh-anterior", "thigh, front", "Between groin and knee.", _BODY_PAIRED, MapRegion.BODY_FRONT, "LOWER_LIMB"
    )
    THIGH_POSTERIOR = _Row(
        "thigh-posterior",
        "thigh, back",
        "Between buttock and hollow of the knee.",
        _BODY_PAIRED,
        MapRegion.BODY_BACK,
        "LOWER_LIMB",
    )
    THIGH_MEDIAL = _Row(
        "thigh-medial",
        "thigh, inner side",
        "Side of the thigh towards the other.",
        _BODY_PAIRED,
        MapRegion.BODY_EITHER,
        "LOWER_LIMB",
    )
    THIGH_LATERAL = _Row(
        "thigh-lateral",
        "thigh, outer side",
        "Side of the thigh away from the other.",
        _BODY_PAIRED,
        MapRegion.BODY_EITHER,
        "LOWER_LIMB",
    )
    KNEE = _Row("knee", "knee", "Front and sides of the knee.", _BODY_PAIRED, MapRegion.BODY_EITHER, "LOWER_LIMB")
    KNEE_HOLLOW = _Row(
        "knee-hollow",
        "hollow of the knee",
        "Back of the knee.",
        _BODY_PAIRED,
        MapRegion.BODY_BACK,
        "LOWER_LIMB",
        _FOLD,
        ("popliteal fossa",),
    )
    LOWER_LEG = _Row(
        "lower-leg",
        "lower leg",
        "Between knee and ankle, side not further given.",
        _BODY_PAIRED,
        MapRegion.BODY_EITHER,
        "LOWER_LIMB",
    )
    SHIN = _Row(
        "shin",
        "shin",
        "Front of the lower leg.",
        _BODY_PAIRED,
        MapRegion.BODY_FRONT,
        "LOWER_LEG",
        _NO_TRAIT,
        ("pretibial area",),
    )
    CALF = _Row("calf", "calf", "Back of the lower leg.", _BODY_PAIRED, MapRegion.BODY_BACK, "LOWER_LEG")
    ANKLE = _Row("ankle", "ankle", "Between lower leg and foot, all round.", _BODY_PAIRED, MapRegion.FOOT, "LOWER_LIMB")

    FOOT = _Row("foot", "foot", "Foot, part not further given.", _NEAR_RIDGED, MapRegion.FOOT, "LOWER_LIMB", _VAGUE)
    FOOT_DORSUM = _Row(
        "foot-dorsum",
        "top of foot",
        "Top of the foot without the toes.",
        _BODY_PAIRED,
        MapRegion.FOOT_TOP,
        "FOOT",
        _NO_TRAIT,
        ("dorsum of foot",),
    )
    SOLE = _Row(
        "sole", "sole", "Ridged skin of the sole, part not further given.", _RIDGED, MapRegion.FOOT_SOLE, "FOOT"
    )
    SOLE_FOREFOOT = _Row(
        "sole-forefoot",
        "sole, ball of foot",
        "Pad behind the toes.",
        _RIDGED,
        MapRegion.FOOT_SOLE,
        "SOLE",
        _WEIGHT_BEARING,
        ("ball of the foot",),
    )
    SOLE_ARCH = _Row(
        "sole-arch",
        "sole, arch",
        "Hollow between ball and heel.",
        _RIDGED,
        MapRegion.FOOT_SOLE,
        "SOLE",
        _NO_TRAIT,
        ("plantar arch",),
    )
    HEEL = _Row(
        "heel", "heel", "Pad of the heel and its back edge.", _RIDGED, MapRegion.FOOT_SOLE, "FOOT", _WEIGHT_BEARING
    )
    FOOT_EDGE_LATERAL = _Row(
        "foot-edge-lateral",
        "outer edge of foot",
        "Little-toe edge, where ridged and hairy skin meet.",
        _RIDGED_EDGE,
        MapRegion.FOOT,
        "FOOT",
        _TRANSITION,
        ("lateral edge of foot",),
    )
    FOOT_EDGE_MEDIAL = _Row(
        "foot-edge-medial",
        "inner edge of foot",
        "Great-toe edge, where ridged and hairy skin meet.",
        _RIDGED_EDGE,
        MapRegion.FOOT,
        "FOOT",
        _TRANSITION,
        ("medial edge of foot",),
    )
    TOE_WEB = _Row(
        "toe-web",
        "web between toes",
        "Skin between two toes.",
        _RIDGED_EDGE,
        MapRegion.FOOT,
        "FOOT",
        _TRANSITION,
        ("interdigital skin of foot",),
    )

    GREAT_TOE_PLANTAR = _Row(
        "great-toe-plantar",
        "great toe, sole side",
        "Ridged skin of the great toe, tip included.",
        _RIDGED,
        MapRegion.FOOT_SOLE,
        "FOOT",
        _DIGIT,
        ("big toe, sole side",),
    )
    GREAT_TOE_DORSAL = _Row(
        "great-toe-dorsal",
        "great toe, top",
        "Top and sides of the great toe, outside the nail unit.",
        _NEAR_RIDGED,
        MapRegion.FOOT_TOP,
        "FOOT",
        _DIGIT,
        ("big toe, top",),
    )
    GREAT_TOE_NAIL = _Row(
        "great-toe-nail",
        "great toe, nail unit",
        "Plate, bed, matrix and folds of the nail of the great toe.",
        _NAIL,
        MapRegion.TOENAILS,
        "GREAT_TOE_DORSAL",
        _NAIL_OF_DIGIT,
        ("big toenail",),
    )
    SECOND_TOE_PLANTAR = _Row(
        "second-toe-plantar",
        "second toe, sole side",
        "Ridged skin of the second toe, tip included.",
        _RIDGED,
        MapRegion.FOOT_SOLE,
        "FOOT",
        _DIGIT,
    )
    SECOND_TOE_DORSAL = _Row(
        "second-toe-dorsal",
        "second toe, top",
        "Top and sides of the second toe, outside the nail unit.",
        _NEAR_RIDGED,
        MapRegion.FOOT_TOP,
        "FOOT",
        _DIGIT,
    )
    SECOND_TOE_NAIL = _Row(
        "second-toe-nail",
        "second toe, nail unit",
        "Plate, bed, matrix and folds of the nail of the second toe.",
        _NAIL,
        MapRegion.TOENAILS,
        "SECOND_TOE_DORSAL",
        _NAIL_OF_DIGIT,
        ("second toenail",),
    )
    THIRD_TOE_PLANTAR = _Row(
        "third-toe-plantar",
        "third toe, sole side",
        "Ridged skin of the third toe, tip included.",
        _RIDGED,
        MapRegion.FOOT_SOLE,
        "FOOT",
        _DIGIT,
    )
    THIRD_TOE_DORSAL = _Row(
        "third-toe-dorsal",
        "third toe, top",
        "Top and sides of the third toe, outside the nail unit.",
        _NEAR_RIDGED,
        MapRegion.FOOT_TOP,
        "FOOT",
        _DIGIT,
    )
    THIRD_TOE_NAIL = _Row(
        "third-toe-nail",
        "third toe, nail unit",
        "Plate, bed, matrix and folds of the nail of the third toe.",
        _NAIL,
        MapRegion.TOENAILS,
        "THIRD_TOE_DORSAL",
        _NAIL_OF_DIGIT,
        ("third toenail",),
    )
    FOURTH_TOE_PLANTAR = _Row(
        "fourth-toe-plantar",
        "fourth toe, sole side",
        "Ridged skin of the fourth toe, tip included.",
        _RIDGED,
        MapRegion.FOOT_SOLE,
        "FOOT",
        _DIGIT,
    )
    FOURTH_TOE_DORSAL = _Row(
        "fourth-toe-dorsal",
        "fourth toe, top",
        "Top and sides of the fourth toe, outside the nail unit.",
        _NEAR_RIDGED,
        MapRegion.FOOT_TOP,
        "FOOT",
        _DIGIT,
    )
    FOURTH_TOE_NAIL = _Row(
        "fourth-toe-nail",
        "fourth toe, nail unit",
        "Plate, bed, matrix and folds of the nail of the fourth toe.",
        _NAIL,
        MapRegion.TOENAILS,
        "FOURTH_TOE_DORSAL",
        _NAIL_OF_DIGIT,
        ("fourth toenail",),
    )
    FIFTH_TOE_PLANTAR = _Row(
        "fifth-toe-plantar",
        "fifth toe, sole side",
        "Ridged skin of the fifth toe, tip included.",
        _RIDGED,
        MapRegion.FOOT_SOLE,
        "FOOT",
        _DIGIT,
        ("little toe, sole side",),
    )
    FIFTH_TOE_DORSAL = _Row(
        "fifth-toe-dorsal",
        "fifth toe, top",
        "Top and sides of the fifth toe, outside the nail unit.",
        _NEAR_RIDGED,
        MapRegion.FOOT_TOP,
        "FOOT",
        _DIGIT,
        ("little toe, top",),
    )
    FIFTH_TOE_NAIL = _Row(
        "fifth-toe-nail",
        "fifth toe, nail unit",
        "Plate, bed, matrix and folds of the nail of the fifth toe.",
        _NAIL,
        MapRegion.TOENAILS,
        "FIFTH_TOE_DORSAL",
        _NAIL_OF_DIGIT,
        ("little toenail",),
    )
