"""A page with nothing on it, for the floor page's modules one at a time: they come from the disk, without a server."""

from pathlib import Path

from django.contrib.staticfiles import finders
from django.templatetags.static import static
from playwright.sync_api import BrowserContext, Page, Route

__all__ = ["ORIGIN", "bare", "module"]

# Nobody is there; https, or the browser would hand out no keys.
ORIGIN = "https://floor.test"


def bare(context: BrowserContext) -> Page:
    context.route(f"{ORIGIN}/**", _answer)
    page = context.new_page()
    page.goto(f"{ORIGIN}/")
    return page


def module(name: str) -> str:
    """The address by which a page asks for a module of the floor page."""
    return static(f"floor/{name}.js")


def _answer(route: Route) -> None:
    path = route.request.url.removeprefix(ORIGIN)
    if path == "/":
        route.fulfill(content_type="text/html", body="<!doctype html><title>bare</title>")
        return
    beside = Path(__file__).parent / path.removeprefix("/beside/")
    file = beside if beside.suffix == ".js" and beside.exists() else finders.find(path.removeprefix(static("")))
    if file is None:
        route.fulfill(status=404)
    else:
        route.fulfill(content_type="text/javascript", body=Path(str(file)).read_text(encoding="utf-8"))
