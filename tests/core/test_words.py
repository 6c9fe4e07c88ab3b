"""Every sentence that a public page or a mail to a guardian can say, it can say in Spanish."""

import io
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from babel.messages.extract import extract
from django.utils import translation
from django.utils.translation.template import templatize

from core import languages
from tests.plain_words import trouble_in
from tests.street import ROOMS, ROOT

# What guardians read, and what these pages share with others: in Spanish to the last sentence. The office's own pages
# are marked for translation too, and are English for now.
IN_SPANISH = (
    "clinics/templates/clinics/_map_sheet.html",
    "core/formats.py",
    "core/templates/",
    "families/formatting.py",
    "families/forms/family_page.py",
    "families/forms/household.py",
    "families/forms/registering.py",
    "families/letters/families.py",
    "families/services/households.py",
    "families/services/spot_books.py",
    "families/services/registering.py",
    "families/templates/families/_band_spots.html",
    "families/templates/families/_waiver_blank.html",
    "families/templates/families/family_copy.html",
    "families/templates/families/family_page/",
    "families/templates/families/mail/",
    "families/templates/families/poster.html",
    "families/templates/families/register",
    "families/views/family_page/",
    "families/views/register.py",
    "outbox/templates/outbox/mail/base.html",
)

# A count filled in before a plural.
BARE_PLURAL = re.compile(
    r"%\((?:n|count|number|many)\)[sd] "
    r"(?:hours|days|months|children|clinics|kits|hoops|balls|adults|volunteers|families)\b"
)

KEYWORDS = {
    "gettext": None,
    "gettext_lazy": None,
    "ngettext": (1, 2),
    "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2),
    "_": None,
}


@cache
def sentences() -> tuple[tuple[str, Any, str | None], ...]:
    """File, message id and context of every marked sentence in code and templates."""
    return tuple(marked())


def marked() -> Iterator[tuple[str, Any, str | None]]:
    for room in ROOMS:
        for path in (ROOT / room).rglob("*"):
            if path.suffix == ".py" and "migrations" not in path.parts:
                source = path.read_bytes()
            elif path.suffix in {".html", ".txt"} and "templates" in path.parts:
                # What is left of a template's text is set in from the margin; to Python that would be a block.
                source = re.sub(r"(?m)^[ \t]+", "", templatize(path.read_text(), origin=str(path))).encode()
            elif path.suffix == ".js" and "static" in path.parts:
                for _, message, _, context in extract("javascript", io.BytesIO(path.read_bytes()), KEYWORDS):
                    yield str(path.relative_to(ROOT)), message, context
                continue
            else:
                continue
            for _, message, _, context in extract("python", io.BytesIO(source), KEYWORDS):
                yield str(path.relative_to(ROOT)), message, context


def test_every_sentence_that_guardians_read_has_spanish_words() -> None:
    words = languages.catalog("es")
    missing = [
        f"{path}: {message!r}"
        for path, message, context in sentences()
        if path.startswith(IN_SPANISH) and words.get(_one(message), context) is None
    ]

    assert missing == []


def test_no_marked_sentence_has_a_retired_word_or_a_bare_plural() -> None:
    """Also those that no page of the demo's world happens to show."""
    trouble = []
    for path, message, _ in sentences():
        for text in message if isinstance(message, (list, tuple)) else [message]:
            if not text:
                continue
            trouble += [f"{path}: {said}" for said in trouble_in([re.sub(r"%\(\w+\)[sd]", "…", text)], 2026)]
            # A number before a noun of two forms: the sentence is one of a pair, or says no number.
            if not isinstance(message, (list, tuple)) and (said := BARE_PLURAL.search(text)):
                trouble.append(f"{path}: {said.group(0)!r} without its singular in {text[:90]!r}")

    assert not trouble, "\n".join(trouble)


def test_no_spanish_words_are_left_over() -> None:
    used = {_one(message) for _, message, _ in sentences()}

    assert [message.id for message in languages.catalog("es") if message.id and _one(message.id) not in used] == []


def test_what_a_translation_fills_in_is_what_the_sentence_has() -> None:
    for message in languages.catalog("es"):
        if not message.id:
            continue
        ours = message.id if isinstance(message.id, (list, tuple)) else [message.id]
        theirs = message.string if isinstance(message.string, (list, tuple)) else [message.string]
        gaps = [set(re.findall(r"%\(\w+\)[sd]", text)) for text in (*ours, *theirs)]
        # A singular may say "one" where the plural fills in the number.
        assert max(gaps, key=len) >= set().union(*gaps), message.id


def test_the_compiled_words_are_what_django_says() -> None:
    languages.write_words()
    with translation.override("es"):
        assert translation.gettext("Skip to main content") == "Ir al contenido principal"


@pytest.mark.parametrize("source", ['msgid "a"\nmsgstr ""\n', '#, fuzzy\nmsgid "a"\nmsgstr "b"\n'])
def test_a_sentence_without_its_translation_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, source: str
) -> None:
    (tmp_path / "es").mkdir()
    (tmp_path / "es" / "half.po").write_text(source)
    monkeypatch.setattr(languages, "SOURCES", tmp_path)

    with pytest.raises(ValueError, match="no translation of 'a'"):
        languages.catalog("es")


def _one(message: object) -> str:
    return message[0] if isinstance(message, (list, tuple)) else str(message)
