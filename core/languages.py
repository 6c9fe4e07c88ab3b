"""English and Spanish: chooses which one a page by link or a public page speaks, and compiles their words."""

import os
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Any

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import translation

__all__ = [
    "SPOKEN",
    "asked_language",
    "catalog",
    "in_language",
    "language_without_form",
    "speak",
    "words_for_scripts",
    "write_words",
]

SPOKEN = ("en", "es")
SOURCES = Path(__file__).parent / "locale"

View = Callable[..., HttpResponse]


def asked_language(request: HttpRequest) -> str:
    """The language of a public page: the one chosen on it, else the first of the browser's that we speak.

    ``?in=es`` chooses, and the page's form keeps it.
    """
    chosen = request.POST.get("in") or ""
    return chosen if chosen in SPOKEN else language_without_form(request)


def language_without_form(request: HttpRequest) -> str:
    """The language of a public page whose form could not be read, or was never looked at."""
    chosen = request.GET.get("in") or ""
    return chosen if chosen in SPOKEN else translation.get_language_from_request(request)[:2]


def speak(request: HttpRequest, language: str, answer: Callable[[], HttpResponse]) -> HttpResponse:
    """Answer in ``language``, and note it on the request, so that a page for what is not there speaks it too."""
    language = language if language in SPOKEN else "en"
    request.spoken = language  # type: ignore[attr-defined]
    with translation.override(language):
        response = answer()
        response.headers.setdefault("Content-Language", language)
        return response


def in_language(view: View) -> View:
    """Let the view of a public page speak ``asked_language`` from its first check to its last word.

    A page of a known person speaks their language instead: see ``speak``.
    """

    @wraps(view)
    def inner(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        return speak(request, asked_language(request), lambda: view(request, *args, **kwargs))

    return inner


def catalog(language: str) -> Catalog:
    """All sentences of a language, from the files by subject in core/locale.

    Raises ValueError when one sentence has two translations, or none.
    """
    whole = Catalog(locale=language, charset="utf-8")
    for path in sorted((SOURCES / language).glob("*.po")):
        with path.open("rb") as file:
            for message in read_po(file, locale=language, abort_invalid=True):
                if not message.id:
                    continue
                words = message.string if isinstance(message.string, (list, tuple)) else [message.string]
                if message.fuzzy or not all(words):
                    raise ValueError(f"{path.name} line {message.lineno}: no translation of {message.id!r}.")
                known = whole.get(message.id, message.context)
                if known is not None and known.string != message.string:
                    raise ValueError(f"{path.name} line {message.lineno}: another translation of {message.id!r}.")
                whole.add(message.id, message.string, context=message.context, flags=message.flags)
    return whole


def words_for_scripts(language: str) -> dict[str, str | list[str]]:
    """A language's sentences for a page's own scripts: each English one, or its singular, to its translations.

    Nothing for English, which the scripts contain.
    """
    if language[:2] not in SPOKEN[1:]:
        return {}
    messages = catalog(language[:2])
    words: dict[str, str | list[str]] = {}
    for message in messages:
        if not message.id or message.context:
            continue
        one = message.id[0] if isinstance(message.id, (list, tuple)) else message.id
        words[one] = message.string if isinstance(message.string, str) else list(message.string or ())
    return words


def write_words() -> int:
    """Compile every language into LOCALE_PATHS; returns how many sentences."""
    count = 0
    for language in SPOKEN[1:]:
        words = catalog(language)
        folder = Path(settings.LOCALE_PATHS[0]) / language / "LC_MESSAGES"
        folder.mkdir(parents=True, exist_ok=True)
        # A name of its own: several processes may compile at once, and the last one whole is as good as the first.
        draft = folder / f"django.{os.getpid()}.part"
        with draft.open("wb") as file:
            write_mo(file, words)
        draft.replace(folder / "django.mo")
        count += len(words)
    return count
