"""How well words stand out from their ground: the contrast ratio of WCAG 2.2."""

import re
from collections.abc import Mapping

__all__ = ["ENHANCED", "contrast", "tokens"]

# Success criterion 1.4.6, level AAA, text of any size.
ENHANCED = 7.0


def contrast(one: str, other: str) -> float:
    """The ratio of two colors written as ``#rrggbb``, from 1 to 21."""
    high, low = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def _luminance(color: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [int(color[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def tokens(css: str, selector: str) -> Mapping[str, str]:
    """The colors that rules of exactly this selector name, as ``--name`` to ``#rrggbb``."""
    bodies = re.findall(rf"(?m)^{re.escape(selector)} \{{([^}}]*)\}}", css)
    return {
        name: color.upper() for body in bodies for name, color in re.findall(r"(--[\w-]+): (#[0-9A-Fa-f]{6})", body)
    }
