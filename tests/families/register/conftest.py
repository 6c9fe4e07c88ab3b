"""A clinic that families can register for, and somebody who fills in its form."""

import uuid

import pytest
from django.core.cache import cache
from django.urls import reverse

from core import clock, languages
from families.models import WaiverText
from families.services.placeholder_texts import publish_placeholder_if_none
from tests.families.register.typed import years


@pytest.fixture(autouse=True)
def nothing_counted():
    """What an earlier test sent from the same address does not count here."""
    cache.clear()


@pytest.fixture(scope="module", autouse=True)
def spanish():
    languages.write_words()


@pytest.fixture
def texts(db):
    return publish_placeholder_if_none(now=clock.now())


@pytest.fixture
def waiver_text(texts):
    """What the cast's households sign is the shipped text."""
    return next(text for text in texts if text.language == "en")


@pytest.fixture
def clinic(texts, make_clinic):
    return make_clinic(children=2, theme="Paper bridges")


@pytest.fixture
def typed(clinic):
    """What a guardian types for one child of eight; fields are given as ``name=words``, or None to leave one out."""

    def inner(language="en", **changes):
        facts = {
            "in": language,
            "once": str(uuid.uuid4()),
            "text": WaiverText.objects.filter(language=language).latest("version").pk,
            "children": 1,
            "others": 0,
            "guardian_name": "Rowan Ash",
            "email": "rowan@example.org",
            "phone": "",
            "children-0-name": "Wren Ash",
            "children-0-birth_date": years(8, clinic).isoformat(),
            "children-0-allergies_answer": "none",
            "children-0-experience": "new",
            "emergency_name": "Aunt Sorrel",
            "emergency_phone": "555-0123",
            "picks_up": "on",
            "photos": "no",
            "signed": "Rowan Ash",
            "website": "",
        }
        changed = facts | {key.replace("__", "-"): value for key, value in changes.items()}
        return {key: value for key, value in changed.items() if value is not None}

    return inner


@pytest.fixture
def send(stranger, clinic, typed):
    """Send the form and follow; ``page.text`` is what the page says."""

    def inner(to=None, language="en", follow=True, **changes):
        page = stranger.post(
            reverse("register-clinic", args=[(to or clinic).pk]), typed(language, **changes), follow=follow
        )
        page.text = page.content.decode()
        return page

    return inner
