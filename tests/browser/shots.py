"""The pictures of the README: the demo's world, photographed. Run by ``make shots``."""

import sys

import pytest

from demo.embedded import VAR

PICTURES = VAR.parent / "core" / "pictures"

if __name__ == "__main__":
    sys.exit(pytest.main(["tests/browser/take_shots.py", "-n", "0", "-q", "-o", "python_files=take_*.py"]))
