"""What the tests of the floor page do with it: load it, tap a line, wait until all is sent."""

from collections.abc import Callable
from datetime import date
from typing import Any
from uuid import uuid4

from playwright.sync_api import BrowserContext, Locator, Page, expect

from clinics.models import AgeBand
from core import clock
from families.services.registering import register
from floor.models import FloorPhone
from tests.browser.mast import Mast

# What stands between each browser of a test and the site.
MASTS: dict[BrowserContext, Mast] = {}

__all__ = [
    "MASTS",
    "all_sent",
    "at_part",
    "box_of",
    "ends",
    "find_signal",
    "fresh",
    "in_store",
    "line",
    "load",
    "lose_signal",
    "more_children",
    "sign_in",
    "sign_out",
    "soon",
    "wake",
]

# What a phone keeps, read by the browser's own calls and nothing of the page's: `rows`, `settled`, `unlock`, `key`.
STORE = """async () => {
  const settled = (request) => new Promise((yes, no) => {
    request.onsuccess = () => yes(request.result);
    request.onerror = () => no(request.error);
  });
  const opened = await settled(indexedDB.open(`floor${document.body.dataset.pk}`));
  const rows = (name, mode = "readonly") => opened.transaction(name, mode).objectStore(name);
  const key = await settled(rows("key").get("key"));
  const unlock = async ({ iv, data }) =>
    JSON.parse(new TextDecoder().decode(await crypto.subtle.decrypt({ name: "AES-GCM", iv }, key, data)));
  try { DO } finally { opened.close(); }
}"""


def load(context: Any, floor: Any) -> Page:
    """The page of the day, its shell kept for a hall without signal."""
    page = context.new_page()
    page.goto(f"/floor/{floor.clinic.pk}/")
    page.locator("body[data-offline=kept]").wait_for()
    expect(page.locator("ul.door > li").first).to_be_visible()
    fresh(page)
    return page


def fresh(page: Page) -> None:
    """Waits until the page has the day from the server, and nothing left to send."""
    page.locator("body[data-day=fresh]").wait_for()
    all_sent(page)


def soon(page: Page, true: Callable[[], bool]) -> bool:
    """Whether it becomes true while the page goes on: what follows an answer is not there in the same moment."""
    for _ in range(300):
        if true():
            return True
        page.wait_for_timeout(100)
    return False


def in_store(page: Page, words: str) -> Any:
    """What ``words``, run beside the page at what its phone keeps, return."""
    return page.evaluate(STORE.replace("DO", words, 1))


def wake(page: Page) -> None:
    """As when the phone hears of signal: the page sends, and asks what is new."""
    page.evaluate("dispatchEvent(new Event('online')) && null")


def ends(page: Page, phone: FloorPhone) -> bool:
    """Whether the server hears that the phone left: it is told when everything is wiped."""
    return soon(page, lambda: FloorPhone.objects.get(pk=phone.pk).ended_at is not None)


def lose_signal(context: BrowserContext) -> None:
    """No signal from now on: nothing of this phone reaches the server, whenever its pages were opened."""
    MASTS[context].go_down()
    # The page hears of it as from a phone, and asks again when it hears of signal.
    context.set_offline(True)


def find_signal(context: BrowserContext) -> None:
    MASTS[context].go_up()
    context.set_offline(False)


def box_of(part: Locator) -> dict[str, float]:
    """Where the part stands on the screen: x, y, width and height in pixels. It must be shown."""
    box = part.bounding_box()
    assert box is not None
    return dict(box)  # type: ignore[arg-type]


def line(page: Page, name: str) -> Locator:
    return page.locator("ul.door > li", has=page.locator("b", has_text=name))


def sign_in(page: Page, *names: str) -> None:
    for name in names:
        line(page, name).get_by_role("button", name="Sign in").click()
        expect(line(page, name).get_by_role("button", name="sign out")).to_be_visible()


def sign_out(page: Page, name: str, pickup: str) -> None:
    line(page, name).get_by_role("button", name="sign out").click()
    line(page, name).get_by_role("button", name=pickup).click()
    expect(line(page, name).get_by_role("button", name="sign in again")).to_be_visible()


def all_sent(page: Page) -> None:
    expect(page.locator("#kept")).to_have_text("Everything has been sent.", timeout=30_000)


def at_part(page: Page, name: str) -> None:
    page.get_by_role("navigation").get_by_role("link", name=name).click()


def more_children(floor: Any, household: Any, count: int) -> list[str]:
    """Children of nine beside the three of the fixture, each with a spot; their names."""
    AgeBand.objects.filter(clinic=floor.clinic).update(children=60)
    names = [f"Child{number:02} Alder" for number in range(count)]
    for name in names:
        facts = household((name, date(floor.clinic.day.year - 9, 1, 1)))
        register(clinic=floor.clinic, facts=facts, once=uuid4(), now=clock.now())
    return names
