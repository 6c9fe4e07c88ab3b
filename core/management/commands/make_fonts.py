"""Cut the page's letters to the Latin ones and pack them for the browser."""

import os
from pathlib import Path
from typing import Any

import fontpkg_atkinson_hyperlegible
from django.conf import settings
from django.core.management.base import BaseCommand, CommandParser
from fontTools import subset

SOURCE = Path(fontpkg_atkinson_hyperlegible.__file__).parent / "files"
FACES = {"regular": "Regular", "bold": "Bold", "italic": "Italic"}
# Latin with its accents, punctuation, the euro, plain arrows, minus and tick.
LETTERS = "U+0000-024F,U+2000-206F,U+20AC,U+2190-2193,U+2212,U+2713"


class Command(BaseCommand):
    help = "Makes the woff2 fonts in var/static/fonts that are not there yet."
    requires_system_checks = []  # the checks read pages that need these fonts

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--again", action="store_true", help="make every face anew")

    def handle(self, *args: Any, again: bool = False, **options: Any) -> None:
        folder: Path = settings.MADE_STATIC / "fonts"
        folder.mkdir(parents=True, exist_ok=True)
        for face, source in FACES.items():
            made = folder / f"atkinson-{face}.woff2"
            if again or not made.exists():
                make_font(SOURCE / f"AtkinsonHyperlegible-{source}.ttf", made)
                self.stdout.write(f"Made {made.name}, {made.stat().st_size // 1000} kB.")


def make_font(source: Path, made: Path) -> None:
    """Write the subset under another name first, so that an interrupted run leaves no half font."""
    draft = made.with_suffix(".part")
    # All layout features stay: tabular figures line numbers up in tables.
    subset.main(
        [
            str(source),
            f"--unicodes={LETTERS}",
            "--layout-features=*",
            "--flavor=woff2",
            f"--output-file={draft}",
        ]
    )
    os.replace(draft, made)
