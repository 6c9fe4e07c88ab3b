"""The Chromium that the browser tests drive: found on this machine, or installed by ``make browser``."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
INSTALL_SECONDS = 600


def find() -> str | None:
    """The path of a Chromium that starts: from $CHROMIUM, else the PATH, else Playwright's own; or None."""
    named = os.environ.get("CHROMIUM")
    if named:
        return named if starts(named) else None
    for name in NAMES:
        path = shutil.which(name)
        if path and starts(path):
            return path
    own = playwrights_own()
    return own if starts(own) else None


def playwrights_own() -> str:
    with sync_playwright() as playwright:
        return playwright.chromium.executable_path


def starts(path: str) -> bool:
    if not Path(path).exists():
        return False
    try:
        done = subprocess.run([path, "--version", "--no-sandbox"], capture_output=True, timeout=60)
    except (OSError, subprocess.TimeoutExpired):
        return False
    return done.returncode == 0


def main() -> None:
    named = os.environ.get("CHROMIUM")
    found = find()
    if found:
        print(f"Browser tests use {found}.")
        return
    if named:
        sys.exit(f"CHROMIUM names {named}, which does not start. Set it to a Chromium that does, or unset it.")
    print("No Chromium on this machine. Trying: playwright install chromium")
    attempt([sys.executable, "-m", "playwright", "install", "chromium"])
    if find() is None and os.geteuid() == 0 and shutil.which("apt-get"):
        print("Playwright's Chromium can't be had or does not start here. Trying: apt-get install chromium")
        attempt(["apt-get", "update", "-qq"])
        attempt(["apt-get", "install", "-y", "-qq", "--no-install-recommends", "chromium"])
    found = find()
    if found is None:
        sys.exit(
            "No Chromium could be found or installed, and the browser tests need one. Install it with your "
            "system's package manager, or set CHROMIUM to the path of one, and run this again."
        )
    print(f"Installed. Browser tests use {found}.")


def attempt(command: list[str]) -> None:
    """Run an installer without its chatter; show its end if it fails, for then the next way is tried."""
    env = os.environ | {"DEBIAN_FRONTEND": "noninteractive"}
    try:
        done = subprocess.run(command, env=env, capture_output=True, text=True, timeout=INSTALL_SECONDS)
    except subprocess.TimeoutExpired:
        print(f"{command[0]} took more than {INSTALL_SECONDS} seconds and was stopped.")
        return
    if done.returncode:
        print("\n".join((done.stdout + done.stderr).strip().splitlines()[-5:]))


if __name__ == "__main__":
    main()
