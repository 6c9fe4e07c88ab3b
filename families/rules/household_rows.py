"""Families from a file: each row a child, read or refused with its line and a code for every reason."""

import re
from collections.abc import Iterable, Mapping
from datetime import date

from people.rules.ages import OLDEST_CHILD
from people.rules.cells import RowProblem, cell_text, is_address, row_problem
from people.rules.volunteer_rows import BadRow, ReadRows

__all__ = ["HOUSEHOLD_HEAD", "LOCKED", "household_key", "read_households"]

HOUSEHOLD_HEAD = (
    "guardian_name", "guardian_email", "guardian_phone", "language", "child_name", "birth_date", "experience",
    "school_year", "allergies", "care_notes", "emergency_name", "emergency_phone", "pickup_people",
)  # fmt: skip
# What the caller must lock before it keeps a row anywhere.
LOCKED = ("allergies", "care_notes")
LONGEST = {
    "guardian_name": 120, "guardian_email": 254, "guardian_phone": 40, "child_name": 120, "school_year": 20,
    "emergency_name": 120, "emergency_phone": 40, "allergies": 2000, "care_notes": 2000, "pickup_people": 600,
}  # fmt: skip
LANGUAGES = {"": "en", "en": "en", "english": "en", "es": "es", "spanish": "es", "español": "es"}
EXPERIENCES = ("new", "some", "team")


def household_key(email: str, phone: str) -> str:
    """What makes two rows one family: the email address, or else the digits of the phone number."""
    return email.lower() or re.sub(r"\D", "", phone)


def read_households(rows: Iterable[Mapping[str, str]], taken: set[str], today: date) -> ReadRows:
    """Sort rows into those that can be imported and those that can't, with every reason.

    ``taken`` holds the keys of guardians who are on file already, whom an import never changes.
    """
    out = ReadRows()
    seen: dict[tuple[str, str, date], int] = {}
    guardians: dict[str, tuple[str, int]] = {}
    for line, row in enumerate(rows, start=2):
        reasons: list[RowProblem] = []
        cell = {name: _cell(row, name, reasons) for name in HOUSEHOLD_HEAD}
        key = household_key(cell["guardian_email"], cell["guardian_phone"])
        for name in ("guardian_name", "child_name", "emergency_name", "emergency_phone"):
            if not cell[name]:
                reasons.append(row_problem("empty", column=name))
        if cell["guardian_email"] and not is_address(cell["guardian_email"]):
            reasons.append(row_problem("no email", email=cell["guardian_email"]))
        elif not key:
            reasons.append(row_problem("no way to reach"))
        elif key in taken:
            reasons.append(row_problem("guardian on file"))
        elif key in guardians and guardians[key][0] != cell["guardian_name"].casefold():
            reasons.append(row_problem("another name", line=guardians[key][1]))
        language = LANGUAGES.get(cell["language"].casefold())
        if language is None:
            reasons.append(row_problem("no such language", typed=cell["language"]))
        experience = cell["experience"].lower() or "new"
        if experience not in EXPERIENCES:
            reasons.append(row_problem("no such experience", typed=cell["experience"]))
        born = _birthday(cell["birth_date"], today, reasons)
        child = (key, " ".join(cell["child_name"].casefold().split()), born or date.min)
        if born and key and child in seen:
            reasons.append(row_problem("child twice", line=seen[child]))
        seen.setdefault(child, line)
        if reasons:
            out.bad.append(BadRow(line, reasons))
            continue
        guardians.setdefault(key, (cell["guardian_name"].casefold(), line))
        assert born is not None
        out.good.append(
            {
                **{name: cell[name] for name in HOUSEHOLD_HEAD},
                "language": language,
                "experience": experience,
                "birth_date": born.isoformat(),
                "pickup_people": list(dict.fromkeys(w.strip() for w in cell["pickup_people"].split(";") if w.strip())),
            }
        )
    return out


def _cell(row: Mapping[str, str], name: str, reasons: list[RowProblem]) -> str:
    text = cell_text(row, name, LONGEST.get(name, 60), reasons)
    if name == "pickup_people" and any(len(one.strip()) > 120 for one in text.split(";")):
        reasons.append(row_problem("pickup name too long"))
    return text


def _birthday(text: str, today: date, reasons: list[RowProblem]) -> date | None:
    if not text:
        reasons.append(row_problem("empty", column="birth_date"))
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        reasons.append(row_problem("no birth date", typed=text))
        return None
    if day > today:
        reasons.append(row_problem("in the future", day=text))
        return None
    if today.year - day.year > OLDEST_CHILD:
        reasons.append(row_problem("grown up", year=day.year))
        return None
    return day
