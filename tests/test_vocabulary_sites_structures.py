"""The tables of sites and structures, checked against published lists and against their own rules."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from dermreport.sources import Basis, Known, Source
from dermreport.vocabulary.body_maps import BodyMap
from dermreport.vocabulary.colours import Colour
from dermreport.vocabulary.depths import Depth
from dermreport.vocabulary.elements import Element
from dermreport.vocabulary.lateralities import Laterality
from dermreport.vocabulary.light_fits import LightFit
from dermreport.vocabulary.map_regions import MapRegion
from dermreport.vocabulary.reading_styles import ReadingStyle
from dermreport.vocabulary.site_traits import SiteTrait
from dermreport.vocabulary.sites import Site
from dermreport.vocabulary.structure_kinds import StructureKind
from dermreport.vocabulary.structures import Structure

if TYPE_CHECKING:
    from dermreport.vocabulary.term import Term

TABLES: list[type[Term]] = [
    Depth,
    Element,
    Laterality,
    LightFit,
    MapRegion,
    ReadingStyle,
    Site,
    SiteTrait,
    Structure,
    StructureKind,
]
ROWS = [row for table in TABLES for row in table]

#: Thumb to little finger and great to fifth toe, common practice, no source.
FINGERS = ["THUMB", "INDEX_FINGER", "MIDDLE_FINGER", "RING_FINGER", "LITTLE_FINGER"]
TOES = ["GREAT_TOE", "SECOND_TOE", "THIRD_TOE", "FOURTH_TOE", "FIFTH_TOE"]

#: The five elements of the descriptive terminology, and its word for an area without them:
#: third consensus conference, 2016, doi:10.1016/j.jaad.2015.12.038 (abstract: «5 basic terms»; the terms themselves
#: on the terminology pages of the same society).
PUBLISHED_ELEMENTS = {
    "line": "line",
    "pseudopod": "pseudopod",
    "circle": "circle",
    "clod": "clod",
    "dot": "dot",
    "structureless": "structureless",
}

#: Pairs of descriptive and metaphoric names, as printed on https://dermoscopedia.org/Terminology_Lines.
PUBLISHED_PAIRS_OF_LINES = [
    (Structure.NETWORK, "lines reticular", "pigment network"),
    (Structure.NETWORK_THICK, "lines reticular thick", "broadened network"),
    (Structure.NETWORK_DELICATE, "lines reticular thin", "delicate network"),
    (Structure.NETWORK_ATYPICAL, "lines reticular thick varying color", "atypical pigment network"),
    (Structure.NETWORK_WHITE, "lines reticular white", ""),
    (Structure.NETWORK_NEGATIVE, "lines reticular hypopigmented around brown clods", "negative pigment network"),
    (Structure.LINES_WHITE_PERPENDICULAR, "lines white perpendicular", "shiny white streaks"),
    (Structure.LINES_BRANCHED, "lines branched", "branched streaks"),
    (Structure.LINES_RADIAL, "lines radial periphery", "streaks"),
    (Structure.LINES_RADIAL_SEGMENTAL, "lines radial segmental", "radial streaming"),
    (Structure.LINES_RADIAL_COMMON_BASE, "lines radial connected to a common base", "leaf-like areas"),
    (Structure.LINES_RADIAL_CONVERGING, "lines radial converging to a central dot or clod", "spoke-wheel areas"),
    (Structure.LINES_CURVED_THICK, "lines curved thick", "fissures and ridges"),
    (Structure.LINES_CURVED_THIN_PARALLEL, "lines brown curved parallel thin", "fingerprint"),
    (Structure.CRYPTS, "lines curved and thick in combination with clods", "crypts"),
    (Structure.FIBRILLAR, "lines parallel short crossing ridges", "fibrillar pattern"),
    (Structure.RIDGE_PARALLEL, "lines parallel thick on the ridges", "parallel ridge pattern"),
    (Structure.LATTICE_LIKE, "lines parallel thin in the furrows and crossing the ridges", "lattice-like pattern"),
]

#: Seen only in polarised light: https://dermoscopedia.org/Metaphoric_term_%22Shiny_white_structures%22 (streaks,
#: blotches, strands), doi:10.1111/j.1468-3083.2011.04317.x (lines, areas, rosettes),
#: https://dermoscopedia.org/Kaposi%E2%80%99s_sarcoma (rainbow-like appearance).
PUBLISHED_ONLY_POLARISED = {
    Structure.LINES_WHITE_PERPENDICULAR,
    Structure.SHINY_WHITE_STRANDS,
    Structure.SHINY_WHITE_AREAS,
    Structure.ROSETTES,
    Structure.RAINBOW_PATTERN,
}

#: Better without polarisation, abstract of doi:10.1001/archderm.143.3.329 (milia-like cysts, comedo-like openings,
#: peppering, blue-white areas of regression) and the book chapter doi:10.1201/b18754-1 (veil).
PUBLISHED_BETTER_NON_POLARISED = [
    Structure.MILIA_LIKE_CYSTS,
    Structure.COMEDO_LIKE_OPENINGS,
    Structure.DOTS_GREY,
    Structure.REGRESSION_STRUCTURES,
    Structure.BLUE_WHITE_VEIL,
]

#: Better with polarisation, the same abstract: vessels and red areas.
PUBLISHED_BETTER_POLARISED = [
    Structure.VESSELS_DOTTED,
    Structure.VESSELS_SERPENTINE,
    Structure.VESSELS_BRANCHED,
    Structure.MILKY_RED_AREA,
]

#: Histological correlates, table in Am Fam Physician 2013;88(7), supplement.
PUBLISHED_DEPTHS = [
    (Structure.NETWORK, Depth.JUNCTION),
    (Structure.GLOBULES_AGGREGATED, Depth.JUNCTION),
    (Structure.LINES_RADIAL, Depth.JUNCTION),
    (Structure.PSEUDOPODS, Depth.JUNCTION),
    (Structure.DOTS_GREY, Depth.PAPILLARY_DERMIS),
]

#: Shapes of vessels with a metaphoric name, https://dermoscopedia.org/Terminology_for_vessel_morphology.
PUBLISHED_VESSEL_SHAPES = {
    "coiled": "glomerular vessels",
    "looped": "hairpin vessels",
    "serpentine": "linear irregular vessels",
    "helical": "corkscrew vessels",
    "curved": "comma vessels",
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{type(row).__name__}.{row.name}")
def test_row_has_a_sound_code_and_says_what_it_is(row):
    assert re.fullmatch(r"[a-z0-9-]{1,64}", row.value)
    assert row.name == row.value.upper().replace("-", "_")
    assert row.display == row.display.strip() != ""
    assert row.definition.endswith(".")
    assert not row.definition.endswith("..")
    assert isinstance(row.basis, Basis)
    assert all(name == name.strip() != "" for name in row.synonyms)
    assert row.display not in row.synonyms
    assert len(set(row.synonyms)) == len(row.synonyms)


@pytest.mark.parametrize("table", TABLES, ids=lambda table: table.__name__)
def test_displays_and_codes_of_a_table_are_unique(table):
    assert len({row.display for row in table}) == len(table)
    assert len(table.__members__) == len(table)


@pytest.mark.parametrize("table", [Site, Structure], ids=lambda table: table.__name__)
def test_no_other_name_of_a_row_is_the_display_of_another(table):
    displays = {row.display: row for row in table}
    shared = {(row, displays[name]) for row in table for name in row.synonyms if name in displays}
    assert shared == set()


def test_tables_cover_the_skin_and_the_consensus_terms():
    assert len(Site) >= 145
    assert len(Structure) >= 145


# Structures


def test_elements_are_the_published_five_and_what_lies_outside_them():
    assert {element.value for element in Element} == {*PUBLISHED_ELEMENTS, "vessel", "other"}


@pytest.mark.parametrize("structure", [row for row in Structure if row.element.value in PUBLISHED_ELEMENTS])
def test_descriptive_name_uses_the_word_of_its_element(structure):
    assert PUBLISHED_ELEMENTS[structure.element.value] in structure.descriptive


@pytest.mark.parametrize("structure", list(Structure))
def test_two_names_stand_side_by_side(structure):
    assert structure.descriptive != ""
    assert structure.display == (structure.metaphoric or structure.descriptive)


@pytest.mark.parametrize(("structure", "descriptive", "metaphoric"), PUBLISHED_PAIRS_OF_LINES)
def test_names_of_lines_agree_with_the_published_pairs(structure, descriptive, metaphoric):
    ours = set(re.findall(r"[a-z]+", structure.descriptive.replace("colour", "color")))
    assert set(descriptive.split()) - {"and", "to"} <= ours | {"and", "to"}
    assert metaphoric in structure.metaphoric
    assert bool(metaphoric) == bool(structure.metaphoric)


@pytest.mark.parametrize(("shape", "metaphoric"), PUBLISHED_VESSEL_SHAPES.items())
def test_names_of_vessels_agree_with_the_published_pairs(shape, metaphoric):
    row = Structure(f"vessels-{shape}")
    assert row.descriptive == f"vessels, linear, {shape}"
    assert row.metaphoric == metaphoric


def test_only_polarised_light_shows_what_was_published_so_and_nothing_else():
    assert {row for row in Structure if row.light is LightFit.ONLY_POLARISED} == PUBLISHED_ONLY_POLARISED


@pytest.mark.parametrize("structure", sorted(PUBLISHED_ONLY_POLARISED))
def test_a_light_that_excludes_another_has_a_source(structure):
    assert structure.light_basis.known is Known.SEEN
    assert structure.light_basis.sources


@pytest.mark.parametrize("structure", PUBLISHED_BETTER_NON_POLARISED)
def test_light_fit_of_superficial_structures_is_as_published(structure):
    assert structure.light is LightFit.BETTER_NON_POLARISED
    assert structure.light_basis.known is Known.SEEN


@pytest.mark.parametrize("structure", PUBLISHED_BETTER_POLARISED)
def test_light_fit_of_vessels_and_red_areas_is_as_published(structure):
    assert structure.light is LightFit.BETTER_POLARISED
    assert Source.LIGHTS_COMPARED_2007 in structure.light_basis.sources


@pytest.mark.parametrize(("structure", "depth"), PUBLISHED_DEPTHS)
def test_depth_is_as_published(structure, depth):
    assert structure.depth is depth
    assert Source.STRUCTURES_AND_HISTOLOGY_TABLE in structure.depth_basis.sources


@pytest.mark.parametrize("style", list(ReadingStyle))
def test_each_reading_style_has_structures_and_sites(style):
    assert any(style in row.reading_styles for row in Structure)
    assert any(row.reading_style is style for row in Site)


@pytest.mark.parametrize("structure", list(Structure))
def test_structure_has_a_meaning_somewhere_and_bases_for_each_claim(structure):
    assert structure.reading_styles
    assert isinstance(structure.depth_basis, Basis)
    assert isinstance(structure.light_basis, Basis)
    assert isinstance(structure.styles_basis, Basis)


@pytest.mark.parametrize("structure", [row for row in Structure if row.basis.known is Known.SEEN])
def test_a_seen_fact_names_where_it_was_seen(structure):
    assert structure.basis.sources


@pytest.mark.parametrize("structure", [row for row in Structure if row.parent])
def test_a_kind_fits_the_structure_it_is_a_kind_of(structure):
    parent = structure.parent
    assert parent is not structure
    assert parent.parent is None
    assert structure.reading_styles <= parent.reading_styles
    assert structure.pigmented or not parent.pigmented
    assert parent.light is structure.light or LightFit.EITHER in {parent.light, structure.light}


def test_kinds_of_network_are_told_from_what_only_looks_like_one():
    kinds = {row for row in Structure if row.parent is Structure.NETWORK}
    assert kinds == {
        Structure.NETWORK_TYPICAL,
        Structure.NETWORK_DELICATE,
        Structure.NETWORK_THICK,
        Structure.NETWORK_ATYPICAL,
    }


@pytest.mark.parametrize("structure", [row for row in Structure if row.kind is StructureKind.COMPOSITE])
def test_a_composite_has_parts(structure):
    assert structure.any_of or structure.all_of


@pytest.mark.parametrize("structure", [row for row in Structure if row.any_of or row.all_of])
def test_parts_are_local_and_belong_to_composites_and_patterns(structure):
    parts = (*structure.any_of, *structure.all_of)
    assert structure.kind in {StructureKind.COMPOSITE, StructureKind.PATTERN}
    assert len(set(parts)) == len(parts)
    assert {part.kind for part in parts} <= {StructureKind.LOCAL, StructureKind.VESSEL_SHAPE}
    assert all(structure.reading_styles <= part.reading_styles for part in structure.all_of)


def test_composites_follow_the_published_checklist():
    """Seven-point checklist: https://dermoscopy.org/atlas/4step/point_d.htm."""
    assert set(Structure.REGRESSION_STRUCTURES.any_of) == {Structure.SCAR_LIKE_AREA, Structure.DOTS_GREY}
    assert set(Structure.VESSELS_ATYPICAL.any_of) == {Structure.VESSELS_DOTTED, Structure.VESSELS_SERPENTINE}


VESSEL_KINDS = {StructureKind.VESSEL_SHAPE, StructureKind.VESSEL_ARRANGEMENT, StructureKind.VESSEL_SUMMARY}


@pytest.mark.parametrize("structure", [row for row in Structure if row.kind in VESSEL_KINDS])
def test_statements_about_vessels_are_made_of_vessels(structure):
    assert structure.element is Element.VESSEL
    assert structure.descriptive.startswith("vessels")


@pytest.mark.parametrize("structure", [row for row in Structure if row.element is Element.VESSEL])
def test_vessels_are_red_and_hold_no_melanin(structure):
    assert structure.kind in {*VESSEL_KINDS, StructureKind.COMPOSITE}
    assert not structure.pigmented
    assert structure.light is LightFit.BETTER_POLARISED


_WORD_OF_COLOUR = {
    Colour.BLACK: {"black"},
    Colour.BLUE: {"blue"},
    Colour.BROWN: {"brown"},
    Colour.GREY: {"grey"},
    Colour.LIGHT_BROWN: {"light"},
    Colour.ORANGE: {"orange"},
    Colour.PINK: {"pink"},
    Colour.PURPLE: {"purple"},
    Colour.RED: {"red"},
    Colour.WHITE: {"white", "whitish"},
}


@pytest.mark.parametrize(
    ("structure", "colour"), [(row, colour) for row in Structure for colour in row.implied_colours]
)
def test_an_implied_colour_is_named_by_the_row_itself(structure, colour):
    text = f"{structure.descriptive} {structure.metaphoric} {structure.definition}".lower()
    assert _WORD_OF_COLOUR[colour] & set(re.findall(r"[a-z]+", text))


def test_veil_implies_both_its_colours_and_vessels_imply_none():
    assert Structure.BLUE_WHITE_VEIL.implied_colours == (Colour.BLUE, Colour.WHITE)
    assert all(row.implied_colours == () for row in Structure if row.element is Element.VESSEL)


@pytest.mark.parametrize("structure", list(Structure))
def test_definition_does_not_reassure_by_a_diagnosis(structure):
    assert not re.search(r"\b(benign|harmless|normal skin lesion|diagnostic of)\b", structure.definition)


# Sites


@pytest.mark.parametrize("site", list(Site))
def test_sites_form_a_tree_under_the_whole_skin(site):
    path = [site]
    while path[-1].parent is not None:
        path.append(path[-1].parent)
        assert len(path) <= len(Site)
    assert path[-1] is Site.SKIN
    assert site.within(Site.SKIN)
    assert (site.parent is None) == (site is Site.SKIN)


def test_within_follows_the_tree_upwards_only():
    assert Site.THUMB_NAIL.within(Site.HAND)
    assert Site.THUMB_NAIL.within(Site.THUMB_NAIL)
    assert not Site.HAND.within(Site.THUMB_NAIL)
    assert not Site.THUMB_NAIL.within(Site.FOOT)


@pytest.mark.parametrize("digit", [*FINGERS, *TOES])
def test_each_digit_has_a_ridged_side_a_back_and_a_nail(digit):
    ridged = Site[f"{digit}_{'PLANTAR' if digit in TOES else 'PALMAR'}"]
    back = Site[f"{digit}_DORSAL"]
    nail = Site[f"{digit}_NAIL"]
    assert ridged.reading_style is ReadingStyle.ACRAL
    assert back.reading_style is ReadingStyle.TRUNK_LIMB
    assert nail.reading_style is ReadingStyle.NAIL
    assert nail.parent is back
    assert nail.traits == {SiteTrait.DIGIT, SiteTrait.NAIL}
    assert {ridged.laterality, back.laterality, nail.laterality} == {Laterality.PAIRED}
    assert nail.map_region is (MapRegion.TOENAILS if digit in TOES else MapRegion.FINGERNAILS)


def test_twenty_nails_are_ten_sites_with_two_sides():
    nails = [site for site in Site if SiteTrait.NAIL in site.traits]
    assert sum(2 for site in nails if site.laterality is Laterality.PAIRED) == 20
    assert {site for site in Site if site.reading_style is ReadingStyle.NAIL} == set(nails)


@pytest.mark.parametrize("site", list(Site))
def test_reading_style_is_open_only_where_the_place_is(site):
    if site is Site.SKIN:
        assert site.reading_style is None
        assert site.second_style is None
        assert site.head_and_neck is None
        assert site.styles == frozenset()
    else:
        assert site.reading_style is not None
        assert site.second_style is not site.reading_style
        assert site.head_and_neck is (site.within(Site.HEAD) or site.within(Site.NECK))
        assert site.styles == {site.reading_style, site.second_style} - {None}


@pytest.mark.parametrize(
    "site", [site for site in Site if site.parent is not None and site.parent.laterality is Laterality.PAIRED]
)
def test_part_of_a_sided_site_is_sided(site):
    assert site.laterality is Laterality.PAIRED


@pytest.mark.parametrize("site", [site for site in Site if site.vague])
def test_large_regions_have_narrower_parts_to_choose_from(site):
    assert any(not part.vague for part in Site if part is not site and part.within(site))


def test_transition_sites_have_two_styles():
    transitions = [site for site in Site if SiteTrait.TRANSITION in site.traits]
    assert transitions
    assert all(site.styles == {ReadingStyle.ACRAL, ReadingStyle.TRUNK_LIMB} for site in transitions)


@pytest.mark.parametrize("site", [site for site in Site if site.parent not in {None, Site.SKIN}])
def test_part_lies_on_a_drawing_on_which_the_whole_lies(site):
    assert set(site.map_region.maps) & set(site.parent.map_region.maps)


@pytest.mark.parametrize("region", list(MapRegion))
def test_region_has_drawings_and_sites(region):
    assert region.maps
    assert len(set(region.maps)) == len(region.maps)
    assert any(site.map_region is region for site in Site)


def test_every_drawing_is_the_best_one_of_some_region():
    best = {region.maps[0] for region in MapRegion}
    assert best >= set(BodyMap) - {BodyMap.HEAD_RIGHT}


@pytest.mark.parametrize("site", [site for site in Site if site.reading_style is ReadingStyle.ACRAL])
def test_ridged_skin_is_on_hand_or_foot(site):
    assert site.within(Site.HAND) or site.within(Site.FOOT)
