"""A host's settings: words are taken for the members, and what isn't a setting is refused without its value."""

from typing import Any

import pytest

from dermreport import Intent, PersonEntry, Settings, SettingsError


def test_words_are_taken_for_the_members() -> None:
    settings = Settings(intent="order", persons="match-only", now="2026-03-04T10:15:00+01:00")  # type: ignore[arg-type]
    assert settings.intent is Intent.ORDER
    assert settings.persons is PersonEntry.MATCH_ONLY


@pytest.mark.parametrize(
    "wrong",
    [
        {"intent": "wish-marker"},
        {"persons": "never-marker"},
        {"snomed": "no-marker"},
        {"claim_profiles": 1},
        {"unsuitable_scores": None},
        {"now": "yesterday-marker"},
        {"now": "2026-03-04T10:15:00"},
        {"now": "2026-13-04T10:15:00Z"},
        {"now": 7},
    ],
)
def test_what_is_no_setting_is_refused_without_its_value(wrong: dict[str, Any]) -> None:
    with pytest.raises(SettingsError, match=r"^settings: ") as refused:
        Settings(**wrong)
    assert "marker" not in str(refused.value)
