"""What can harm somebody, and what controls it: the hazard table.

Each row says the hazard, how it comes about, what it does to a patient, what in this library controls it, the tests
that hold the control, and what isn't built. The rules that control it say so themselves: a rule carries the id of its
hazard, and a row collects them. A test finds a row without a rule or test, and a name of a test that doesn't exist.

A control makes a hazard less likely or easier to notice; none makes it impossible. This library supports judgement
and never replaces it, and it is not a certified medical device.
"""

from __future__ import annotations

from dataclasses import dataclass

from dermreport.rules.tables import RULES


@dataclass(frozen=True, slots=True, kw_only=True)
class Hazard:
    """One hazard.

    Attributes:
        id: Its id, ``H01`` and so on.
        hazard: What can go wrong.
        causes: How it comes about.
        effects: What it does to a patient.
        controls: What in this library makes it less likely, or lets somebody notice.
        tests: Tests that hold the controls: a file under ``tests/``, or one test in it as ``file::name``.
        open: What isn't built, or what only the host can do; ``""`` where nothing is known to be missing.
    """

    id: str
    hazard: str
    causes: str
    effects: str
    controls: str
    tests: tuple[str, ...] = ()
    open: str = ""

    @property
    def rules(self) -> tuple[str, ...]:
        """Ids of the rules that control it, in the order of the rule tables."""
        return tuple(rule.id for rule in RULES if rule.hazard == self.id)


HAZARDS: tuple[Hazard, ...] = (
    Hazard(
        id="H01",
        hazard="A record of the wrong patient.",
        causes="Two patients in one visit or bundle; a host that passes an old reference; a copied form.",
        effects="A cancer missed in one person, an operation on another; confidence broken.",
        controls="A visit holds one patient and refuses a second. Every resource of a report names the same subject. "
        "Patients are never merged and never updated. A withdrawn record goes out as entered in error. Dates before "
        "birth and ages that don't fit are issues. No text of an entry reaches an issue, an error or a path.",
        open="Reports aren't read back, and no letter is printed. Whether a reference is that of the person in the "
        "room only the host can tell.",
    ),
    Hazard(
        id="H02",
        hazard="The wrong site, side or digit, or the wrong one of several lesions.",
        causes="A side in free text; a vague site; a label used twice; a body map seen as in a mirror.",
        effects="Surgery at the wrong place; follow-up compares two different lesions.",
        controls="Side and site are codes of their own, and rules ask for them: a paired site needs its side, a nail "
        "its digit. Labels and identifiers are unique within a visit. A picture of another day is an issue.",
        open="No drawing of the body and no letter: a point on the map isn't compared with the site. Earlier "
        "examinations of the same lesion aren't compared.",
    ),
    Hazard(
        id="H03",
        hazard="«Absent» is read as true although it could not have been seen.",
        causes="A light that isn't known or doesn't show the structure; a form filled in beforehand.",
        effects="A low score, reassurance, a melanoma found late.",
        controls="Each view has one light, and a finding names its views. Absent in a light that can't show the "
        "structure counts as not assessed, says which light to use, and leaves the entry as written. Nothing is "
        "absent by default. A report sends the recorded answer and the reason beside it.",
    ),
    Hazard(
        id="H04",
        hazard="Only a part of the lesion was seen, or something hid it.",
        causes="A lesion larger than the field; hair, crust, blood, blur, nail polish.",
        effects="Asymmetry, border and colours are counted too low.",
        controls="Coverage and limits stand on each view. Without a view of the whole lesion its whole-lesion values "
        "count as not assessed, and absent in limited views counts as uncertain: the score becomes an interval.",
    ),
    Hazard(
        id="H05",
        hazard="A method is used where it was not studied.",
        causes="Face, palm, nail, mucosa, a child, a scar, no pigment, a lesion that isn't melanocytic, another light.",
        effects="A low number that means nothing.",
        controls="Each method has a table of validity over site, class, pigment, age, earlier treatment and light: "
        "where it doesn't hold there is no number and a reason, where that can't be told a caution.",
    ),
    Hazard(
        id="H06",
        hazard="The software's low result talks a doctor out of acting.",
        causes="A total below a threshold called harmless; a warning sign not weighed; a nodule that is watched.",
        effects="Delay in melanoma, worst in nodular melanoma.",
        controls="A score says «below this method's threshold», never benign, normal or negative, and carries its "
        "cautions. Red flags outrank every score and are listed first. Reassurance or watching against a score, a "
        "name or a sign is an issue until a reason is recorded, and the reason goes with the report. No rule makes a "
        "plan less urgent.",
        open="No local pathway is read and compared.",
    ),
    Hazard(
        id="H07",
        hazard="A wrong total.",
        causes="Colours that methods count differently; two axes of symmetry for a method that asks for all; another "
        "threshold; rounding.",
        effects="A wrong verdict, either way.",
        controls="One description feeds every method through one table of criteria and one of colours; what sources "
        "leave open stays open and widens the interval. Totals are whole tenths, never rounded. Method, version, "
        "variant and threshold are named.",
    ),
    Hazard(
        id="H08",
        hazard="Too much typing, or a term picked wrongly.",
        causes="Many choices; names that look alike; «all absent» in one go; messages nobody reads.",
        effects="False certainty; a true warning overlooked.",
        controls="Lists that were gone through are named and hold the absences. Both names and a definition stand "
        "beside each code. Uncertain and not assessed are answers. Contradictions are issues. An ordinary good record "
        "gives no error and at most three warnings, and issues come the gravest first.",
    ),
    Hazard(
        id="H09",
        hazard="Missing history makes a report look complete.",
        causes="Fields that may be left out.",
        effects="A risk isn't seen.",
        controls="Unknown is told apart from no, and from not recorded. Completeness against the published report "
        "standard is a result of its own, item by item.",
        open="No letter prints «not recorded».",
    ),
    Hazard(
        id="H10",
        hazard="A reader believes that the patient was seen when only pictures were.",
        causes="An examination at a distance that isn't marked.",
        effects="A nodule or an enlarged node is missed.",
        controls="How examiner and patient met is part of the record and of the report. Feeling a lesion in pictures "
        "is an issue, and so are pictures too few for a reader at a distance.",
    ),
    Hazard(
        id="H11",
        hazard="A referral is lost, or too slow.",
        causes="No urgency; a request held back for a flaw in the data; no word on what to do when nothing comes.",
        effects="Delay.",
        controls="Errors never hold a report back: it goes out as preliminary, and an urgent request goes out active "
        "and as urgent as written. Rules ask for urgency, question, safety-net advice and the date by which the "
        "patient should have heard.",
        open="No letter is written. Whether a request arrives only the host can watch.",
    ),
    Hazard(
        id="H12",
        hazard="Monitoring that isn't.",
        causes="No first picture, nobody who calls back, too early, the patient doesn't come, another light.",
        effects="Growth is missed.",
        controls="Monitoring needs a first dermatoscopic picture in a known light, with a scale; a date, an owner, and "
        "what happens if nobody comes. «Unchanged» before the studied interval is an issue; an earlier visit never is.",
        open="Two examinations of one lesion aren't compared, so another light at the later visit isn't noticed.",
    ),
    Hazard(
        id="H13",
        hazard="Evidence is destroyed or only partly sampled.",
        causes="Freezing or scraping a pigmented lesion; a punch from a melanoma; tissue that isn't sent.",
        effects="A late or wrong diagnosis.",
        controls="Rules on destruction, partial sampling and unsent tissue, by kind of procedure, concern, names and "
        "scores.",
    ),
    Hazard(
        id="H14",
        hazard="A result isn't acted on, or doesn't match and nobody notices.",
        causes="No owner; a disagreement overlooked; a request with little in it.",
        effects="An untreated melanoma; a wrong diagnosis.",
        controls="An outcome is part of the record, with who was told. Rules ask for an owner and a date, notice an "
        "overdue, partial, insufficient or disagreeing result, and want somebody to act on a cancer.",
        open="No letter to the pathologist and no checklist of it.",
    ),
    Hazard(
        id="H15",
        hazard="A picture or a word reaches the wrong eyes, or a patient learns of cancer from paper.",
        causes="No consent; use for teaching; data inside a picture; a copy that says more than the talk did.",
        effects="Harm, complaint, unlawful use.",
        controls="Consent is recorded by purpose, and a missing, refused or withdrawn one is an issue. Pictures are "
        "referenced, never opened or embedded. Whether the patient was told is part of the plan. No entered text "
        "reaches an issue, an error or a log.",
        open="No export filters by purpose, no data inside a picture is removed, and no patient's copy is written.",
    ),
    Hazard(
        id="H16",
        hazard="Data change on the way.",
        causes="Rounding; conversion between releases; an extension that is dropped; a format without a word for it.",
        effects="A wrong light or size is acted on.",
        controls="One exact reader and one exact writer: digits, offsets and precision stay as written. JSON and XML "
        "hold the same content, and each release is checked against an independent implementation of its types.",
        open="Reports aren't read back, and no DICOM file is written.",
    ),
    Hazard(
        id="H17",
        hazard="A receiver misreads newer or foreign content.",
        causes="An unknown code or modifier that is ignored.",
        effects="The meaning is reversed.",
        controls="A code that isn't ours is kept and sent as it came, with its display, and never counts for a rule or "
        "a score. No modifier extension is sent.",
        open="Foreign reports aren't read.",
    ),
    Hazard(
        id="H18",
        hazard="An old version is acted on.",
        causes="An amended report that doesn't replace the former one; a wrong clock or zone; an old copy sent late.",
        effects="A wrong plan.",
        controls="A revision rises with every change; the first is created once, later ones update what they name, "
        "and what a revision withdraws goes out as entered in error. No clock is read: every time comes from the "
        "entry, with its offset. Times that can't be are issues.",
        open="Sending in any order isn't proved against a real server here.",
    ),
    Hazard(
        id="H19",
        hazard="The hospital lacks what it needs to act.",
        causes="No word on nodes, blood thinners, an implanted device, allergies, or who examined.",
        effects="Cancelled surgery, a second journey.",
        controls="Fields for what an operator and a reader ask, and rules that notice the gap when it matters.",
        open="No checklist of a referral as a result of its own.",
    ),
    Hazard(
        id="H20",
        hazard="The examination itself does harm.",
        causes="Alcohol on an eye, on mucosa or in a wound; a faceplate that carries an infection.",
        effects="Pain, infection.",
        controls="A rule on alcohol where it stings.",
        open="Cleaning the faceplate is a matter of practice.",
    ),
    Hazard(
        id="H21",
        hazard="A suspicion is stored as a diagnosis.",
        causes="An impression sent as a disorder or a confirmed condition, and taken into a problem list.",
        effects="A false label of cancer.",
        controls="An impression is an observation with its certainty, in a code of ours. A conclusion carries our "
        "summary words only. The code of a disorder is kept for a pathologist's result, and no condition is sent.",
    ),
    Hazard(
        id="H22",
        hazard="The library is taken for a diagnostic device or an automatic opinion.",
        causes="A product that shows a verdict by itself.",
        effects="Too much trust; a breach of regulation.",
        controls="No call returns a bare verdict: a score always holds its method, what it asked, what is open and "
        "its cautions. A report says who recorded the findings and that software only added them up.",
        open="What a host shows of it is the host's.",
    ),
    Hazard(
        id="H23",
        hazard="A host's or plugin's own rules weaken safety.",
        causes="A file that drops a red flag or lengthens a limit.",
        effects="As for H06.",
        controls="The rules are constants of the library; no setting removes or changes one.",
        open="No pathway files and no plugins, so nothing can weaken a rule yet, and nothing can add one.",
    ),
    Hazard(
        id="H24",
        hazard="A translation drafted by a machine misleads a patient.",
        causes="A language that nobody reviewed.",
        effects="A wrong instruction.",
        controls="All texts are in one language, from one catalogue and the tables.",
        open="No other language and no patient's copy.",
    ),
    Hazard(
        id="H25",
        hazard="The point is buried.",
        causes="Many findings, many messages.",
        effects="A reader misses what matters.",
        controls="Issues come the gravest first and red flags before the rest. The narrative of a report begins with "
        "concern, site and plan.",
        open="No letter.",
    ),
    Hazard(
        id="H26",
        hazard="A picture is swapped or altered.",
        causes="The same address, another content.",
        effects="A wrong comparison.",
        controls="A hash with its algorithm is part of the picture's record and of the report, so a receiver can "
        "compare.",
        open="No picture is opened, so the hash isn't compared with a file.",
    ),
)
