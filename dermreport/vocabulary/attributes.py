"""What an observation or one of its components is about."""

from __future__ import annotations

from dermreport.sources import COMMON_PRACTICE, Source, seen
from dermreport.vocabulary.term import Term


class Attribute(Term):
    """What an observation or one of its components is about."""

    FINDINGS = "findings", "findings", "All that was seen of the lesion.", COMMON_PRACTICE
    HISTORY = "history", "history", "What was told and is known of patient and lesion.", COMMON_PRACTICE
    ASSESSMENT = "assessment", "assessment", "What the clinician makes of it.", COMMON_PRACTICE
    VIEW = "view", "dermatoscopic view", "One look through the dermatoscope in one light.", COMMON_PRACTICE
    LIGHT = "light", "light", "The light in which it was seen.", COMMON_PRACTICE
    CONTACT = "contact", "contact", "Whether the faceplate touched the skin.", COMMON_PRACTICE
    MEDIUM = "medium", "immersion medium", "What lay between faceplate and skin.", COMMON_PRACTICE
    PRESSURE = "pressure", "pressure", "How hard the faceplate was pressed.", COMMON_PRACTICE
    MAGNIFICATION = "magnification", "magnification", "Optical magnification.", COMMON_PRACTICE
    EQUIPMENT = "equipment", "equipment", "The dermatoscope or camera, in words.", COMMON_PRACTICE
    COVERAGE = "coverage", "coverage", "How much of the lesion the view shows.", COMMON_PRACTICE
    VIEW_LIMIT = "view-limit", "limit of the view", "What hid or blurred the view.", COMMON_PRACTICE
    FIELD_OF_VIEW = "field-of-view", "field of view", "Diameter of the field.", COMMON_PRACTICE
    VIEW_KEY = "view-key", "key of the view", "The entry’s own key of the view.", COMMON_PRACTICE
    LIST_GONE_THROUGH = (
        "list-gone-through",
        "list gone through",
        "A list whose items were all looked for.",
        COMMON_PRACTICE,
    )
    NOT_ASSESSED_BECAUSE = (
        "not-assessed-because",
        "not assessed because",
        "Why a structure was not assessed.",
        COMMON_PRACTICE,
    )
    RECORDED_ANSWER = (
        "recorded-answer",
        "answer as recorded",
        "The clinician’s own answer where the review counts it otherwise.",
        COMMON_PRACTICE,
    )
    PLACE = "place", "place in the lesion", "Where in the lesion it lies.", COMMON_PRACTICE
    DISTRIBUTION = "distribution", "distribution", "How it is spread.", COMMON_PRACTICE
    REGULARITY = "regularity", "regularity", "Whether it is even.", COMMON_PRACTICE
    COLOUR = "colour", "colour", "A colour of a finding.", COMMON_PRACTICE
    COUNT = "count", "count", "How many.", COMMON_PRACTICE
    AREA = "area", "share of the area", "Share of the lesion’s area.", COMMON_PRACTICE
    STRUCTURE_SIZE = "structure-size", "size of the structure", "Measured size of one structure.", COMMON_PRACTICE
    LESION_SIZE = "lesion-size", "lesion size", "The lesion’s diameters.", COMMON_PRACTICE
    LONGEST_DIAMETER = "longest-diameter", "longest diameter", "The longest diameter.", COMMON_PRACTICE
    CROSSWISE_DIAMETER = (
        "crosswise-diameter",
        "crosswise diameter",
        "The longest diameter at right angles to the longest.",
        COMMON_PRACTICE,
    )
    ELEVATION = "elevation", "elevation", "How far the lesion stands out of the skin.", COMMON_PRACTICE
    PALPATION = "palpation", "palpation", "How the lesion feels.", COMMON_PRACTICE
    CONSISTENCY = "consistency", "consistency", "How firm it is.", COMMON_PRACTICE
    MOBILE = "mobile", "mobile", "Whether it moves over what lies below.", COMMON_PRACTICE
    TENDER = "tender", "tender", "Whether touching it hurts.", COMMON_PRACTICE
    DIMPLE = "dimple", "dimples on pinching", "Whether it dips when pinched.", COMMON_PRACTICE
    BLANCHES = "blanches", "empties on pressure", "Whether it pales on pressure.", COMMON_PRACTICE
    PIGMENTATION = "pigmentation", "pigmentation", "How much pigment it has.", COMMON_PRACTICE
    ULCERATED = "ulcerated", "ulcerated", "Whether the surface is lost.", COMMON_PRACTICE
    INJURED = "injured", "injured", "Whether it was injured lately.", COMMON_PRACTICE
    SATELLITES = "satellites", "satellites", "Spots around the lesion.", COMMON_PRACTICE
    IRREGULAR_SHAPE = (
        "irregular-shape",
        "irregular shape",
        "Whether its shape is irregular to the naked eye.",
        COMMON_PRACTICE,
    )
    IRREGULAR_COLOUR = (
        "irregular-colour",
        "irregular colour",
        "Whether its colour is irregular to the naked eye.",
        COMMON_PRACTICE,
    )
    COMPARED_WITH_OTHERS = (
        "compared-with-others",
        "compared with the other naevi",
        "The lesion beside the patient’s other naevi.",
        COMMON_PRACTICE,
    )
    IN_SCAR = "in-scar", "in a scar", "Whether it lies in a scar.", COMMON_PRACTICE
    NODES = "nodes", "regional lymph nodes", "State of the regional lymph nodes.", COMMON_PRACTICE
    NODE_REGION = "node-region", "region of the nodes", "Which nodes.", COMMON_PRACTICE
    NODE_SIZE = "node-size", "size of the largest node", "Diameter of the largest node.", COMMON_PRACTICE
    BEDSIDE_TEST = "bedside-test", "bedside test", "A small test at the couch.", COMMON_PRACTICE
    FROM_BIRTH = "from-birth", "from birth", "Whether it was there at birth.", COMMON_PRACTICE
    NEW = "new", "new", "Whether it is new.", COMMON_PRACTICE
    GROWING = "growing", "growing", "Whether it grows.", COMMON_PRACTICE
    CHANGED_COLOUR = "changed-colour", "changed colour", "Whether its colour changed.", COMMON_PRACTICE
    CHANGED_SHAPE = "changed-shape", "changed shape", "Whether its shape changed.", COMMON_PRACTICE
    ITCHING = "itching", "itching", "Whether it itches.", COMMON_PRACTICE
    PAIN = "pain", "pain", "Whether it hurts.", COMMON_PRACTICE
    INFLAMED = "inflamed", "inflamed", "Whether it is red and swollen.", COMMON_PRACTICE
    BLEEDING = "bleeding", "bleeding or oozing", "Whether it bleeds or oozes.", COMMON_PRACTICE
    TREATED_BEFORE = (
        "treated-before",
        "treated or biopsied before",
        "Whether it was treated or biopsied before.",
        COMMON_PRACTICE,
    )
    SINCE = "since", "since", "Since when.", COMMON_PRACTICE
    FOR_DAYS = "for-days", "for how long", "For how many days.", COMMON_PRACTICE
    KNOWN_BY = "known-by", "known by", "How the answer is known.", COMMON_PRACTICE
    LESION_SINCE = "lesion-since", "lesion noticed since", "Since when the lesion is known.", COMMON_PRACTICE
    LESION_HISTORY_NOTE = "lesion-history-note", "history in words", "The lesion’s history in words.", COMMON_PRACTICE
    ASYMMETRY_FIRST_AXIS = (
        "asymmetry-first-axis",
        "asymmetry along the first axis",
        "What is asymmetric along the first of two axes at right angles.",
        COMMON_PRACTICE,
    )
    ASYMMETRY_SECOND_AXIS = (
        "asymmetry-second-axis",
        "asymmetry along the second axis",
        "What is asymmetric along the second axis.",
        COMMON_PRACTICE,
    )
    ASYMMETRY_CONTOUR = (
        "asymmetry-contour",
        "asymmetry of contour",
        "Whether the contour is asymmetric along this axis.",
        COMMON_PRACTICE,
    )
    ASYMMETRY_COLOUR = (
        "asymmetry-colour",
        "asymmetry of colour",
        "Whether the colour is asymmetric along this axis.",
        COMMON_PRACTICE,
    )
    ASYMMETRY_STRUCTURE = (
        "asymmetry-structure",
        "asymmetry of structure",
        "Whether the structures are asymmetric along this axis.",
        COMMON_PRACTICE,
    )
    SYMMETRIC_ALL_AXES = (
        "symmetric-all-axes",
        "symmetric across all axes",
        "Whether the pattern is symmetric across every axis through the centre, outline ignored.",
        COMMON_PRACTICE,
    )
    ARCHITECTURE = "architecture", "order of structures", "How far the order of structures is lost.", COMMON_PRACTICE
    BORDER_SEGMENTS = (
        "border-segments",
        "abrupt border segments",
        "Eighths of the border with an abrupt cut-off of pigment.",
        COMMON_PRACTICE,
    )
    LESION_COLOURS = "lesion-colours", "colours of the lesion", "All colours seen in the lesion.", COMMON_PRACTICE
    DOUBTFUL_COLOUR = "doubtful-colour", "doubtful colour", "A colour that may be there.", COMMON_PRACTICE
    WHITE_PALER_THAN_SKIN = (
        "white-paler-than-skin",
        "white paler than the skin",
        "Whether the white is paler than the skin around.",
        COMMON_PRACTICE,
    )
    PATTERN = "pattern", "global pattern", "The pattern of the whole lesion.", COMMON_PRACTICE
    STEP_ONE = "step-one", "first step: melanocytic or not", "First step of the two-step approach.", COMMON_PRACTICE
    DESCRIPTION_NOTE = "description-note", "description in words", "The lesion as a whole in words.", COMMON_PRACTICE
    AGE = "age", "age at the examination", "Age in whole years.", COMMON_PRACTICE
    SEX = "sex", "sex at the examination", "Sex as the record gives it.", COMMON_PRACTICE
    PHOTOTYPE = "phototype", "skin phototype", "Skin phototype.", COMMON_PRACTICE
    HAD_SKIN_CANCER = (
        "had-skin-cancer",
        "skin cancer before",
        "Whether the patient has had skin cancer.",
        COMMON_PRACTICE,
    )
    EARLIER_SKIN_CANCER = (
        "earlier-skin-cancer",
        "earlier skin cancer",
        "One skin cancer that the patient has had.",
        COMMON_PRACTICE,
    )
    FAMILY_MELANOMA = "family-melanoma", "melanoma in the family", "Melanoma in blood relatives.", COMMON_PRACTICE
    GENETIC_SYNDROME = (
        "genetic-syndrome",
        "genetic syndrome",
        "An inherited syndrome that raises the risk.",
        COMMON_PRACTICE,
    )
    NAEVI = "naevi", "number of naevi", "Number of naevi on the whole skin.", COMMON_PRACTICE
    ATYPICAL_NAEVI = "atypical-naevi", "number of atypical naevi", "Number of atypical naevi.", COMMON_PRACTICE
    SUN_DAMAGE = "sun-damage", "sun damage", "Signs of long sun exposure.", COMMON_PRACTICE
    SUNBEDS = "sunbeds", "sunbed use", "Use of tanning devices.", COMMON_PRACTICE
    OUTDOOR_WORK = "outdoor-work", "outdoor work", "Work out of doors.", COMMON_PRACTICE
    IMMUNE_SUPPRESSION = (
        "immune-suppression",
        "immune suppression",
        "Why the immune defence is weakened.",
        COMMON_PRACTICE,
    )
    PREGNANCY = "pregnancy", "pregnancy", "Pregnancy at the examination.", COMMON_PRACTICE
    BLOOD_THINNER = "blood-thinner", "blood thinner", "Medicines that thin the blood.", COMMON_PRACTICE
    IMPLANTED_DEVICE = "implanted-device", "implanted electrical device", "A pacemaker or the like.", COMMON_PRACTICE
    ALLERGY = "allergy", "allergy", "An allergy that an operator must know.", COMMON_PRACTICE
    SKIN_EXAMINED = "skin-examined", "skin examined", "How much of the skin was examined.", COMMON_PRACTICE
    NEEDS = "needs", "needs", "What the patient needs to keep an appointment.", COMMON_PRACTICE
    REACH_QUICKLY = (
        "reach-quickly",
        "how to reach the patient quickly",
        "How to reach the patient quickly.",
        COMMON_PRACTICE,
    )
    BACKGROUND_NOTE = "background-note", "background in words", "The patient’s background in words.", COMMON_PRACTICE
    MODE = "mode", "mode of the examination", "In person, live at a distance, or from images only.", COMMON_PRACTICE
    SCORE_LOW = "score-low", "lowest possible total", "The lowest total that the open inputs allow.", COMMON_PRACTICE
    SCORE_HIGH = (
        "score-high",
        "highest possible total",
        "The highest total that the open inputs allow.",
        COMMON_PRACTICE,
    )
    VERDICT = "verdict", "verdict", "On which side of the method’s threshold the total falls.", COMMON_PRACTICE
    CRITERION_MET = "criterion-met", "criterion met", "A criterion of the method that is met.", COMMON_PRACTICE
    CRITERION_OPEN = "criterion-open", "criterion open", "A criterion of the method that is open.", COMMON_PRACTICE
    WOULD_SETTLE = "would-settle", "would settle it", "An input whose answer would settle the verdict.", COMMON_PRACTICE
    IMPRESSION = "impression", "impression", "What the clinician takes the lesion for.", COMMON_PRACTICE
    CERTAINTY = "certainty", "certainty", "How sure the impression is.", COMMON_PRACTICE
    RANK = "rank", "rank", "Place in the clinician’s order.", COMMON_PRACTICE
    CONCERN = "concern", "concern", "How worried the clinician is.", COMMON_PRACTICE
    UNEQUIVOCAL = "unequivocal", "unequivocal", "Whether the clinician says that there is no doubt.", COMMON_PRACTICE
    ASSESSMENT_WORDS = (
        "assessment-words",
        "assessment in words",
        "The clinician’s assessment in words.",
        COMMON_PRACTICE,
    )
    METHOD_USED = "method-used", "method used", "A method that the clinician used.", COMMON_PRACTICE
    PATIENT_TOLD = "patient-told", "patient told", "Whether the patient knows what is suspected.", COMMON_PRACTICE
    FOR_PATHOLOGIST = (
        "for-pathologist",
        "remarks for the pathologist",
        "What the pathologist must know.",
        COMMON_PRACTICE,
    )
    SPECIMEN_ORIENTATION = (
        "specimen-orientation",
        "orientation of the specimen",
        "How the specimen is marked, so that its sides can be told.",
        seen(Source.PATHOLOGY_REQUEST_FORMS_2019),
    )
    MARKED_AREA = (
        "marked-area",
        "area to look at first",
        "The area of the specimen that is the most suspicious, and how it is marked.",
        seen(Source.PATHOLOGY_REQUEST_FORMS_2019),
    )
    OUTCOME = "outcome", "outcome", "What became known later.", COMMON_PRACTICE
    HISTOLOGY_RESULT = "histology-result", "histology result", "The pathologist’s result.", COMMON_PRACTICE
    SPECIMEN_EXTENT = (
        "specimen-extent",
        "extent of the specimen",
        "How much of the lesion was examined.",
        COMMON_PRACTICE,
    )
    TUMOUR_THICKNESS = (
        "tumour-thickness",
        "tumour thickness",
        "Thickness of the tumour by the pathologist.",
        COMMON_PRACTICE,
    )
    CHANGE_SEEN = "change-seen", "change seen", "What a later look showed.", COMMON_PRACTICE
    DAYS_SINCE_BASELINE = (
        "days-since-baseline",
        "days since the baseline",
        "Days between baseline and later look.",
        COMMON_PRACTICE,
    )
    AGREEMENT = "agreement", "agreement", "Whether the outcome agrees with the impression.", COMMON_PRACTICE
    LABORATORY_REFERENCE = (
        "laboratory-reference",
        "laboratory reference",
        "The laboratory’s own number.",
        COMMON_PRACTICE,
    )
    PATIENT_INFORMED = "patient-informed", "patient informed", "Whether the patient knows the result.", COMMON_PRACTICE
    FINDING = "finding", "finding", "One structure and what was recorded of it.", COMMON_PRACTICE
    SITE = "site", "site", "Where on the body the lesion is.", COMMON_PRACTICE
    SIDE = "side", "side", "Side of the body.", COMMON_PRACTICE
    SITE_DETAIL = "site-detail", "detail of the site", "Where exactly, in words.", COMMON_PRACTICE
    LESION_LABEL = "lesion-label", "label of the lesion", "What the lesion is called at this visit.", COMMON_PRACTICE
    MAP_POINT = "map-point", "point on the body map", "A point marked on a drawing.", COMMON_PRACTICE
    MAP_X = "map-x", "share of the width", "Share of the drawing’s width from its left edge.", COMMON_PRACTICE
    MAP_Y = "map-y", "share of the height", "Share of the drawing’s height from its top.", COMMON_PRACTICE
    TAKEN = "taken", "time of the view", "When the lesion was looked at in this view.", COMMON_PRACTICE
    RECORDED_REASON = (
        "recorded-reason",
        "reason as recorded",
        "The clinician’s own reason where the review counts the answer otherwise.",
        COMMON_PRACTICE,
    )
    CANCER_YEAR = "cancer-year", "when it was", "When the earlier skin cancer was found.", COMMON_PRACTICE
    BLOOD_THINNER_NAME = (
        "blood-thinner-name",
        "name of the blood thinner",
        "The medicine that thins the blood, in words.",
        COMMON_PRACTICE,
    )
    ALLERGY_TO = "allergy-to", "allergic to", "What the patient is allergic to, in words.", COMMON_PRACTICE
    PLAN_NOTE = "plan-note", "plan in words", "The plan in words.", COMMON_PRACTICE
    EXAMINATION_NOTE = "examination-note", "note", "A note on the examination as a whole.", COMMON_PRACTICE
