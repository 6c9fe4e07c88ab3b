"""Every page of the demo's world in plain words, and every word of it ready for another language."""

import re
from collections.abc import Callable, Iterator
from typing import Any
from zoneinfo import available_timezones

import pytest
from babel import Locale
from django.apps import apps
from django.db import models
from django.test import Client
from django.utils import translation
from holidays import country_holidays

from clinics.rules.supervision import RATIO_TABLES
from core import clock, languages
from families.models import Guardian
from people.models import User
from runsheets.rules.activities.library import ACTIVITIES
from tests.pages import Pages, pages_of_the_demo
from tests.plain_words import trouble_in, visible

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def opened(pages: dict[str, str], client: Client) -> Iterator[tuple[str, str]]:
    for name, address in pages.items():
        answer = client.get(address, follow=True)
        assert answer.status_code in (200, 404, 410), f"{name}: {answer.status_code}"
        yield name, answer.content.decode()


@pytest.fixture
def pages() -> Pages:
    return pages_of_the_demo()


@pytest.fixture
def office(pages: Pages, signed_in: Callable[[User], Client]) -> Client:
    return signed_in(User.objects.get(email="admin@example.org"))


def test_no_page_has_a_retired_word_a_wrong_plural_or_a_day_of_another_order(pages: Pages, office: Client) -> None:
    year, trouble = clock.today().year, []
    for some, client in ((pages.inside, office), (pages.outside, Client()), (pages.family, Client())):
        for name, html in opened(some, client):
            trouble += [f"{name}: {said}" for said in trouble_in(visible(html), year)]

    assert not trouble, "\n".join(trouble)


def test_guardians_find_nothing_half_translated(pages: Pages, monkeypatch: pytest.MonkeyPatch) -> None:
    Guardian.objects.update(language="es")
    words, missing = languages.catalog("es"), set()
    told = translation._trans.gettext  # type: ignore[attr-defined]

    def gettext(message: str) -> str:
        # What Django itself sets after a label is no word.
        if translation.get_language() == "es" and message.strip(" :") and words.get(message) is None:
            missing.add(message)
        return str(told(message))

    monkeypatch.setattr(translation._trans, "gettext", gettext, raising=False)  # type: ignore[attr-defined]
    ours, trouble = 0, []
    for name, html in opened(pages.family, Client(headers={"accept-language": "es"})):
        ours += 1
        assert 'lang="es"' in html, name
        trouble += [f"{name}: {said}" for said in trouble_in(visible(html), clock.today().year, english=False)]

    assert not trouble, "\n".join(trouble)
    assert ours > 8 and not missing, "\n".join(sorted(missing))


# Letters that no page has, so that what went through a translation is told from what did not.
OPEN, SHUT = "\ue000", "\ue001"


@pytest.fixture
def marked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every translated sentence comes between two marks, with its gaps filled in as ever."""
    trans = translation._trans  # type: ignore[attr-defined]

    def one(message: str) -> str:
        return f"{OPEN}{message}{SHUT}" if message else ""

    def several(singular: str, plural: str, number: int) -> str:
        return one(singular if number == 1 else plural)

    monkeypatch.setattr(trans, "gettext", one, raising=False)
    monkeypatch.setattr(trans, "ngettext", several, raising=False)
    monkeypatch.setattr(trans, "pgettext", lambda context, message: one(message), raising=False)
    monkeypatch.setattr(trans, "npgettext", lambda context, *rest: several(*rest), raising=False)


def unmarked(texts: list[str]) -> list[str]:
    """What is left of each text when all between marks is taken out, from the innermost on."""
    left = []
    for text in texts:
        before = None
        while before != text:
            before, text = text, re.sub(f"{OPEN}[^{OPEN}{SHUT}]*{SHUT}", " ", text)
        left.append(text)
    return left


def words_of_the_data() -> set[str]:
    """Each word of each text in the database: names, places, what somebody wrote."""
    words: set[str] = set()
    for model in apps.get_models():
        fields = [
            f
            for f in model._meta.concrete_fields
            if isinstance(f, (models.CharField, models.TextField, models.JSONField))
        ]
        for row in model._default_manager.values_list(*[f.attname for f in fields]) if fields else ():
            for value in row:
                words |= set(re.findall(r"[^\W\d_]+", str(value).lower()))
    return words


def words_of_the_lists() -> set[str]:
    """Names that come from published lists and libraries, or from the house's activities."""
    lists = [
        *available_timezones(),
        *(str(table) for table in RATIO_TABLES.values()),
        *(str(name) for name in country_holidays("US", years=range(2025, 2029)).values()),
        *(str(one) for one in ACTIVITIES.values()),
    ]
    return set(re.findall(r"[^\W\d_]+", " ".join(lists).lower())) | {"observed"}


def names_of_days() -> set[str]:
    """In both languages, since the poster speaks both."""
    names: list[Any] = []
    for locale in (Locale.parse("en_US"), Locale.parse("es_US")):
        names += [*locale.days["stand-alone"].values(), *locale.months["stand-alone"].values()]
    return {re.sub(r"\W", "", str(name)).lower() for some in names for name in some.values()}


def test_every_sentence_of_a_page_can_be_translated(pages: Pages, office: Client, marked: None) -> None:
    known = words_of_the_data() | words_of_the_lists() | names_of_days() | UNITS
    trouble = []
    for some, client in ((pages.inside, office), (pages.outside, Client()), (pages.family, Client())):
        for name, html in opened(some, client):
            for text in unmarked(visible(html)):
                text = re.sub(NO_WORDS, " ", text)
                loose = [
                    word
                    for word in re.findall(r"[^\W\d_]{2,}", text.lower())
                    # Things to pack are the office's own words, written with their plural.
                    if word not in known and re.sub("e?s$", "", word) not in known
                ]
                if loose:
                    trouble.append(f"{name}: {' '.join(loose)} in {text.strip()[:90]!r}")

    assert not trouble, "\n".join(trouble)


# Addresses, a text's fingerprint, the first line of a CSV file, and the code on a bag.
NO_WORDS = r"https?://\S+|\S+@\S+|/\S+|SHA-256 \w+|\w+(?:,\w+){2,}|K\d+-\w+"
UNITS = {"km", "csv", "ics", "pdf", "lantern", "court", "larkmoor", "whistlestop", "español", "english"}
