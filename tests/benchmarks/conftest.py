"""What the measurements share: one line per figure, always a ratio to a baseline of the same run."""

import time
from collections.abc import Callable

__all__ = ["p95_ms", "report"]


def p95_ms(call: Callable[[], object], times: int) -> float:
    """The 95th percentile of ``times`` calls, in milliseconds, after three that don't count."""
    for _ in range(3):
        call()
    took = []
    for _ in range(times):
        began = time.perf_counter()
        call()
        took.append((time.perf_counter() - began) * 1000)
    return sorted(took)[max(0, round(0.95 * times) - 1)]


def report(name: str, value: float, unit: str, ratio: float, baseline: str) -> None:
    print(f"\nbench {name} {value:.2f} {unit} ratio {ratio:.2f} against {baseline}")
