"""A real SMTP server for tests: keeps what it receives, and can be slow or refuse."""

import email
import email.policy
import re
import time
from collections.abc import Callable
from email.message import EmailMessage
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session

from tests.servers import unused_port

__all__ = ["Mailbox"]


class Mailbox:
    """``with Mailbox() as box:`` listens on ``box.port``; ``box.messages`` grows as mail arrives."""

    def __init__(self, seconds: float = 0, refuse: Callable[[str], str | None] | None = None) -> None:
        self.messages: list[EmailMessage] = []
        self._seconds = seconds
        self._refuse = refuse
        self._controller = Controller(self, hostname="127.0.0.1", port=unused_port())

    def __enter__(self) -> "Mailbox":
        self._controller.start()
        return self

    def __exit__(self, *exc: object) -> None:
        self._controller.stop()

    @property
    def port(self) -> int:
        return int(self._controller.port)

    async def handle_RCPT(
        self, server: SMTP, session: Session, envelope: Envelope, address: str, rcpt_options: list[str]
    ) -> str:
        answer = self._refuse(address) if self._refuse else None
        if answer:
            return answer
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: SMTP, session: Session, envelope: Envelope) -> str:
        if self._seconds:
            time.sleep(self._seconds)
        content = envelope.content
        raw = content if isinstance(content, bytes) else (content or "").encode()
        message: Any = email.message_from_bytes(raw, policy=email.policy.default)
        self.messages.append(message)
        return "250 Message accepted"

    def wait_until(self, count: int, seconds: float = 30) -> None:
        """Return once ``count`` messages have come; fails when they have not within ``seconds``."""
        end = time.monotonic() + seconds
        while len(self.messages) < count:
            if time.monotonic() > end:
                raise AssertionError(f"{len(self.messages)} of {count} messages came within {seconds} s.")
            time.sleep(0.02)

    def to(self, address: str) -> list[EmailMessage]:
        return [message for message in self.messages if address in str(message["To"])]

    def wait_for(self, address: str, count: int = 1, seconds: float = 20) -> EmailMessage:
        """The newest message to ``address`` once ``count`` have arrived; fails with what did arrive."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            found = self.to(address)
            if len(found) >= count:
                return found[-1]
            time.sleep(0.05)
        got = [(str(m["To"]), str(m["Subject"])) for m in self.messages]
        raise AssertionError(f"{count} to {address} did not arrive within {seconds} s; arrived: {got}")


def link_in(message: EmailMessage) -> str:
    """The path of the first link in the text part."""
    part = message.get_body(("plain",))
    assert part is not None
    found = re.search(r"https?://[^/\s]+(/(?:[rcdsjv]|spot|family)/\S+)", part.get_content())
    assert found, part.get_content()
    return found.group(1)
