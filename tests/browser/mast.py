"""The signal that a phone in a test has: a SOCKS proxy (RFC 1928) between its browser and the site, up or down.

A browser that merely says that it is offline still lets some of its own requests through: with every page and the
service worker set offline, ``/floor/sw.js`` was fetched at 59 of 60 openings of a page. While a mast is down nothing
that the phone does can arrive, whichever part of the browser asks and whenever it was opened.
"""

import contextlib
import select
import socket
import threading

__all__ = ["Mast"]

VERSION, CONNECT, NO_PASSWORD, ADDRESS, NAME = 5, 1, 0, 1, 3


class Mast:
    """``with Mast() as mast``: up when entered. ``mast.url`` is the proxy that the browser is told of."""

    def __init__(self) -> None:
        self._listener = socket.create_server(("127.0.0.1", 0))
        self._up = True
        self._closed = False
        self._lock = threading.Lock()
        self._lines: set[socket.socket] = set()
        self.url = f"socks5://127.0.0.1:{self._listener.getsockname()[1]}"

    def __enter__(self) -> "Mast":
        threading.Thread(target=self._serve, name="mast", daemon=True).start()
        return self

    def __exit__(self, *exc: object) -> None:
        self._closed = True
        self.go_down()
        with contextlib.suppress(OSError):
            self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()

    def go_down(self) -> None:
        """Nothing passes from now on: what is under way is cut, what comes is refused."""
        with self._lock:
            self._up = False
            for line in self._lines:
                with contextlib.suppress(OSError):
                    line.shutdown(socket.SHUT_RDWR)

    def go_up(self) -> None:
        with self._lock:
            self._up = True

    def _serve(self) -> None:
        while not self._closed:
            try:
                phone, _ = self._listener.accept()
            except OSError:
                return  # closed while waiting
            threading.Thread(target=self._carry, args=(phone,), name="mast-line", daemon=True).start()

    def _carry(self, phone: socket.socket) -> None:
        with phone, contextlib.suppress(OSError):
            if not self._hold(phone):
                return
            try:
                with socket.create_connection(asked_for(phone)) as site:
                    if not self._hold(site):
                        return
                    try:
                        phone.sendall(bytes([VERSION, 0, 0, ADDRESS, 0, 0, 0, 0, 0, 0]))
                        relay(phone, site)
                    finally:
                        self._let_go(site)
            finally:
                self._let_go(phone)

    def _hold(self, line: socket.socket) -> bool:
        """Whether ``line`` may carry anything; if so it is cut when the mast goes down."""
        with self._lock:
            if self._up:
                self._lines.add(line)
            return self._up

    def _let_go(self, line: socket.socket) -> None:
        with self._lock:
            self._lines.discard(line)


def asked_for(phone: socket.socket) -> tuple[str, int]:
    """The site that the browser asks for, after the greetings of RFC 1928 sections 3 and 4."""
    _, methods = exactly(phone, 2)
    exactly(phone, methods)
    phone.sendall(bytes([VERSION, NO_PASSWORD]))
    version, command, _, kind = exactly(phone, 4)
    if (version, command) != (VERSION, CONNECT) or kind not in (ADDRESS, NAME):
        raise OSError(f"No answer is known to {(version, command, kind)}.")
    if kind == ADDRESS:
        host = socket.inet_ntoa(exactly(phone, 4))
    else:
        host = exactly(phone, exactly(phone, 1)[0]).decode("ascii")
    return host, int.from_bytes(exactly(phone, 2), "big")


def exactly(line: socket.socket, count: int) -> bytes:
    got = b""
    while len(got) < count:
        more = line.recv(count - len(got))
        if not more:
            raise OSError("The line was cut.")
        got += more
    return got


def relay(one: socket.socket, other: socket.socket) -> None:
    """Carry both ways until either end closes."""
    while True:
        ready, _, _ = select.select([one, other], [], [])
        for line in ready:
            said = line.recv(65536)
            if not said:
                return
            (other if line is one else one).sendall(said)
