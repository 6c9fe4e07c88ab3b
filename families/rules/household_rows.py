"""Households from a table: each row a child, read or refused with its line and every reason."""

import re
from collections.abc import Iterable, Mapping
from datetime import date

from people.rules.ages import OLDEST_CHILD
from people.rules.cells import cell_text, is_address
from people.rules.volunteer_rows import BadRow, ReadRows

__all__ = ["HOUSEHOLD_HEAD", "LOCKED", "household_key", "read_households"]

HOUSEHOLD_HEAD = (
    "guardian_name", "guardian_email", "guardian_phone", "language", "child_name", "birth_date", "experience",
    "school_year", "allergies", "care_notes", "emergency_name", "emergency_phone", "collectors",
)  # fmt: skip
# What the caller must lock before it keeps a row anywhere.
LOCKED = ("allergies", "care_notes")
LONGEST = {
    "guardian_name": 120, "guardian_email": 254, "guardian_phone": 40, "child_name": 120, "school_year": 20,
    "emergency_name": 120, "emergency_phone": 40, "allergies": 2000, "care_notes": 2000, "collectors": 600,
}  # fmt: skip
LANGUAGES = {"": "en", "en": "en", "english": "en", "es": "es", "spanish": "es", "español": "es"}
EXPERIENCES = ("new", "some", "team")


def household_key(email: str, phone: str) -> str:
    """What makes two rows one household: the mail address, or else the telephone's digits."""
    return email.lower() or re.sub(r"\D", "", phone)


def read_households(rows: Iterable[Mapping[str, str]], taken: set[str], today: date) -> ReadRows:
    """Sort rows into those that can be taken and those that can't, with every reason.

    ``taken`` holds the keys of guardians who are in the books already, whom a table never touches.
    """
    out = ReadRows()
    seen: dict[tuple[str, str, date], int] = {}
    guardians: dict[str, tuple[str, int]] = {}
    for line, row in enumerate(rows, start=2):
        reasons: list[str] = []
        cell = {name: _cell(row, name, reasons) for name in HOUSEHOLD_HEAD}
        key = household_key(cell["guardian_email"], cell["guardian_phone"])
        for name, word in (
            ("guardian_name", "guardian’s name"),
            ("child_name", "child’s name"),
            ("emergency_name", "name to call in an emergency"),
            ("emergency_phone", "telephone for an emergency"),
        ):
            if not cell[name]:
                reasons.append(f"the {word} is empty")
        if cell["guardian_email"] and not is_address(cell["guardian_email"]):
            reasons.append(f"“{cell['guardian_email']}” is not a mail address")
        elif not key:
            reasons.append("give the guardian a mail address or a telephone")
        elif key in taken:
            reasons.append(
                "this guardian is in the books already, and a sheet changes nothing that is here: "
                "add the child on the family’s own page"
            )
        elif key in guardians and guardians[key][0] != cell["guardian_name"].casefold():
            reasons.append(f"line {guardians[key][1]} gives this address to somebody of another name")
        language = LANGUAGES.get(cell["language"].casefold())
        if language is None:
            reasons.append(f"“{cell['language']}” under language: write en or es")
        experience = cell["experience"].lower() or "new"
        if experience not in EXPERIENCES:
            reasons.append(f"“{cell['experience']}” under experience: write new, some or team")
        born = _birthday(cell["birth_date"], today, reasons)
        child = (key, " ".join(cell["child_name"].casefold().split()), born or date.min)
        if born and key and child in seen:
            reasons.append(f"the same child stands on line {seen[child]}")
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
                "collectors": list(dict.fromkeys(w.strip() for w in cell["collectors"].split(";") if w.strip())),
            }
        )
    return out


def _cell(row: Mapping[str, str], name: str, reasons: list[str]) -> str:
    text = cell_text(row, name, LONGEST.get(name, 60), reasons)
    if name == "collectors" and any(len(one.strip()) > 120 for one in text.split(";")):
        reasons.append("one of the collectors is longer than 120 characters: put a ; between them")
    return text


def _birthday(text: str, today: date, reasons: list[str]) -> date | None:
    if not text:
        reasons.append("the date of birth is empty")
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError:
        reasons.append(f"“{text}” is no day: write it like 2017-05-31")
        return None
    if day > today:
        reasons.append(f"{text} has not come yet")
        return None
    if today.year - day.year > OLDEST_CHILD:
        reasons.append(f"somebody born in {day.year} is grown up: check the date of birth")
        return None
    return day
