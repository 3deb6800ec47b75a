"""Pages and exports. Each asks for a permission, beside the sign-in that all of them ask for."""

from __future__ import annotations

import re
import uuid
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required, permission_required
from django.core.exceptions import BadRequest
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters, sensitive_variables
from django.views.decorators.http import require_GET, require_http_methods

import dermreport
from examinations import fields, saving
from examinations.models import Examination, Revision

_SEE: Final = "examinations.view_revision"
_ADD: Final = "examinations.add_revision"
_STYLE: Final = Path(__file__).with_name("style.css").read_bytes()
_FHIR_TYPES: Final = {"json": "application/fhir+json", "xml": "application/fhir+xml"}


@require_GET
@permission_required(_SEE, raise_exception=True)
def listing(request: HttpRequest) -> HttpResponse:
    """List examinations by number and day; nothing of a patient is in it."""
    found = [(one, one.latest) for one in Examination.objects.all()[:200]]
    return render(request, "examinations/list.html", {"examinations": found})


@require_GET
@permission_required(_ADD, raise_exception=True)
def new(request: HttpRequest) -> HttpResponse:
    """Show an empty form. Its number is made now, so that a button pressed twice makes one examination."""
    entered = {"examined": timezone.localtime().isoformat(timespec="seconds")}
    return _page(request, uuid.uuid4(), base=0, entered=entered)


@sensitive_post_parameters()
@sensitive_variables()
@require_http_methods(["GET", "POST"])
@permission_required(_SEE, raise_exception=True)
def examination(request: HttpRequest, number: uuid.UUID) -> HttpResponse:
    """Show an examination with what the library says of it, or save what was entered."""
    if request.method == "POST":
        return _save(request, number)
    latest = _revision(request, number)
    found = saving.checked(latest.entry)
    entered = fields.entered_of(found.entry)
    return _page(request, number, base=latest.revision, entered=entered, found=found)


@permission_required(_ADD, raise_exception=True)
def _save(request: HttpRequest, number: uuid.UUID) -> HttpResponse:
    names = {*(field.name for field in fields.FIELDS), *map(fields.structure_name, fields.STRUCTURES)}
    entered = {name: value for name, value in request.POST.items() if name in names}
    base = int(request.POST["base"]) if request.POST.get("base", "").isdecimal() else 0
    wish = next((one for one in saving.Wish if one in request.POST), saving.Wish.DRAFT)
    try:
        saving.save(number, base, entered, wish=wish, user=request.user)
    except saving.NotSavedError as error:
        messages.error(request, f"Not saved, and what you entered is still here. {error}")
        return _page(request, number, base=base, entered=entered, status=409)
    return redirect("examination", number=number)


def _page(  # noqa: PLR0913 - what a page shows, by name only
    request: HttpRequest,
    number: uuid.UUID,
    *,
    base: int,
    entered: Mapping[str, str],
    found: saving.Checked | None = None,
    status: int = 200,
) -> HttpResponse:
    placed = fields.placed(found.issues, found.entry) if found is not None else {}

    def shown(field: fields.Field) -> dict[str, Any]:
        value = entered.get(field.name, "")
        return _shown(field.name, field.label, entered, placed) | {
            "choices": field.choices,
            # What isn't in the list, as from another system, is shown and not lost at the next save.
            "unknown": bool(field.choices and value and value not in set(field.choices)),
            "hint": field.hint,
            "number": field.number,
            "long": field.long,
        }

    context = {
        "number": number,
        "base": base,
        "found": found,
        "issues": [] if found is None else [_issue(issue, found, placed) for issue in found.issues],
        "groups": [(group.title, [shown(field) for field in group.fields]) for group in fields.GROUPS],
        "structures": [
            _shown(fields.structure_name(one), one.display, entered, placed)
            | {"choices": fields.PRESENCES, "hint": one.definition}
            for one in fields.STRUCTURES
        ],
    }
    return render(request, "examinations/examination.html", context, status=status)


def _shown(
    name: str, label: str, entered: Mapping[str, str], placed: Mapping[str, list[dermreport.Issue]]
) -> dict[str, Any]:
    ident = name.replace(".", "-")
    issues = placed.get(name, [])
    wrong = any(one.severity is dermreport.Severity.ERROR for one in issues)
    value = entered.get(name, "")
    return {"name": name, "id": ident, "label": label, "value": value, "issues": issues, "wrong": wrong}


def _issue(
    issue: dermreport.Issue, found: saving.Checked, placed: Mapping[str, list[dermreport.Issue]]
) -> dict[str, Any]:
    at = next((name for name, issues in placed.items() if issue in issues), "")
    label = _LABELS.get(at, "")
    return {"issue": issue, "urgent": fields.is_urgent(issue, found.review), "at": at.replace(".", "-"), "label": label}


_LABELS: Final = {field.name: field.label for field in fields.FIELDS} | {
    fields.structure_name(one): one.display for one in fields.STRUCTURES
}


@require_GET
@permission_required(_SEE, raise_exception=True)
def fhir(request: HttpRequest, number: uuid.UUID) -> HttpResponse:
    """Give the report as FHIR: ``?release=R4``, ``R4B`` or ``R5``, ``&format=json`` or ``xml``, ``&revision=1``."""
    release, form = request.GET.get("release", "R4"), request.GET.get("format", "json")
    if release not in set(dermreport.Release) or form not in _FHIR_TYPES:
        return HttpResponse("release is R4, R4B or R5; format is json or xml", status=400, content_type="text/plain")
    bundle = dermreport.to_fhir(_review(request, number), release=release).bundle("collection")
    text = bundle.to_xml() if form == "xml" else bundle.to_json()
    return _file(text, f"{_FHIR_TYPES[form]}; charset=utf-8", f"{number}.{release.lower()}.{form}")


@require_GET
@permission_required(_SEE, raise_exception=True)
def letter(request: HttpRequest, number: uuid.UUID) -> HttpResponse:
    """Give a letter: ``?kind=referral``, ``patient`` or ``pathologist``, ``&format=text``, ``html`` or ``pdf``."""
    kind, form = request.GET.get("kind", "referral"), request.GET.get("format", "pdf")
    if kind not in set(dermreport.LetterKind) or form not in set(dermreport.LetterFormat):
        return HttpResponse(
            "kind is referral, patient or pathologist; format is text, html or pdf",
            status=400,
            content_type="text/plain",
        )
    made = dermreport.letter(_review(request, number), kind=kind, format=form, settings=settings.LETTERS)
    return _file(made.content, made.media_type, made.name)


@require_GET
@login_not_required
def style(_: HttpRequest) -> HttpResponse:
    """Give the style sheet."""
    return HttpResponse(_STYLE, content_type="text/css; charset=utf-8")


def _revision(request: HttpRequest, number: uuid.UUID) -> Revision:
    asked = request.GET.get("revision")
    if asked is None:
        found = get_object_or_404(Examination, number=number).latest
        if found is None:
            raise Http404
        return found
    if not _is_revision(asked):
        # Another one than was asked for would be taken for it.
        raise BadRequest
    return get_object_or_404(Revision, examination=number, revision=int(asked))


_is_revision: Final = re.compile(r"[0-9]{1,9}").fullmatch


def _review(request: HttpRequest, number: uuid.UUID) -> dermreport.Review:
    review = saving.checked(_revision(request, number).entry).review
    if review is None:
        # Nothing of it can be held, so there is no report; the page says why.
        raise Http404
    return review


def _file(content: str | bytes, media_type: str, name: str) -> HttpResponse:
    response = HttpResponse(content, content_type=media_type)
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
