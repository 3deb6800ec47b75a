"""What and where: the lesion, its history, how it feels, what was done at the couch."""

from dermreport.examination.base import Coded, Listed, Model
from dermreport.examination.people import Identifier
from dermreport.examination.types import Days, Millimetres, PartialTime, Share, ShortText, Text
from dermreport.vocabulary.bedside_tests import BedsideTest
from dermreport.vocabulary.body_maps import BodyMap
from dermreport.vocabulary.comparisons import Comparison
from dermreport.vocabulary.consistencies import Consistency
from dermreport.vocabulary.elevations import Elevation
from dermreport.vocabulary.judgements import Judgement
from dermreport.vocabulary.known_by import KnownBy
from dermreport.vocabulary.node_states import NodeState
from dermreport.vocabulary.pigmentations import Pigmentation
from dermreport.vocabulary.replies import Reply
from dermreport.vocabulary.sides import Side
from dermreport.vocabulary.sites import Site


class MapPoint(Model):
    """A point on one drawing of the body map: shares of its width from the left and of its height from the top.

    One drawing serves both hands, and one both feet: a point belongs to it as it is shown for the lesion's side.

    Attributes:
        map: Which drawing.
        x: Share of its width from the left, 0 to 1.
        y: Share of its height from the top, 0 to 1.
    """

    map: Coded[BodyMap]
    x: Share
    y: Share


class Palpation(Model):
    """How the lesion feels.

    Attributes:
        consistency: How firm it is, or that nobody felt.
        mobile: Whether it moves over what lies below.
        tender: Whether touching it hurts.
        dimple: Whether it dips when pinched.
        blanches: Whether it pales on pressure.
    """

    consistency: Consistency | None = None
    mobile: Reply | None = None
    tender: Reply | None = None
    dimple: Reply | None = None
    blanches: Reply | None = None


class Nodes(Model):
    """The regional lymph nodes.

    Attributes:
        state: Not felt for, not enlarged, enlarged.
        region: Which nodes.
        size_mm: Diameter of the largest, millimetres.
    """

    state: NodeState
    region: ShortText | None = None
    size_mm: Millimetres | None = None


class HistoryAnswer(Model):
    """One answer of the history, how it is known, and since when or for how long.

    Attributes:
        answer: Yes, no or unknown.
        known_by: How it is known.
        since: Since when.
        for_days: For how long, in days.
        note: In the patient's words.
    """

    answer: Reply
    known_by: KnownBy | None = None
    since: PartialTime | None = None
    for_days: Days | None = None
    note: Text | None = None


class LesionHistory(Model):
    """What the patient tells of the lesion; an item left out was not recorded.

    Attributes:
        from_birth: There at birth.
        new: New.
        growing: Growing.
        changed_colour: Changed in colour.
        changed_shape: Changed in shape.
        itching: Itches.
        pain: Hurts.
        inflamed: Inflamed.
        bleeding: Bleeds, oozes or crusts.
        treated_before: Treated or biopsied before.
        since: Since when the lesion is known.
        note: Anything else that was told.
    """

    from_birth: HistoryAnswer | None = None
    new: HistoryAnswer | None = None
    growing: HistoryAnswer | None = None
    changed_colour: HistoryAnswer | None = None
    changed_shape: HistoryAnswer | None = None
    itching: HistoryAnswer | None = None
    pain: HistoryAnswer | None = None
    inflamed: HistoryAnswer | None = None
    bleeding: HistoryAnswer | None = None
    treated_before: HistoryAnswer | None = None
    since: PartialTime | None = None
    note: Text | None = None


class BedsideTestResult(Model):
    """A small test at the couch and what it showed.

    Attributes:
        test: Which test.
        positive: Whether it was positive.
        note: What was seen.
    """

    test: Coded[BedsideTest]
    positive: Judgement
    note: Text | None = None


class Lesion(Model):
    """One spot, the same at every visit when it carries the same identifier.

    Attributes:
        identifier: Stable identifier, the same at every visit.
        label: What it is called at this visit.
        site: Where it is.
        side: Left, right or midline.
        site_detail: Where exactly, in words.
        in_scar: Whether it lies in a scar.
        map_point: Where it is on the body map.
        longest_mm: Longest diameter, millimetres.
        crosswise_mm: Diameter at right angles to the longest, millimetres.
        elevation: How far it stands out of the skin.
        palpation: How it feels.
        pigmentation: How much pigment it has.
        ulcerated: Whether the surface is lost.
        injured: Whether it was injured lately.
        satellites: Whether spots lie around it.
        irregular_shape: Whether its shape is irregular to the naked eye.
        irregular_colour: Whether its colour is irregular to the naked eye.
        compared_with_others: Like or unlike the patient's other naevi.
        nodes: The regional lymph nodes.
        history: What the patient tells of it.
        bedside_tests: Small tests at the couch.
    """

    identifier: Identifier | None = None
    label: ShortText | None = None
    site: Coded[Site] | None = None
    side: Side | None = None
    site_detail: ShortText | None = None
    in_scar: Reply | None = None
    map_point: MapPoint | None = None
    longest_mm: Millimetres | None = None
    crosswise_mm: Millimetres | None = None
    elevation: Elevation | None = None
    palpation: Palpation | None = None
    pigmentation: Pigmentation | None = None
    ulcerated: Judgement | None = None
    injured: Reply | None = None
    satellites: Judgement | None = None
    irregular_shape: Judgement | None = None
    irregular_colour: Judgement | None = None
    compared_with_others: Comparison | None = None
    nodes: Nodes | None = None
    history: LesionHistory | None = None
    bedside_tests: Listed[BedsideTestResult] = ()
