"""A report: the resources of reviews in one release of FHIR, and the bundles made of them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from msgspec.structs import replace

from dermreport.examination.people import may_be_one_patient, system_and_value
from dermreport.fhir import bundle as bundles
from dermreport.fhir.build import Visit, build, corrected, withdrawn
from dermreport.fhir.bundle import ENTITY_TAG, Bundle, BundleKind
from dermreport.fhir.foreign import Foreign, check_foreign, joined
from dermreport.fhir.letters import check_letters, with_letters
from dermreport.fhir.outcome import outcome
from dermreport.fhir.people import Pointing, pointing
from dermreport.fhir.plugin_resources import failures, with_plugins
from dermreport.fhir.plugin_revisions import without_lost
from dermreport.fhir.previous import check_previous, following
from dermreport.fhir.releases import Release, shape_of
from dermreport.fhir.write import fresh
from dermreport.issues import BuildError, SettingsError, must_be, one_of
from dermreport.letter_file import LetterFile
from dermreport.reviews.review import Review
from dermreport.wording.report import tell

if TYPE_CHECKING:
    from dermreport.issues import Issue


class Former(NamedTuple):
    """What was known before a report: former revisions of its examinations, and previous examinations."""

    earlier: tuple[Review, ...]
    after: tuple[Review, ...]


class Added(NamedTuple):
    """What goes out beside the examinations: what others added, and finished letters."""

    foreign: Foreign | None
    letters: tuple[LetterFile, ...]


class Report:
    """The resources of the reviews of one patient, in one release.

    Attributes:
        release: The release of FHIR.
    """

    __slots__ = (
        "_after",
        "_earlier",
        "_foreign",
        "_if_match",
        "_kept",
        "_left_out",
        "_letters",
        "_made",
        "_plugin_issues",
        "_reviews",
        "_shape",
        "_told",
        "release",
    )
    release: Release

    def __init__(
        self,
        reviews: tuple[Review, ...],
        release: Release,
        former: Former,
        if_match: str | None,
        added: Added,
    ) -> None:
        """Keep what the resources are made of; they are made when they are asked for."""
        self.release = release
        self._reviews = reviews
        self._after = former.after
        self._if_match = if_match
        self._foreign = added.foreign
        self._letters = added.letters
        self._left_out: tuple[Issue, ...] = ()
        self._shape = shape_of(release)
        self._plugin_issues: tuple[Issue, ...] = ()
        self._earlier, self._kept = without_lost(former.earlier, reviews)
        self._told = tuple(tell(one) for one in reviews)
        self._made: dict[Pointing, Visit] = {}
        self._build(Pointing.TO_HOST)

    def _build(self, how: Pointing) -> Visit:
        """Return the resources that point to people in this way, made once."""
        if how not in self._made:
            current = build(self._reviews, self._told, self._shape, how)
            if self._after:
                current = following(current, self._after, self._shape, how)
            current, broken = with_plugins(current, self.release)
            self._plugin_issues = failures(current, broken)
            if self._earlier and how is not Pointing.INSIDE:
                former = build(self._earlier, tuple(tell(one) for one in self._earlier), self._shape, how)
                # What a maker that fails now made before isn't withdrawn by that.
                former, _ = with_plugins(former, self.release, frozenset(broken))
                current = replace(corrected(former, current), withdrawn=withdrawn(former, current))
            if self._letters:
                current = with_letters(current, self._letters, self._shape)
            if self._foreign:
                current, self._left_out = joined(current, self._foreign, self.release)
            self._made[how] = current
        return self._made[how]

    @property
    def resources(self) -> tuple[dict[str, Any], ...]:
        """Every resource in order, with its id, as new dicts that share nothing."""
        return tuple(fresh(bundles.with_id(built)) for built in self._build(Pointing.TO_HOST).all)

    def bundle(self, kind: BundleKind | str = BundleKind.TRANSACTION) -> Bundle:
        """Return a bundle.

        Args:
            kind: ``transaction`` for a server, ``collection`` for a file, ``document`` for a reader.

        Raises:
            BuildError: A document lacks the examiner, or a time with its offset.
            SettingsError: There is no such kind.
        """
        kind = one_of("bundle: kind", BundleKind, kind)
        if kind is BundleKind.TRANSACTION:
            visit = self._build(pointing(self._reviews[0].settings.persons))
            content = bundles.transaction(visit, self._if_match)
        elif kind is BundleKind.COLLECTION:
            content = bundles.collection(self._build(Pointing.TO_HOST))
        else:
            content = bundles.document(self._build(Pointing.INSIDE), self._shape)
        return Bundle(content, kind, self.release, self._shape)

    def outcome(self) -> dict[str, Any]:
        """Return the issues, what is missing, and what others added and isn't sent, as a new OperationOutcome."""
        known = {system_and_value(one.examination.identifier) for one in self._earlier}
        later = (one for one in self._reviews if one.examination.revision > 1)
        alone = [one for one in later if system_and_value(one.examination.identifier) not in known]
        return outcome(self._reviews, alone, self.left_out)

    @property
    def left_out(self) -> tuple[Issue, ...]:
        """What isn't sent, or not as it was received: what others added, and what plugins failed to make."""
        self._build(Pointing.TO_HOST)
        return (*self._left_out, *self._plugin_issues, *self._kept)


def to_fhir(  # noqa: PLR0913 - what a report is made of, by name only
    review: Review | Sequence[Review],
    *,
    release: Release | str = Release.R4,
    earlier: Review | Sequence[Review] | None = None,
    after: Review | Sequence[Review] | None = None,
    if_match: str | None = None,
    foreign: Foreign | None = None,
    letters: Sequence[LetterFile] = (),
) -> Report:
    """Write reviews as FHIR resources.

    Args:
        review: The review of one examination, or those of one visit. Nothing in it is changed.
        release: R4, R4B or R5.
        earlier: The review of the former revision: what it had and this one lacks is sent as entered in error.
            Without it nothing is withdrawn.
        after: The review of the previous examination of the same lesion, or one for each of several lesions: the
            report and its Observations point to those of that examination.
        if_match: The version of the report that the host knows, as ``W/"3"`` (the header ``ETag`` of the answer in
            which it came; ``meta.versionId`` is what stands in the quotation marks): the server refuses to update
            another.
        foreign: What others added when this was read (``Reading.foreign``): it is sent again.
        letters: Finished letters: each goes out as a DocumentReference, the referral also as the report's presented
            form. Of a visit they hang on the first report.

    Returns:
        The report; ids, times and order come from the entries alone, so the same entries give the same report.

    Raises:
        TypeError: It isn't a review.
        BuildError: The examinations are of different patients, ``earlier`` isn't a former revision of them,
            ``after`` no previous examination of their lesions, ``foreign`` was read with another report or patient, or
            ``letters`` are of another report or revision, or two of one kind, language and format.
        SettingsError: There is no such release, or ``if_match`` is no version of that form.
    """
    reviews = (review,) if isinstance(review, Review) else tuple(review) if isinstance(review, Sequence) else (review,)
    if not all(isinstance(one, Review) for one in reviews):
        raise TypeError("to_fhir takes a Review, or several of one visit: see dermreport.review")
    must_be("to_fhir: foreign", foreign, Foreign, type(None))
    chosen = one_of("to_fhir: release", Release, release)
    must_be("to_fhir: if_match", if_match, str, type(None))
    if if_match is not None and not re.fullmatch(ENTITY_TAG, if_match):
        raise SettingsError('to_fhir: if_match is the version of a report as W/"3", with its quotation marks')
    former, previous = _reviews(earlier), _reviews(after)
    revisions = {system_and_value(one.examination.identifier): one.examination.revision for one in reviews}
    for one in former:
        revision = revisions.get(system_and_value(one.examination.identifier))
        if revision is None:
            raise BuildError("`earlier` is of another examination: give the former revision of the same one.")
        if not may_be_one_patient(one.examination.patient, reviews[0].examination.patient):
            raise BuildError(
                "`earlier` is of another patient: withdraw that report, and write a new one for this patient."
            )
        if one.examination.revision >= revision:
            raise BuildError("`earlier` isn't a former revision: its revision must be the lower one.")
    check_previous(reviews, previous)
    if foreign is not None:
        check_foreign(foreign, [one.examination for one in reviews])
    for letter in letters:
        must_be("to_fhir: each of letters", letter, LetterFile)
    check_letters(letters, [one.examination for one in reviews])
    return Report(reviews, chosen, Former(former, previous), if_match, Added(foreign, tuple(letters)))


def _reviews(given: Review | Sequence[Review] | None) -> tuple[Review, ...]:
    several = () if given is None else tuple(given) if isinstance(given, Sequence) else (given,)
    for one in several:
        must_be("to_fhir: each of earlier and after", one, Review)
    return several
