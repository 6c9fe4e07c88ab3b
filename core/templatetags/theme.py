"""Glyphs and flags for templates. Knows how things look, never what they mean."""

from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

register = template.Library()

# Drawn on a 16 by 16 grid in the current text colour.
GLYPHS = {
    "tick": '<path d="M3 8.6l3.3 3.3L13 4.8"/>',
    "dots": '<path d="M3.2 8h.01M8 8h.01M12.8 8h.01" stroke-width="3"/>',
    "ring": '<circle cx="8" cy="8" r="4.4"/>',
    "cross": '<path d="M3.8 3.8l8.4 8.4M12.2 3.8l-8.4 8.4"/>',
    "warn": '<path d="M8 2.2l6.3 11.3H1.7zM8 6.4v3.2M8 11.6h.01" stroke-width="1.7"/>',
    "mail": '<path d="M2 3.5h12v9H2zM2.3 4.2L8 8.9l5.7-4.7" stroke-width="1.6"/>',
    "hook": '<path d="M10.5 2v8.2a3.4 3.4 0 0 1-6.8 0V8.6M8.3 2h4.4"/>',
    "back": '<path d="M10.2 3L5.2 8l5 5"/>',
    "on": '<path d="M5.8 3l5 5-5 5"/>',
}

FLAG_GLYPHS = {"set": "tick", "due": "dots", "stop": "cross", "plain": ""}


@register.simple_tag
def glyph(name: str) -> SafeString:
    """Inline SVG of one of GLYPHS, hidden from screen readers: put a word beside it."""
    if name not in GLYPHS:
        raise template.TemplateSyntaxError(f"No glyph is called {name!r}. There are: {', '.join(GLYPHS)}.")
    return format_html(
        '<svg class="glyph" viewBox="0 0 16 16" width="16" height="16" fill="none" stroke="currentColor"'
        ' stroke-width="2.2" stroke-linecap="round" stroke-linejoin="round" aria-hidden="true"'
        ' focusable="false">{}</svg>',
        mark_safe(GLYPHS[name]),
    )


@register.simple_tag
def flag(kind: str, word: Any, glyph_name: str | None = None) -> SafeString:
    """A state as a word with its glyph. `kind` is set, due, stop or plain; `glyph_name=""` leaves it out."""
    if kind not in FLAG_GLYPHS:
        raise template.TemplateSyntaxError(f"No flag is called {kind!r}. There are: {', '.join(FLAG_GLYPHS)}.")
    name = FLAG_GLYPHS[kind] if glyph_name is None else glyph_name
    return format_html('<span class="flag {}">{}{}</span>', kind, glyph(name) if name else "", word)


@register.simple_tag
def mark() -> SafeString:
    """The house's arch, 32 by 32."""
    return mark_safe(
        '<svg class="mark" viewBox="0 0 32 32" width="32" height="32" fill="none" stroke-width="2.6"'
        ' aria-hidden="true" focusable="false"><path stroke="#B97A3B" d="M2.5 30V15.5a13.5 13.5 0 0 1 27 0V30"/>'
        '<path stroke="#1F2D3A" d="M9.5 30V18.5a6.5 6.5 0 0 1 13 0V30M9.5 21.5h13"/></svg>'
    )
