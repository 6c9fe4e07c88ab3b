"""What is not there, not open, not readable or broken is said in the reader's language, and wholly in it."""

import re
from html import unescape

import pytest
from django.core.exceptions import PermissionDenied, SuspiciousOperation
from django.http import Http404
from django.test import Client, RequestFactory
from django.urls import reverse
from django.utils import translation

from config import error_views
from core import languages
from families.models import Guardian
from tests.households import confirmed, family_address

ES = {"accept-language": "es-MX,es;q=0.9"}
# Words that no Spanish sentence has.
ENGLISH = re.compile(
    r"\b(?:the|this|that|is|are|was|has|have|been|not|and|you|your|page|link|address|nothing|call|go|open|back|wait|again)\b",
    re.IGNORECASE,
)


@pytest.fixture(scope="module", autouse=True)
def spanish():
    languages.write_words()


def words_of(answer):
    """What can be read on the page, its title among it, without the names that stay as they are."""
    text = re.sub(r"<(script|style)[^>]*>.*?</\1>", " ", answer.content.decode(), flags=re.DOTALL)
    text = unescape(re.sub(r"<[^>]+>", " ", text))
    return " ".join(text.replace("Lantern Court", "").split())


def is_spanish(answer):
    found = ENGLISH.findall(words_of(answer))
    assert found == [], words_of(answer)
    assert '<html lang="es">' in answer.content.decode() and answer.headers["Content-Language"] == "es"


@pytest.mark.django_db
@pytest.mark.parametrize(
    "where", ["/register/999999/", "/register/nowhere/", "/family/", "/nowhere/at/all/", "/register/999999/?in=es"]
)
def test_nothing_here_is_said_in_spanish(stranger, where):
    answer = stranger.get(where, headers={} if "in=es" in where else ES)

    assert answer.status_code == 404 and "No encontramos esa página" in words_of(answer)
    is_spanish(answer)
    assert f'href="{reverse("register")}?in=es"' in answer.content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("start", "status"),
    [("family", 404), ("family", 410), ("spot", 404), ("family-address", 404), ("family-stop", 404), ("copy", 404),
     ("register/done", 404)],
)  # fmt: skip
def test_a_spoilt_or_old_link_is_said_in_spanish(stranger, start, status, now):
    old = family_address(Guardian(pk=7), days=-1)
    answer = stranger.get(old if status == 410 else f"/{start}/made-up/", headers=ES)

    assert answer.status_code == status
    assert '<html lang="es">' in answer.content.decode() and ENGLISH.findall(words_of(answer)) == []


@pytest.mark.django_db
def test_after_many_spoilt_links_the_wait_is_said_in_spanish(stranger):
    answers = [stranger.get("/family/made-up/", headers=ES, REMOTE_ADDR="198.51.100.77") for _ in range(31)]
    answer = answers[-1]

    assert answer.status_code == 429 and ENGLISH.findall(words_of(answer)) == []


@pytest.mark.django_db
def test_a_page_that_a_spanish_family_has_not_is_said_in_spanish_on_an_english_phone(stranger, now):
    """The guardian's own language goes before that of the browser, also where there is nothing."""
    guardian = confirmed(
        Guardian.objects.create(name="Rosa Peña", email="rosa@example.org", language="es", registered_at=now), now
    )
    answer = stranger.get(family_address(guardian, route="family-child", args=[999]), headers={"accept-language": "en"})
    assert answer.status_code == 404
    is_spanish(answer)


@pytest.mark.django_db
def test_staff_read_english_whatever_their_browser_speaks(signed_in, coordinator):
    answer = signed_in(coordinator).get("/nowhere/", headers=ES)

    assert "We can’t find that page" in words_of(answer) and "Go to the home page" in words_of(answer)
    assert answer.headers["Content-Language"] == "en"


@pytest.mark.parametrize(
    ("page", "status"),
    [
        (lambda request: error_views.not_found(request, Http404()), 404),
        (lambda request: error_views.not_open(request, PermissionDenied()), 403),
        (lambda request: error_views.not_readable(request, SuspiciousOperation()), 400),
        (error_views.broken, 500),
    ],
)
def test_each_of_these_pages_is_wholly_spanish_and_leaves_the_language_as_it_was(page, status):
    answer = page(RequestFactory().get("/register/", headers=ES))

    assert answer.status_code == status and translation.get_language() == "en"
    is_spanish(answer)


@pytest.mark.django_db
def test_a_form_with_far_too_many_fields_is_refused_in_spanish(db):
    answer = Client(raise_request_exception=False).post(
        "/register/", {f"f{number}": "x" for number in range(600)}, headers=ES
    )

    assert answer.status_code == 400
    is_spanish(answer)
