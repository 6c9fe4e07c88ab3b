"""Signed links: one purpose, one subject, an expiry, a counter that revokes."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core import links

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
LATER = NOW + timedelta(days=1)


def made(purpose: str = "shift", subject: int = 7, counter: int = 0) -> str:
    return links.make(purpose, subject=subject, counter=counter, expires_at=LATER)


def test_a_link_gives_back_what_went_in() -> None:
    facts = links.read("shift", made(counter=3), now=NOW)

    assert (facts.subject, facts.counter, facts.expires_at) == (7, 3, LATER)


def test_a_link_for_one_purpose_is_nothing_for_another() -> None:
    with pytest.raises(links.AlteredLink):
        links.read("booking", made("shift"), now=NOW)


def test_a_link_runs_out_at_its_second() -> None:
    assert links.read("shift", made(), now=LATER - timedelta(seconds=1)).subject == 7
    with pytest.raises(links.ExpiredLink):
        links.read("shift", made(), now=LATER)


def test_raising_the_counter_revokes() -> None:
    facts = links.read("shift", made(counter=1), now=NOW)
    facts.check_counter(1)
    with pytest.raises(links.RevokedLink):
        facts.check_counter(2)


@given(place=st.integers(0, 80), letter=st.sampled_from("abcXYZ019-_:"))
def test_no_single_letter_can_be_changed(place: int, letter: str) -> None:
    token = made()
    place %= len(token)
    if token[place] == letter:
        return
    with pytest.raises(links.AlteredLink):
        links.read("shift", token[:place] + letter + token[place + 1 :], now=NOW)


@pytest.mark.thorough
@given(token=st.text(max_size=600))
def test_whatever_is_sent_is_answered_with_a_link_problem(token: str) -> None:
    with pytest.raises(links.LinkProblem):
        links.read("shift", token, now=NOW)


def test_the_address_comes_from_the_settings_and_never_from_a_request(settings: Any) -> None:
    settings.SITE_URL = "https://clinics.example.org"

    assert links.address("shift-reply", "t").startswith("https://clinics.example.org/r/t/")
