"""A letter is written with classes; what goes out has its style on each element and asks nobody for anything."""

import re
from html.parser import HTMLParser

import pytest
from django.template.loader import get_template

from outbox.letters import build
from tests.outbox.test_registry import OFFERED, world, written

__all__ = ["world", "written"]

pytestmark = pytest.mark.django_db

BASE = "outbox/mail/base.html"


class Page(HTMLParser):
    """Each opening tag of a page with its attributes."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {name: value or "" for name, value in attrs}))

    def named(self, name: str) -> list[dict[str, str]]:
        return [attrs for tag, attrs in self.tags if tag == name]

    def classed(self, word: str) -> list[dict[str, str]]:
        return [attrs for _, attrs in self.tags if word in attrs.get("class", "").split()]


def declared(attrs: dict[str, str]) -> dict[str, str]:
    """The declarations of an element's own style."""
    pairs = (one.split(":", 1) for one in attrs.get("style", "").split(";") if one.strip())
    return {name.strip(): value.strip() for name, value in pairs}


def style_block() -> str:
    source = get_template(BASE).template.source  # type: ignore[attr-defined]
    (found,) = re.findall(r"<style>(.*?)</style>", source, re.S)
    return str(found)


@pytest.mark.parametrize(("code", "language"), OFFERED)
def test_a_letter_has_its_style_on_its_elements_and_asks_nobody_for_a_file(written, code, language):
    note, _, at = written(code, language)

    html = str(build(note, at).alternatives[0][0])
    page = Page(html)

    assert not {"style", "link", "script", "img", "iframe", "object"} & {tag for tag, _ in page.tags}
    assert not any("src" in attrs or "background" in attrs or "srcset" in attrs for _, attrs in page.tags)
    assert "url(" not in html and "@import" not in html and "@font-face" not in html
    known = set(re.findall(r"\.([a-z][\w-]*)", re.sub(r"\{.*?\}", " ", style_block(), flags=re.S)))
    for tag, attrs in page.tags:
        words = set(attrs.get("class", "").split())
        assert words <= known, f"<{tag}> has a class that the base template does not know: {words - known}"
        assert not words or declared(attrs), f"<{tag}> has a class and no style of its own: {words}"
    for tag in ("body", "h1", "p", "a", "td", "th"):
        assert all(declared(attrs) for attrs in page.named(tag)), tag


@pytest.mark.parametrize("code", ["shift-ask", "booking-ask", "spot-offer"])
def test_the_button_of_a_letter_has_its_colours_with_it(written, code):
    note, _, at = written(code)

    (button,) = Page(str(build(note, at).alternatives[0][0])).classed("button")

    look = declared(button)
    assert (look["background"], look["color"]) == ("#1C6B47", "#FFFEFA")
    assert (look["display"], look["text-decoration"]) == ("inline-block", "none")
