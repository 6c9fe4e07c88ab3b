"""Every letter that an app registers: it renders in each of its languages, and asks whether it is still true."""

from types import SimpleNamespace

import pytest
from django.utils import translation

from core import clock
from outbox.letters import Letter, LetterKind, Stale, build, kind_of, kinds, label_of, register
from outbox.models import Note
from tests.outbox.examples import EXAMPLES
from tests.plain_words import trouble_in, visible

pytestmark = pytest.mark.django_db
CODES = [kind.code for kind in kinds()]
OFFERED = [(kind.code, language) for kind in kinds() for language in kind.languages]


@pytest.fixture
def world(admin, coordinator, make_center, make_space, make_clinic, make_volunteer, household, now):
    return SimpleNamespace(
        admin=admin,
        coordinator=coordinator,
        make_center=make_center,
        make_space=make_space,
        make_clinic=make_clinic,
        make_volunteer=make_volunteer,
        household=household,
        now=now,
        language="en",
    )


@pytest.fixture
def written(world):
    """The note of a kind, the example that it comes from, and the moment at which it goes out."""

    def inner(code, language="en"):
        assert code in EXAMPLES, f"{code} has no example: write one in tests/outbox/examples."
        world.language = language
        example = EXAMPLES[code](world)
        note = Note.objects.filter(kind=code, language=language).order_by("due_at", "pk")[0]
        return note, example, example.at or max(note.due_at, world.now)

    return inner


def test_there_are_letters_and_an_example_of_each_and_of_nothing_else():
    assert len(CODES) >= 40 and set(EXAMPLES) == set(CODES)


@pytest.mark.parametrize(("code", "language"), OFFERED)
def test_a_letter_has_a_subject_a_text_and_a_page_in_each_language_it_is_offered_in(written, code, language):
    note, _, at = written(code, language)

    mail = build(note, at)

    html, kind = str(mail.alternatives[0][0]), mail.alternatives[0][1]
    assert (
        str(mail.subject).strip() and "\n" not in str(mail.subject) and str(mail.body).strip() and kind == "text/html"
    )
    assert f'lang="{language}"' in html
    # Nothing half translated, no gap left open.
    for text in (str(mail.subject), str(mail.body), html):
        assert "%(" not in text and "{{" not in text and "{%" not in text and "\n\n\n" not in str(mail.body)
    texts = [str(mail.subject), *str(mail.body).splitlines(), *visible(html)]
    assert not trouble_in(texts, at.astimezone(clock.home_zone()).year, english=language == "en")
    assert mail.to == [f"{note.to_name} <{note.to_email}>"] and note.summary and len(note.summary) <= 200
    others = [str(part) for part, kind in mail.alternatives[1:]]
    assert all("BEGIN:VCALENDAR" in part for part in others) and len(others) <= 1


@pytest.mark.parametrize("code", [kind.code for kind in kinds() if len(kind.languages) > 1])
def test_a_letter_in_two_languages_says_another_thing_in_each(written, code):
    note, _, at = written(code)
    english = build(note, at)
    note.language = "es"
    spanish = build(note, at)

    assert english.subject != spanish.subject and english.body != spanish.body
    assert translation.get_language() == "en", "the language ends with the letter"


@pytest.mark.parametrize("code", CODES)
def test_a_letter_whose_subject_has_become_untrue_is_stale(written, code):
    note, example, at = written(code)
    build(note, at)

    example.untrue()

    with pytest.raises(Stale) as stale:
        build(Note.objects.get(pk=note.pk), at)
    assert str(stale.value).endswith(".")


@pytest.mark.parametrize("code", CODES)
def test_a_letter_about_rows_that_are_gone_is_stale(written, code):
    note, _, at = written(code)
    note.about = [f"{one.rsplit(':', 1)[0]}:{2**31 - 1}" for one in note.about]

    with pytest.raises(Stale):
        build(note, at)


@pytest.mark.parametrize("code", CODES)
def test_only_a_letter_that_may_be_ended_says_how(written, code):
    note, _, at = written(code)
    headers = build(note, at).extra_headers

    stop = kind_of(code).stop
    assert ("List-Unsubscribe" in headers) == (stop is not None)
    if stop is not None:
        assert headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"


def test_a_code_is_one_letters_alone_and_an_unknown_one_is_said_as_it_is():
    first = kinds()[0]
    register(first)
    with pytest.raises(ValueError, match=first.code):
        register(LetterKind(first.code, "another", "nowhere", lambda note, now: Letter({})))
    with pytest.raises(LookupError, match="not-a-kind"):
        kind_of("not-a-kind")
    assert (label_of(first.code), label_of("not-a-kind")) == (first.label, "not-a-kind")
