"""Lines for the bulk job: examples under numbers of their own, and lines that can't be held."""

from __future__ import annotations

import json
import random
from pathlib import Path

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
#: What must be in no issue.
MARK = "Zaubermarke"
#: A reader that doesn't know lines from text might cut here, or drop an end of a line.
ODD_TEXT = "one\u2028two\u2003three " + MARK
BAD = [
    f'{{"identifier": "{MARK}',
    f'{{"patient": {{"reference": "Patient/{MARK}"}}, "status": "final"}}',
    "[]",
    "\ufeff{}",
    json.dumps({"status": MARK, "plan": {"actions": [{"key": "1", "action": "refer-suspected-cancer"}]}}),
    "NaN",
    "[" * 3000,
]


def write(path: Path, number: int, *, bad_each: int = 9, end: str = "\n", seed: int = 1) -> list[str]:
    """Write so many lines, and return them; each ninth can't be held or is blank."""
    dice = random.Random(seed)  # noqa: S311 - a choice of examples
    entries = [json.loads(one.read_bytes()) for one in sorted(EXAMPLES.glob("*.json"))]
    entries = [one for one in entries if "lesions" not in one]
    lines = []
    for place in range(number):
        if bad_each and place % bad_each == bad_each - 1:
            lines.append(dice.choice([*BAD, "", "  "]))
            continue
        entry = dice.choice(entries) | {"identifier": {"system": "https://clinic.example/bulk", "value": f"b-{place}"}}
        entry["patient"] = {"reference": f"Patient/{MARK}-{place}"}
        entry["note"] = ODD_TEXT
        lines.append(json.dumps(entry, ensure_ascii=bool(place % 2)))
    path.write_bytes(end.join(lines).encode())
    return lines
