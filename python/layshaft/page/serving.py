"""Hands one page out over HTTP: nothing else is there, and nothing is taken in."""

import contextlib
import ipaddress
import socket
import threading
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

#: A visitor who says nothing for so long is left [s], and one who is not done after so long.
_PATIENCE = 10.0
_LONGEST_VISIT = 60.0
#: Visitors at a time; further ones are turned away.
_MOST_VISITORS = 16
#: An address of a documentation network: nothing is sent there, only the way out is asked for.
_FAR_AWAY = ("192.0.2.1", 9)


class PageServer(ThreadingHTTPServer):
    """Serves one page until it is shut down.

    Parameters
    ----------
    page
        What is handed out.
    host, port
        Where to listen; port 0 takes a free one.
    """

    daemon_threads = True

    def __init__(self, page: str, host: str = "127.0.0.1", port: int = 0) -> None:
        self.page = page.encode()
        self._room = threading.BoundedSemaphore(_MOST_VISITORS)
        super().__init__((host, port), _Visit)

    @property
    def address(self) -> str:
        """The address to open."""
        host, port = self.server_address[:2]
        return f"http://{host!s}:{port}/"

    def process_request(self, request: Any, client_address: Any) -> None:
        """Serve a visitor in a thread, as long as there is room."""
        if self._room.acquire(blocking=False):
            super().process_request(request, client_address)
        else:
            self.shutdown_request(request)

    def process_request_thread(self, request: Any, client_address: Any) -> None:
        """Serve one visitor, for a bounded time, and make room again."""
        end = threading.Timer(_LONGEST_VISIT, _break_off, (request,))
        end.daemon = True
        end.start()
        try:
            super().process_request_thread(request, client_address)
        finally:
            end.cancel()
            self._room.release()

    def handle_error(self, request: Any, client_address: Any) -> None:
        """Say nothing of visitors who break off."""


def _break_off(line: socket.socket) -> None:
    with contextlib.suppress(OSError):  # the visitor may have gone
        line.shutdown(socket.SHUT_RDWR)


class _Visit(BaseHTTPRequestHandler):
    server: PageServer
    timeout = _PATIENCE
    server_version = "layshaft"
    sys_version = ""

    def do_GET(self) -> None:
        if self._answer():
            self.wfile.write(self.server.page)

    def do_HEAD(self) -> None:
        self._answer()

    def _answer(self) -> bool:
        if self.path != "/":
            self.send_error(HTTPStatus.NOT_FOUND)
            return False
        self.send_response(HTTPStatus.OK)
        self.send_header("Content-Type", "text/html; charset=utf-8")
        self.send_header("Content-Length", str(len(self.server.page)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("Content-Security-Policy", "frame-ancestors 'none'")
        self.end_headers()
        return True

    def log_message(self, format: str, *args: object) -> None:
        """Keep the terminal for what is said to its user."""


def private_address() -> str:
    """Return this machine's address on its own network.

    Raises
    ------
    ValueError
        If it has none that is private.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way:
        try:
            way.connect(_FAR_AWAY)
        except OSError:
            raise ValueError("this machine is on no network that phones could be on") from None
        host = str(way.getsockname()[0])
    found = ipaddress.ip_address(host)
    if not found.is_private or found.is_loopback:
        raise ValueError(f"{host} is not a private address: the page would be open to everybody")
    return host
