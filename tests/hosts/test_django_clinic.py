"""The example of a Django application: entries are kept digit for digit, what is urgent goes out, nothing leaks."""

from __future__ import annotations

import html
import io
import json
import logging
import os
import re
import sqlite3
import subprocess
import sys
import uuid
from collections.abc import Iterator
from contextlib import closing
from html.parser import HTMLParser
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from unittest.mock import patch

import pytest

import dermreport

ROOT = Path(__file__).parent.parent.parent
HOST = ROOT / "examples" / "hosts" / "django_clinic"
PATIENT = "p-7788"
#: A record without errors, that calls for nothing.
CALM = {
    "patient.reference": PATIENT,
    "background.age_years": "42",
    "examined": "2026-03-04T10:15:00+01:00",
    "lesion.site": "forearm-extensor",
    "lesion.side": "left",
    "lesion.longest_mm": "4.50",
    "views.0.light": "polarised",
    "views.0.contact": "non-contact",
    "structure.network-typical": "present",
    "assessment.concern": "benign",
    "plan.actions.0.action": "reassure-with-advice",
    "plan.safety_net.watch_for": "Growth, or bleeding.",
    "plan.safety_net.contact": "Clinic desk, +00 555 0100",
}
#: Half filled in, with a number that isn't one, and urgent.
URGENT = {
    "patient.reference": PATIENT,
    "examined": "2026-03-04T10:15:00+01:00",
    "lesion.site": "forearm-extensor",
    "lesion.longest_mm": "4,5",
    "lesion.history.growing.answer": "yes",
    "assessment.concern": "suspicious",
    "assessment.words": "Zaubermarke",
    "plan.actions.0.action": "refer-suspected-cancer",
    "plan.actions.0.urgency": "urgent",
}


@pytest.fixture(scope="module")
def django() -> Iterator[SimpleNamespace]:
    """The application with a database in memory; what setting it up changes is put back."""
    root = logging.getLogger()
    before = root.handlers[:], root.level
    environment = {"DJANGO_SETTINGS_MODULE": "clinic.settings", "CLINIC_DEBUG": "1", "CLINIC_DATABASE": ":memory:"}
    with patch.dict(os.environ, environment), patch.object(sys, "path", [str(HOST), *sys.path]):
        import django as library
        from django.test.utils import setup_databases, setup_test_environment, teardown_databases
        from django.test.utils import teardown_test_environment as tear_down

        library.setup()
        root.handlers[:], root.level = before
        setup_test_environment()
        made = setup_databases(verbosity=0, interactive=False)
        from django.contrib.auth.models import Permission, User
        from examinations import fields, models, saving

        for name, codes in (("ada", ("add_revision", "view_revision")), ("reader", ("view_revision",)), ("nobody", ())):
            user = User.objects.create_user(name)
            user.user_permissions.set(Permission.objects.filter(codename__in=codes))
        yield SimpleNamespace(fields=fields, models=models, saving=saving, User=User)
        teardown_databases(made, verbosity=0)
        tear_down()


@pytest.fixture
def clinic(django: SimpleNamespace) -> Iterator[SimpleNamespace]:
    """The application, whose changes are undone at the end."""
    from django.db import transaction

    with transaction.atomic():
        yield django
        transaction.set_rollback(True)


def signed_in(name: str = "ada", **options: Any) -> Any:
    from django.contrib.auth.models import User
    from django.test import Client

    client = Client(**options)
    client.force_login(User.objects.get(username=name))
    return client


def saved(entered: dict[str, str], *, wish: str = "draft", number: str = "", base: int = 0, client: Any = None) -> str:
    """Save through the page, and return the number of the examination."""
    number = number or str(uuid.uuid4())
    answer = (client or signed_in()).post(f"/{number}/", {**entered, "base": base, wish: ""})
    assert answer.status_code == 302, answer.content.decode()
    return number


def latest(clinic: SimpleNamespace, number: str) -> Any:
    return clinic.models.Examination.objects.get(number=number).latest


class Page(HTMLParser):
    """A page: its controls by name, what labels and describes them, its texts by id."""

    def __init__(self, content: bytes) -> None:
        super().__init__()
        self.controls: dict[str, dict[str, str | None]] = {}
        self.labels: set[str] = set()
        self.ids: list[str] = []
        self.texts: dict[str, str] = {}
        self._open: list[str] = []
        self.feed(content.decode())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if "id" in given:
            self.ids.append(str(given["id"]))
        if tag in {"input", "select", "textarea"} and given.get("type") != "hidden":
            self.controls[str(given["name"])] = given
        if tag == "label":
            self.labels.add(str(given["for"]))
        if tag in {"ul", "p"}:
            self._open.append(str(given.get("id", "")))

    def handle_endtag(self, tag: str) -> None:
        if tag in {"ul", "p"}:
            self._open.pop()

    def handle_data(self, data: str) -> None:
        for ident in self._open:
            self.texts[ident] = self.texts.get(ident, "") + data


# --- the record


def test_an_entry_is_kept_digit_for_digit_and_is_what_the_library_reads(clinic: SimpleNamespace) -> None:
    number = saved(CALM, wish="finish")
    row = latest(clinic, number)
    assert '"longest_mm":4.50' in row.entry
    exam = dermreport.Examination.from_json(row.entry)
    assert exam.identifier.value == number
    assert exam.status == "final"
    assert (row.revision, row.errors, row.word) == (1, 0, dermreport.review(exam).summary.value)
    assert "4.50" in signed_in().get(f"/{number}/fhir/").content.decode()


def test_what_the_page_shows_and_sends_again_changes_nothing_but_the_revision(clinic: SimpleNamespace) -> None:
    number = saved(CALM)
    first = latest(clinic, number)
    shown = Page(signed_in().get(f"/{number}/").content)
    assert shown.controls.keys() >= CALM.keys()
    saved(clinic.fields.entered_of(clinic.fields.read(first.entry)), number=number, base=1)
    assert latest(clinic, number).entry == first.entry.replace('"revision":1', '"revision":2')


def test_what_the_form_does_not_know_stays_in_the_record(clinic: SimpleNamespace) -> None:
    text = (ROOT / "examples" / "back-melanoma-suspected-referred.json").read_text(encoding="utf-8")
    former = clinic.fields.read(text)
    entered = clinic.fields.entered_of(former) | {"assessment.words": "Seen again."}
    made = clinic.fields.entry_of(entered, former, {})
    expected = dermreport.Examination.from_json(text).to_dict()
    expected["assessment"]["words"] = "Seen again."
    assert dermreport.Examination.from_json(clinic.fields.written(made)).to_dict() == expected


def test_a_code_of_others_is_shown_and_kept(clinic: SimpleNamespace) -> None:
    site = {"system": "https://clinic.example/codes", "code": "X1", "display": "Somewhere"}
    former = {"lesion": {"site": site}}
    entered = clinic.fields.entered_of(former)
    assert clinic.fields.entry_of(entered, former, {})["lesion"] == {"site": site}
    assert clinic.fields.entry_of(entered | {"lesion.site": "chest"}, former, {})["lesion"] == {"site": "chest"}


def test_a_field_that_is_emptied_leaves_nothing_behind(clinic: SimpleNamespace) -> None:
    former = clinic.fields.entry_of(CALM | {"lesion.history.new.answer": "yes"}, {}, {"status": "draft"})
    assert former["lesion"]["history"] == {"new": {"answer": "yes", "known_by": "patient"}}
    assert former["findings"] == [{"structure": "network-typical", "presence": "present", "views": ["a"]}]
    assert clinic.fields.entry_of({}, former, {}) == {"status": "draft"}


def test_revisions_are_added_and_neither_changed_nor_deleted(clinic: SimpleNamespace) -> None:
    from django.db import DatabaseError, connection, transaction

    number = saved(CALM)
    row = latest(clinic, number)
    row.word = "changed"
    rows = clinic.models.Revision.objects
    for change in (row.save, row.delete, lambda: rows.update(word=""), rows.all().delete):
        with pytest.raises(clinic.models.AppendOnlyError):
            change()
    for statement in ("UPDATE examinations_revision SET word = ''", "DELETE FROM examinations_revision"):
        with pytest.raises(DatabaseError, match="only added"), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(statement)
    assert latest(clinic, number).word != "changed"


def test_a_final_record_is_amended_and_never_a_draft_again(clinic: SimpleNamespace) -> None:
    number = saved(CALM, wish="finish")
    saved(CALM | {"lesion.longest_mm": "wide"}, number=number, base=1)
    row = latest(clinic, number)
    assert json.loads(row.entry)["status"] == "amended"
    assert row.errors > 0
    saved(CALM, wish="withdraw", number=number, base=2)
    row = latest(clinic, number)
    assert json.loads(row.entry)["status"] == "entered-in-error"
    assert [one.revision.revision for one in clinic.models.Outgoing.objects.order_by("id")] == [1, 2, 3]


# --- nothing is lost, nothing urgent waits


def test_a_record_with_errors_is_saved_and_its_urgent_plan_goes_out(clinic: SimpleNamespace) -> None:
    number = saved(URGENT, wish="finish")
    row = latest(clinic, number)
    assert json.loads(row.entry)["status"] == "draft"
    assert row.errors > 0
    assert json.loads(row.entry)["lesion"]["longest_mm"] == "4,5"
    (going,) = clinic.models.Outgoing.objects.all()
    assert (going.revision, going.urgent) == (row, True)
    report = json.loads(signed_in().get(f"/{number}/fhir/").content)
    request = next(e["resource"] for e in report["entry"] if e["resource"]["resourceType"] == "ServiceRequest")
    assert (request["status"], request["priority"]) == ("active", "urgent")


def test_a_calm_draft_waits_for_its_clinician(clinic: SimpleNamespace) -> None:
    number = saved(CALM)
    assert clinic.models.Outgoing.objects.count() == 0
    saved(CALM, wish="finish", number=number, base=1)
    assert [one.urgent for one in clinic.models.Outgoing.objects.all()] == [False]


def test_a_record_of_which_nothing_can_be_held_is_saved_and_says_that_its_plan_was_not_sent(
    clinic: SimpleNamespace,
) -> None:
    number = saved(URGENT | {"patient.reference": ""})
    assert "Zaubermarke" in latest(clinic, number).entry
    assert clinic.models.Outgoing.objects.count() == 0
    page = signed_in().get(f"/{number}/").content.decode()
    assert "has <strong>not</strong> been sent" in page
    first = re.search(r'<ul class="issues">\s*<li class="(\w+)">.*?</strong> ([^<]+)', page)
    assert first is not None
    assert first[1] == "urgent"
    assert "none of it has been sent" in html.unescape(first[2])
    assert signed_in().get(f"/{number}/fhir/").status_code == 404


def test_a_plan_under_a_name_that_is_not_known_is_told_like_one_that_was_not_sent(clinic: SimpleNamespace) -> None:
    found = clinic.saving.checked('{"status": "draft", "plann": {"actions": []}}')
    assert found.was_not_sent
    assert found.issues[0].rule == "entry-plan-not-known"


def test_a_part_of_a_plan_that_can_not_go_out_is_told_while_the_rest_goes_out(clinic: SimpleNamespace) -> None:
    number = saved(URGENT)
    first = latest(clinic, number)
    clinic.models.Revision.objects.create(
        examination=first.examination,
        revision=2,
        entry=first.entry.replace('"plan":', '"plann":"excise","plan":'),
        word=first.word,
        errors=first.errors,
        saved_by=first.saved_by,
    )
    page = signed_in().get(f"/{number}/").content.decode()
    assert "Not all that may be planned here can go out" in page
    assert "This calls for action" in page


def test_a_button_that_is_pressed_twice_saves_once(clinic: SimpleNamespace) -> None:
    number = saved(URGENT)
    saved(URGENT, number=number)
    assert clinic.models.Revision.objects.count() == clinic.models.Outgoing.objects.count() == 1


def test_two_who_save_at_once_do_not_overwrite_each_other(clinic: SimpleNamespace) -> None:
    number = saved(CALM)
    answer = signed_in().post(f"/{number}/", {**URGENT, "base": 0, "draft": ""})
    assert answer.status_code == 409
    page = answer.content.decode()
    assert "Not saved" in page
    assert "Zaubermarke" in page
    assert clinic.models.Revision.objects.count() == 1


def test_a_report_that_went_out_keeps_its_patient(clinic: SimpleNamespace) -> None:
    number = saved(CALM)
    saved(CALM | {"patient.reference": "p-1"}, wish="finish", number=number, base=1)
    answer = signed_in().post(f"/{number}/", {**CALM, "base": 2, "finish": ""})
    assert answer.status_code == 409
    assert "another patient" not in latest(clinic, number).entry
    assert json.loads(latest(clinic, number).entry)["patient"] == {"reference": "Patient/p-1"}


def test_every_revision_that_goes_out_reaches_the_outbox_once_and_withdraws_what_went_before(
    clinic: SimpleNamespace, tmp_path: Path
) -> None:
    from django.core.management import call_command

    number = saved(URGENT)
    outbox, out = tmp_path / "outbox.sqlite3", io.StringIO()
    call_command("hand_over", outbox, stdout=out)
    saved(CALM, wish="finish", number=number, base=1)
    call_command("hand_over", outbox, stdout=out)
    call_command("hand_over", outbox, stdout=out)
    # As if it had been killed after the outbox had it.
    clinic.models.Outgoing.objects.update(handed_over=None)
    call_command("hand_over", outbox, stdout=out)
    with closing(sqlite3.connect(outbox)) as rows:
        found = rows.execute("SELECT urgent, body FROM messages ORDER BY id").fetchall()
    assert [urgent for urgent, _ in found] == [1, 0]
    second = json.loads(found[1][1])
    withdrawn = [e["resource"] for e in second["entry"] if e["resource"].get("status") == "entered-in-error"]
    assert withdrawn
    assert PATIENT not in out.getvalue()


# --- the page


def test_issues_stand_beside_their_fields_and_urgent_ones_first(clinic: SimpleNamespace) -> None:
    signs = {"lesion.compared_with_others": "stands-out", "plan.actions.0.action": "reassure-with-advice"}
    number = saved(URGENT | signs | {"assessment.concern": "benign", "plan.actions.0.urgency": ""})
    content = signed_in().get(f"/{number}/").content
    page = Page(content)
    assert "a number is expected" in page.texts["lesion-longest_mm-issues"]
    control = page.controls["lesion.longest_mm"]
    assert control["aria-invalid"] == "true"
    assert "lesion-longest_mm-issues" in str(control["aria-describedby"]).split()
    assert control["value"] == "4,5"
    assert "side" in page.texts["lesion-side-issues"].lower()
    listed = re.findall(r'<li class="(\w+)"><strong>\w+:</strong>[^\n]*(?=\n)', content.decode())
    review = clinic.saving.checked(latest(clinic, number).entry).review
    shown = listed[: len(review.issues)]
    rank = ["urgent", "error", "warning", "information"]
    assert shown == sorted(shown, key=rank.index)
    assert shown.count("urgent") == len(review.red_flags) > 0
    # A warning sign alone makes it go out, whatever the plan says.
    assert [one.urgent for one in clinic.models.Outgoing.objects.all()] == [True]


@pytest.mark.parametrize("entered", [{}, CALM, URGENT])
def test_every_control_has_a_label_and_what_describes_it_exists(clinic: SimpleNamespace, entered: Any) -> None:
    client = signed_in()
    content = client.get(f"/{saved(entered)}/" if entered else "/new/").content
    page = Page(content)
    assert len(page.ids) == len(set(page.ids))
    assert len(page.controls) == len(clinic.fields.FIELDS) + len(clinic.fields.STRUCTURES)
    for control in page.controls.values():
        assert control["id"] in page.labels
        assert set(str(control.get("aria-describedby") or "").split()) <= set(page.ids)
    for target in re.findall(r'href="#([^"]+)"', content.decode()):
        assert target in page.ids
    assert "<script" not in content.decode()
    assert " style=" not in content.decode()


def test_nothing_is_chosen_beforehand(clinic: SimpleNamespace) -> None:  # noqa: ARG001 - the application
    content = signed_in().get("/new/").content.decode()
    assert " selected" not in content
    assert "checked" not in content


def test_what_is_entered_is_no_markup(clinic: SimpleNamespace) -> None:  # noqa: ARG001 - the application
    number = saved(CALM | {"assessment.words": "</textarea><b>x", "lesion.longest_mm": '"><b>y'})
    content = signed_in().get(f"/{number}/").content.decode()
    assert "<b>" not in content


# --- exports


@pytest.mark.parametrize("release", ["R4", "R4B", "R5"])
@pytest.mark.parametrize("form", ["json", "xml"])
def test_the_export_is_the_library_s(clinic: SimpleNamespace, release: str, form: str) -> None:
    number = saved(URGENT)
    answer = signed_in().get(f"/{number}/fhir/?release={release}&format={form}")
    review = clinic.saving.checked(latest(clinic, number).entry).review
    bundle = dermreport.to_fhir(review, release=release).bundle("collection")
    assert answer.content.decode() == (bundle.to_json() if form == "json" else bundle.to_xml())
    assert answer["Content-Type"] == f"application/fhir+{form}; charset=utf-8"
    reading = dermreport.from_fhir(answer.content)
    # The report says where it was done, as the settings do.
    expected = {**review.examination.to_dict(), "organisation": {"reference": "Organization/harbour-lane"}}
    assert reading.examination == dermreport.Examination.model_validate(expected)


def test_an_earlier_revision_can_be_exported(clinic: SimpleNamespace) -> None:  # noqa: ARG001 - the application
    number = saved(URGENT)
    saved(CALM, number=number, base=1)
    client = signed_in()
    assert "Zaubermarke" in client.get(f"/{number}/fhir/?revision=1").content.decode()
    assert "Zaubermarke" not in client.get(f"/{number}/fhir/").content.decode()
    assert client.get(f"/{number}/fhir/?revision=3").status_code == 404


@pytest.mark.parametrize("query", ["release=R3", "format=pdf"])
def test_what_is_asked_wrongly_is_refused(clinic: SimpleNamespace, query: str) -> None:  # noqa: ARG001
    number = saved(CALM)
    assert signed_in().get(f"/{number}/fhir/?{query}").status_code == 400
    assert signed_in().get(f"/{number}/letter/?kind=x").status_code == 400


@pytest.mark.parametrize("asked", ["x", "", "-1", "1.0", "9" * 5000, "²", "1 "])
@pytest.mark.parametrize("page", ["", "fhir/", "letter/"])
def test_what_is_no_revision_gets_no_other_one(clinic: SimpleNamespace, page: str, asked: str) -> None:  # noqa: ARG001
    number = saved(CALM)
    assert signed_in().get(f"/{number}/{page}", {"revision": "1"}).status_code == 200
    assert signed_in().get(f"/{number}/{page}", {"revision": asked}).status_code == 400
    assert signed_in().get(f"/{number}/{page}", {"revision": "999999999"}).status_code == 404


@pytest.mark.parametrize(("form", "start"), [("pdf", b"%PDF-"), ("html", b"<!"), ("text", b"")])
@pytest.mark.parametrize("kind", ["referral", "patient"])
def test_a_letter_comes_as_a_file_whose_name_says_nothing(
    clinic: SimpleNamespace,  # noqa: ARG001
    kind: str,
    form: str,
    start: bytes,
) -> None:
    number = saved(URGENT)
    answer = signed_in().get(f"/{number}/letter/?kind={kind}&format={form}")
    assert answer.status_code == 200
    assert answer.content.startswith(start)
    assert answer["Content-Disposition"].startswith("attachment; filename=")
    assert PATIENT not in answer["Content-Disposition"]


# --- who may


PAGES = ["/", "/new/", "/{}/", "/{}/fhir/", "/{}/letter/"]


@pytest.mark.parametrize("page", PAGES)
def test_nobody_sees_a_page_without_signing_in_and_without_permission(clinic: SimpleNamespace, page: str) -> None:  # noqa: ARG001
    from django.test import Client

    path = page.format(saved(CALM))
    answer = Client().get(path)
    assert answer.status_code == 302
    assert answer["Location"].startswith("/sign-in/")
    assert signed_in("nobody").get(path).status_code == 403
    assert signed_in("reader").get(path).status_code == (403 if page == "/new/" else 200)
    assert signed_in("ada").get(path).status_code == 200


def test_who_may_only_read_saves_nothing(clinic: SimpleNamespace) -> None:
    for name in ("reader", "nobody"):
        answer = signed_in(name).post(f"/{uuid.uuid4()}/", {**CALM, "base": 0, "draft": ""})
        assert answer.status_code == 403
    assert clinic.models.Examination.objects.count() == 0


def test_a_form_of_another_site_is_refused(clinic: SimpleNamespace) -> None:
    client = signed_in(enforce_csrf_checks=True)
    answer = client.post(f"/{uuid.uuid4()}/", {**CALM, "base": 0, "draft": ""})
    assert answer.status_code == 403
    assert clinic.models.Revision.objects.count() == 0
    token = re.search(r'csrfmiddlewaretoken" value="(\w+)"', client.get("/new/").content.decode())
    assert token is not None
    given = {**CALM, "base": 0, "draft": "", "csrfmiddlewaretoken": token[1]}
    assert client.post(f"/{uuid.uuid4()}/", given).status_code == 302


@pytest.mark.parametrize("page", PAGES)
def test_nothing_is_kept_by_a_browser_and_no_script_runs(clinic: SimpleNamespace, page: str) -> None:  # noqa: ARG001
    answer = signed_in().get(page.format(saved(CALM)))
    assert answer["Cache-Control"] == "no-store"
    assert "default-src 'none'" in answer["Content-Security-Policy"]
    assert "script-src" not in answer["Content-Security-Policy"]
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["X-Frame-Options"] == "DENY"


# --- nothing of a patient is in a log


def test_nothing_that_was_entered_is_in_an_address_or_a_log(clinic: SimpleNamespace) -> None:
    from clinic.logs import Careful

    heard = io.StringIO()
    handler = logging.StreamHandler(heard)
    handler.setFormatter(Careful())
    loggers = [logging.getLogger(name) for name in ("", "django")]
    for one in loggers:
        one.addHandler(handler)
    # No time of day can look like this, as it can like «4,5».
    entered = URGENT | {"lesion.longest_mm": "thumbwide"}
    try:
        client = signed_in(raise_request_exception=False)
        number = saved(entered, client=client)
        client.get(f"/{number}/")
        client.get(f"/{uuid.uuid4()}/")
        client.post(f"/{number}/", {**entered, "base": 7, "draft": ""})

        def failing(text: str) -> None:
            raise ValueError(text)

        with patch.object(clinic.saving, "checked", failing):
            assert client.get(f"/{number}/").status_code == 500
    finally:
        for one in loggers:
            one.removeHandler(handler)
    told = heard.getvalue()
    assert "ValueError" in told
    assert "test_django_clinic.py" in told
    assert number in told
    for secret in (PATIENT, "Zaubermarke", "thumbwide"):
        assert secret not in told


# --- as it is deployed


def manage(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    clean = {name: value for name, value in os.environ.items() if not name.startswith(("CLINIC_", "DJANGO_"))}
    own = {**clean, "PYTHONPATH": f"{ROOT}{os.pathsep}{HOST.parent}", **environment}
    command = [sys.executable, "manage.py", *arguments]
    return subprocess.run(command, cwd=HOST, env=own, capture_output=True, text=True, check=False)


def test_django_finds_nothing_against_deploying_it_and_no_migration_is_missing() -> None:
    key = "".join(map(chr, range(48, 123)))
    done = manage("check", "--deploy", "--fail-level", "WARNING", CLINIC_SECRET_KEY=key)
    assert done.returncode == 0, done.stderr
    done = manage("makemigrations", "--check", "--dry-run", CLINIC_SECRET_KEY=key, CLINIC_DATABASE=":memory:")
    assert done.returncode == 0, done.stdout + done.stderr


def test_without_a_key_it_does_not_start() -> None:
    for environment in ({}, {"CLINIC_SECRET_KEY": ""}):
        done = manage("check", **environment)
        assert done.returncode != 0
        assert "ImproperlyConfigured: Set the environment variable CLINIC_SECRET_KEY" in done.stderr
        assert "KeyError" not in done.stderr
