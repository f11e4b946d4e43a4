"""A bench page served for a test: a real server on a free port, with a catalogue of its own."""

from __future__ import annotations

import re
import socket
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import httpx
import uvicorn
from shipped_base import shipped_reader

from markrules.knowledge.loading import load
from markrules.knowledge.places import cache_folder, shipped_rules
from markrules.reading.reader import Reader
from markrules.web.app import build_app
from markrules.web.connections import BoundedProtocol
from markrules.web.serving import ServerSettings, hosts_for

LOOPBACK = "127.0.0.1"
TOKEN = re.compile(r'<meta name="token" content="([0-9a-f]+)">')


@dataclass
class Served:
    """A running server: its address, its catalogue, and the one-time codes it announced."""

    address: str
    catalogue: Path
    codes: list[str] = field(default_factory=list)

    @property
    def host(self) -> str:
        return self.address.removeprefix("http://")

    @property
    def port(self) -> int:
        return int(self.host.rpartition(":")[2])

    def visitor(self) -> Visitor:
        return Visitor(self)


class Visitor:
    """A browser without a window: keeps its cookies, and sends forms as a page of ours would."""

    def __init__(self, served: Served) -> None:
        self.served = served
        # Nothing here is encrypted, and to read the certificates of all the world takes a while.
        self.client = httpx.Client(
            base_url=served.address, follow_redirects=True, timeout=180, verify=False
        )

    @property
    def cookie(self) -> str:
        """The one cookie that is kept, as a header sends it."""
        (name,) = self.client.cookies.keys()
        return f"{name}={self.client.cookies[name]}"

    def get(self, path: str, **more: object) -> httpx.Response:
        return self.client.get(path, **more)  # type: ignore[arg-type]

    def token(self) -> str:
        found = TOKEN.search(self.get("/").text)
        assert found is not None
        return found[1]

    def post(
        self,
        path: str,
        fields: Mapping[str, str | list[str]] | None = None,
        *,
        fragment: bool = False,
        **more: object,
    ) -> httpx.Response:
        headers = {"origin": self.served.address, **({"x-fragment": "1"} if fragment else {})}
        data = {"token": self.token(), **(fields or {})}
        return self.client.post(path, data=data, headers=headers, **more)  # type: ignore[arg-type]

    def start_box(self, name: str, *notes: str) -> list[str]:
        """A box with a piece for each note; the addresses of the pieces."""
        box = self.post("/boxes", {"name": name})
        if not notes:
            return []
        path = box.url.path
        page = self.post(f"{path}/pieces", {"notes": "\n".join(notes)})
        assert page.status_code == 200, page.text
        return list(dict.fromkeys(re.findall(r'href="(/piece/[a-z2-7]{16})"', page.text)))


def opened_anew(own: Path) -> Reader:
    """A reader over the shipped rules and one's own; what was worked out of like rules is kept."""
    folders = [shipped_rules(), own] if own.is_dir() else [shipped_rules()]
    return Reader(load(folders, cache_folder=cache_folder())[0], 2026)


@contextmanager
def serving(
    folder: Path,
    *,
    shared: bool = False,
    protocol: type[BoundedProtocol] = BoundedProtocol,
    open_reader: Callable[[], Reader] = shipped_reader,
    open_anew: Callable[[], Reader] | None = None,
    own_address: str = "",
) -> Iterator[Served]:
    """Serve a new catalogue in `folder` until the block ends.

    With `own_address`, whoever comes from it sits at the computer that serves.
    """
    shipped_reader()  # a loaded machine takes longer for it than a client waits for a page
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listening.bind((LOOPBACK, 0))
    port = listening.getsockname()[1]
    served = Served(f"http://{LOOPBACK}:{port}", folder / "catalogue.db")
    settings = ServerSettings(
        catalogue=served.catalogue,
        open_reader=open_reader,
        hosts=hosts_for(LOOPBACK, port),
        shared=shared,
        announce=served.codes.append,
        open_anew=open_anew,
        own_address=own_address,
        address=f"{served.address}/",
    )
    config = uvicorn.Config(
        build_app(settings), http=protocol, ws="none", log_level="error", access_log=False
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
    thread.start()
    until = time.monotonic() + 60
    while not server.started:
        assert time.monotonic() < until, "the server did not start"
        time.sleep(0.01)
    try:
        yield served
    finally:
        server.should_exit = True
        thread.join(10)
        listening.close()
