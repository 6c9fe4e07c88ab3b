"""For the rules' tests, which need no server. `make rules` loads it; no server is at its addresses.

A test that asks for the database fails with a sentence, so that its author moves it to the tests with servers.
"""

import pytest

ASKS = {"db", "transactional_db", "live_server", "django_db_setup"}


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    if ASKS & set(getattr(item, "fixturenames", ())) or item.get_closest_marker("django_db"):
        pytest.fail(f"{item.nodeid} asks for the database. `make rules` starts none; take it out of RULES.", False)
