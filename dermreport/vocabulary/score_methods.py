"""Published methods, by our code; the method itself stands in the scores room."""

from __future__ import annotations

from dermreport.sources import MEMORY
from dermreport.vocabulary.term import Term


class ScoreMethod(Term):
    """Published methods, by our code; the method itself stands in the scores room."""

    TOTAL_DERMOSCOPY_SCORE = (
        "total-dermoscopy-score",
        "total dermoscopy score (ABCD rule)",
        "Weighted sum of asymmetry, border, colours and structures.",
        MEMORY,
        ("TDS", "ABCD rule of dermoscopy"),
    )
    SEVEN_POINT = (
        "seven-point",
        "seven-point checklist, original",
        "Three major criteria of 2 points, four minor ones of 1.",
        MEMORY,
    )
    SEVEN_POINT_REVISED = (
        "seven-point-revised",
        "seven-point checklist, revised threshold",
        "The same seven criteria, one point each, with a threshold of one.",
        MEMORY,
    )
    THREE_POINT = "three-point", "three-point checklist", "Asymmetry, atypical network, blue-white structures.", MEMORY
    MENZIES = (
        "menzies",
        "Menzies method",
        "Two features that must both be lacking, nine of which one must be there.",
        MEMORY,
    )
    WEIGHTED_SEVEN_POINT = (
        "weighted-seven-point",
        "weighted seven-point checklist, clinical",
        "Seven clinical signs without a dermatoscope, three of 2 points and four of 1.",
        MEMORY,
    )
    BRAAFF = (
        "braaff",
        "BRAAFF checklist for palms and soles",
        "Six signs of acral skin, two of which count against.",
        MEMORY,
    )
    CASH = (
        "cash",
        "CASH algorithm",
        "Colours, architecture, symmetry and structures, added up.",
        MEMORY,
    )
    REVISED_PATTERN_ANALYSIS = (
        "revised-pattern-analysis",
        "revised pattern analysis (chaos and clues)",
        "Disorder of colour or structure, and with it one of nine clues.",
        MEMORY,
    )
    TRIAGE = (
        "triage",
        "triage amalgamated algorithm",
        "Disorder or one of six features, in lesions that the clinician doesn’t name without doubt.",
        MEMORY,
        ("TADA",),
    )
    ACRAL_THREE_STEP = (
        "acral-three-step",
        "three-step algorithm for palms and soles, revised",
        "Ridge pattern, then typical pattern, then size.",
        MEMORY,
    )
    ACRAL_THREE_STEP_ORIGINAL = (
        "acral-three-step-original",
        "three-step algorithm for palms and soles, original order",
        "Ridge pattern, then size, then typical pattern.",
        MEMORY,
    )
    PIGMENTED_BASAL_CELL = (
        "pigmented-basal-cell",
        "model for pigmented basal cell carcinoma",
        "No pigment network, and one of six features.",
        MEMORY,
    )
    MUCOSAL = (
        "mucosal",
        "colour and structure model for mucosa",
        "A structureless zone together with blue, grey or white.",
        MEMORY,
    )
    BLUE_BLACK = (
        "blue-black",
        "blue-black rule for raised lesions",
        "Blue and black together, in a tenth of a raised lesion or more.",
        MEMORY,
    )
    ELEVATED_FIRM_GROWING = (
        "elevated-firm-growing",
        "elevated, firm and growing",
        "Three clinical signs of a fast nodular cancer, all of them together.",
        MEMORY,
        ("EFG",),
    )
    TWO_STEP = (
        "two-step",
        "two-step approach, first step",
        "Which kind of lesion the structures speak for, in a fixed order.",
        MEMORY,
    )
    FACIAL_CRITERIA = (
        "facial-criteria",
        "criteria for flat pigmented lesions of the face",
        "Signs that are associated with lentigo maligna; no number of them is published as a threshold.",
        MEMORY,
    )
    NAIL_CRITERIA = (
        "nail-criteria",
        "criteria for pigmented bands of the nail in adults",
        "Signs that are associated with melanoma of the nail unit; no total is published.",
        MEMORY,
    )
    NAIL_ABCDEF = (
        "nail-abcdef",
        "clinical ABCDEF of the nail, adults only",
        "Age, band, change, digit, extension and family history; no total is published.",
        MEMORY,
    )
    LITTLE_PIGMENT_CLUES = (
        "little-pigment-clues",
        "clues in lesions with little or no pigment",
        "Signs for and against melanoma by their published odds, which are no points.",
        MEMORY,
    )
    PREDICTION_WITHOUT_PIGMENT = (
        "prediction-without-pigment",
        "prediction without pigment",
        "Ulceration, then white clues, then vessels, in lesions without brown or grey.",
        MEMORY,
    )
    BENIGN_PATTERNS = (
        "benign-patterns",
        "patterns associated with harmless lesions",
        (
            "Structures that the trade associates with seborrhoeic keratosis, dermatofibroma, haemangioma, solar "
            "lentigo and naevi."
        ),
        MEMORY,
    )
