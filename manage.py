#!/usr/bin/env python3
"""Django's commands, with the embedded servers behind them when no others are named."""

import os
import sys

try:
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    from demo import embedded
except ImportError as missing:
    sys.exit(f"{missing}. Make the project's environment with: make env\nThen use: .venv/bin/python manage.py ...")


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    try:
        embedded.supply(os.environ)
        execute_from_command_line(sys.argv)
    except (embedded.EmbeddedServerError, ImproperlyConfigured) as reason:
        sys.exit(str(reason))


if __name__ == "__main__":
    main()
