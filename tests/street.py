"""The rooms of the house, top to bottom, as the import contract names them."""

import tomllib
from pathlib import Path

__all__ = ["APPS", "ROOMS", "ROOT"]

ROOT = Path(__file__).resolve().parents[1]
_contracts = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"]["contracts"]
# Everything that is ours and no test.
ROOMS: tuple[str, ...] = tuple(next(one["layers"] for one in _contracts if one["type"] == "layers"))
# Where the subjects are.
APPS: tuple[str, ...] = tuple(room for room in ROOMS if room not in {"config", "demo", "core"})
