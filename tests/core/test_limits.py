"""How often something may be done in a while, on a real Redis and without one."""

import uuid

import pytest

from core import limits


@pytest.fixture
def who():
    return uuid.uuid4().hex


def test_one_more_than_the_most_is_refused_and_others_are_not_touched(who):
    assert [limits.take("a thing", who, most=3, seconds=60) for _ in range(4)] == [True, True, True, False]
    assert limits.take("a thing", f"{who}2", most=3, seconds=60)
    assert limits.take("another thing", who, most=3, seconds=60)


def test_what_did_not_happen_is_given_back(who):
    limits.give_back("a thing", who)  # nothing was counted, so nothing is given
    assert limits.take("a thing", who, most=1, seconds=60)
    limits.give_back("a thing", who)

    assert limits.take("a thing", who, most=1, seconds=60)
    assert not limits.take("a thing", who, most=1, seconds=60)


def test_with_redis_away_everything_may_go_on(who, settings):
    settings.CACHES = {"default": settings.CACHES["default"] | {"LOCATION": "redis://127.0.0.1:9/0"}}
    assert all(limits.take("a thing", who, most=1, seconds=60) for _ in range(3))
    limits.give_back("a thing", who)
