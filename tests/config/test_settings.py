"""Settings: strict by default, and each that is missing or odd stops the start with a sentence."""

import os
import subprocess
import sys

import pytest

GOOD = {
    "WHISTLESTOP_MODE": "production",
    "DATABASE_URL": "postgresql://nobody@127.0.0.1:9/none",
    "REDIS_URL": "redis://127.0.0.1:9/0",
    "SECRET_KEY": "k3y-" + "abcdefghij0123456789" * 3,
    "CARE_KEYS": "MDEyMzQ1Njc4OWFiY2RlZjAxMjM0NTY3ODlhYmNkZWY=",
    "SITE_URL": "https://clinics.example.org",
    "ALLOWED_HOSTS": "clinics.example.org",
}


def start(*command: str, **change: str | None) -> subprocess.CompletedProcess[str]:
    # The browser tests set the last of these for their own process.
    unset = {*GOOD, "DJANGO_ALLOW_ASYNC_UNSAFE", "WHISTLESTOP_CLOCK_AHEAD"}
    known = {name: value for name, value in os.environ.items() if name not in unset}
    env = known | {name: value for name, value in (GOOD | change).items() if value is not None}
    return subprocess.run(
        [sys.executable, "-W", "ignore", "manage.py", *(command or ("check",))],
        env=env,
        capture_output=True,
        text=True,
        timeout=60,
    )


@pytest.mark.thorough
def test_production_passes_the_deployment_check_without_a_word() -> None:
    done = start("check", "--deploy", "--fail-level", "WARNING")

    assert done.returncode == 0, done.stderr
    assert "no issues" in done.stdout


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"SECRET_KEY": None}, "SECRET_KEY is not set. Set it to"),
        ({"SECRET_KEY": "short"}, "at least 50 random characters"),
        ({"CARE_KEYS": None}, "CARE_KEYS is not set. Set it to a key"),
        ({"CARE_KEYS": "too-short"}, "something that is no key"),
        ({"SITE_URL": None}, "SITE_URL is not set. Set it to"),
        ({"SITE_URL": "http://clinics.example.org"}, "must begin with https://"),
        ({"ALLOWED_HOSTS": None}, "ALLOWED_HOSTS is not set"),
        ({"DATABASE_URL": None}, "DATABASE_URL is not set. Set it to"),
        ({"DATABASE_URL": "sqlite:///here.db"}, "must name a PostgreSQL database"),
        ({"REDIS_URL": None}, "REDIS_URL is not set. Set it to"),
        ({"WHISTLESTOP_CLOCK_AHEAD": "60"}, "a real site uses the real time"),
        ({"WHISTLESTOP_CLOCK_AHEAD": "noon", "WHISTLESTOP_MODE": "demo"}, "is no number"),
        ({"WHISTLESTOP_MODE": "holiday"}, "Set it to production, demo or test"),
    ],
)
def test_what_is_missing_or_odd_is_answered_with_a_sentence(change: dict[str, str | None], sentence: str) -> None:
    done = start(**change)

    assert done.returncode != 0
    assert sentence in done.stderr and "Traceback" not in done.stderr
