"""The page handed out: that one page, to a bounded number, and nothing else."""

import http.client
import re
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import layshaft
import pytest
from layshaft.page import page_file, serving
from layshaft.page.page_file import CARE
from layshaft.page.serving import PageServer, private_address

PAGE = "<!doctype html><title>pit \N{EN DASH} é</title>"
README = Path(__file__).parents[2] / "README.md"


@pytest.fixture
def server() -> Iterator[PageServer]:
    with PageServer(PAGE) as made:
        thread = threading.Thread(target=made.serve_forever, args=(0.01,))
        thread.start()
        yield made
        made.shutdown()
        thread.join()


def asked(server: PageServer, method: str, path: str, **rest: object) -> tuple[int, bytes]:
    connection = http.client.HTTPConnection(*server.server_address[:2], timeout=10)
    connection.request(method, path, **rest)
    answer = connection.getresponse()
    content = answer.read()
    connection.close()
    return answer.status, content


def said_to(server: PageServer, request: bytes) -> bytes:
    with socket.create_connection(server.server_address[:2], timeout=10) as line:
        try:
            line.sendall(request)
            return b"".join(iter(lambda: line.recv(4096), b""))
        except ConnectionError:
            return b"closed"


def test_the_page_is_handed_out_as_it_is(server: PageServer) -> None:
    assert asked(server, "GET", "/") == (200, PAGE.encode())
    assert asked(server, "HEAD", "/") == (200, b"")
    assert server.address == f"http://127.0.0.1:{server.server_address[1]}/"


@pytest.mark.parametrize(
    "path",
    ["/pit.html", "/../etc/passwd", "//etc/passwd", "/%2e%2e/x", "/?a=1", "*", "/" + "a" * 5000],
)
def test_nothing_else_is_there(server: PageServer, path: str) -> None:
    status, content = asked(server, "GET", path)
    assert status == 404
    assert PAGE.encode() not in content


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "TRACE"])
def test_nothing_is_taken_in(server: PageServer, method: str) -> None:
    assert asked(server, method, "/", body=b"x")[0] == 501


@pytest.mark.parametrize(
    ("request_line", "status"),
    [
        (b"GET /" + b"a" * 70_000 + b" HTTP/1.1\r\n\r\n", b"414"),
        (b"GET / HTTP/1.1\r\n" + b"a: b\r\n" * 200 + b"\r\n", b"431"),
        (b"GET / HTTP/1.1\r\na: " + b"b" * 70_000 + b"\r\n\r\n", b"431"),
        (b"GET / HTTP/9.9\r\n\r\n", b"505"),
        (b"\x00\xff\x00\r\n\r\n", b"400"),
    ],
)
def test_large_and_odd_requests_are_refused(
    server: PageServer, request_line: bytes, status: bytes
) -> None:
    assert status in said_to(server, request_line)
    assert asked(server, "GET", "/")[0] == 200


def test_silent_visitors_do_not_fill_it_up(
    server: PageServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    address = server.server_address[:2]
    monkeypatch.setattr(serving._Visit, "timeout", 0.5)
    silent = [socket.create_connection(address, timeout=10) for _ in range(16)]
    with socket.create_connection(address, timeout=10) as turned_away:
        assert turned_away.recv(1) == b""
    for each in silent:
        assert each.recv(1) == b""  # left after a while
        each.close()
    assert asked(server, "GET", "/")[0] == 200


def test_visitors_who_trickle_do_not_fill_it_up(
    server: PageServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(serving, "_LONGEST_VISIT", 0.5)
    with socket.create_connection(server.server_address[:2], timeout=10) as line:
        line.settimeout(0.05)
        for _ in range(60):  # 3 s, far within the patience with silence
            try:
                line.sendall(b"a")
                assert line.recv(1) == b""
                break
            except TimeoutError:
                continue
            except ConnectionError:
                break
        else:
            pytest.fail("the visitor was not left")
    assert asked(server, "GET", "/")[0] == 200


@pytest.mark.parametrize(
    ("own", "said"),
    [("8.8.8.8", "not a private address"), ("127.0.0.1", "not a private address")],
)
def test_only_a_private_address_is_taken(
    monkeypatch: pytest.MonkeyPatch, own: str, said: str
) -> None:
    monkeypatch.setattr(socket.socket, "connect", lambda *_: None)
    monkeypatch.setattr(socket.socket, "getsockname", lambda _: (own, 1))
    with pytest.raises(ValueError, match=said):
        private_address()
    monkeypatch.setattr(socket.socket, "getsockname", lambda _: ("192.168.1.7", 1))
    assert private_address() == "192.168.1.7"


def test_the_command_writes_the_page_and_hands_it_out(tmp_path: Path) -> None:
    code = "from layshaft.cli.main import main; main()"
    words = [sys.executable, "-u", "-c", code, "page", "pit.html", "--serve"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, text=True, cwd=tmp_path) as running:
        lines = iter(running.stdout.readline, "")
        address = next(filter(None, (re.search(r"http://(\S+):(\d+)/", line) for line in lines)))
        connection = http.client.HTTPConnection(address[1], int(address[2]), timeout=10)
        connection.request("GET", "/")
        content = connection.getresponse().read()
        running.send_signal(signal.SIGTERM)
    assert content == (tmp_path / "pit.html").read_bytes()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ({"path": "pit.htm"}, "must end in .html"),
        ({"path": "pit.html", "title": ""}, "title = '' must be text of 1 to 80 letters"),
        ({"path": "pit.html", "title": "a" * 81}, "must be text of 1 to 80 letters"),
        ({"path": "pit.html", "title": "   "}, "title = '   ' must be text of 1 to 80 letters"),
        ({"path": "pit.html", "title": "a\nb"}, "title = 'a\\nb' must be of letters that can be"),
        ({"path": "pit.html", "title": "a\ud800"}, "title = 'a\\ud800' must be of letters"),
        ({"path": "pit.html", "title": "a\u202eb"}, "title = 'a\\u202eb' must be of letters"),
    ],
)
def test_bad_arguments_are_refused(tmp_path: Path, arguments: dict[str, str], said: str) -> None:
    path = tmp_path / arguments.pop("path")
    with pytest.raises(ValueError, match=re.escape(said)):
        layshaft.write_page(layshaft.demo_car(), path, **arguments)
    assert list(tmp_path.iterdir()) == []


def test_without_the_core_it_is_said_how_to_get_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(page_file, "_CORE", tmp_path / "core.wasm")
    with pytest.raises(FileNotFoundError, match="LAYSHAFT_BUILD_PAGE=true"):
        layshaft.write_page(layshaft.demo_car(), tmp_path / "pit.html")


def test_the_cautions_are_those_of_the_readme() -> None:
    readme = " ".join(README.read_text(encoding="utf-8").split())
    for each in CARE:
        assert each in readme
