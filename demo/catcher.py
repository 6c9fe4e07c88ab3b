"""A mail server for the demo: takes every message, delivers none, keeps each as a file for the mail page.

``python -m demo.catcher FOLDER --port N`` serves until it is told to stop. The file's first lines are the
envelope, as X-Envelope-From and X-Envelope-To, since the people on it need not stand in the message.
"""

import argparse
import os
import secrets
import signal
import threading
from pathlib import Path

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session

from core import clock

__all__ = ["Keeper", "serve"]

MOST_BYTES = 10 * 1024 * 1024


class Keeper:
    """Writes what arrives to ``folder``, each message whole under its final name or not at all."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)

    async def handle_DATA(self, _server: SMTP, _session: Session, envelope: Envelope) -> str:
        # The instant in nanoseconds first, so that names sort by arrival.
        name = f"{round(clock.now().timestamp() * 1_000_000)}000-{secrets.token_hex(4)}"
        draft = self.folder / f".{name}.part"
        draft.write_bytes(envelope_lines(envelope) + (envelope.original_content or b""))
        os.replace(draft, self.folder / f"{name}.eml")
        return "250 Kept for the demo's mail page"


def envelope_lines(envelope: Envelope) -> bytes:
    lines = [f"X-Envelope-From: {envelope.mail_from or ''}"]
    lines += [f"X-Envelope-To: {person}" for person in envelope.rcpt_tos]
    return "".join(f"{line}\r\n" for line in lines).encode("utf-8", "surrogateescape")


def serve(folder: Path, port: int, host: str = "127.0.0.1") -> Controller:
    """Start the catcher on host:port in a thread of its own; the caller stops the returned controller.

    Raises OSError when the port is taken.
    """
    controller = Controller(Keeper(folder), hostname=host, port=port, data_size_limit=MOST_BYTES)
    controller.start()
    return controller


def main() -> None:
    parser = argparse.ArgumentParser(description="Catch mail for the demo.")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--host", default="127.0.0.1")
    parser.add_argument("--port", type=int, required=True)
    options = parser.parse_args()
    told_to_stop = threading.Event()
    for number in (signal.SIGTERM, signal.SIGINT, signal.SIGHUP):
        signal.signal(number, lambda _received, _frame: told_to_stop.set())
    controller = serve(options.folder, options.port, options.host)
    print(f"Catching mail on {options.host}:{options.port} into {options.folder}.", flush=True)
    told_to_stop.wait()
    controller.stop()


if __name__ == "__main__":
    main()
