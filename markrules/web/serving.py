"""How a bench page is served: from which catalogue, to whom, at which address."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from markrules.frozen import dataclass
from markrules.reading.reader import Reader


@dataclass(frozen=True, slots=True)
class ServerSettings:
    """What `build_app` needs to know.

    `hosts` are the values of the Host header that are answered, as `127.0.0.1:8140`; anything
    else is refused. With `shared`, nobody gets in without a one-time code. `announce` is
    called with each new code, so that it can be shown where the server was started. `open_anew`
    opens the knowledge again after the person's own rules changed; `open_reader` if left out.
    `own_address` is this computer's address where the table is shared: who comes from it sits at
    this computer, and needs no code. `address` is what others type to come in. `rule_folders` are
    those of the person's own rules beside the usual one.
    """

    catalogue: Path
    open_reader: Callable[[], Reader]
    hosts: frozenset[str]
    shared: bool = False
    announce: Callable[[str], None] = lambda _code: None
    open_anew: Callable[[], Reader] | None = None
    own_address: str = ""
    address: str = ""
    rule_folders: tuple[Path, ...] = ()


def hosts_for(address: str, port: int) -> frozenset[str]:
    """The Host values under which a server at this address may be asked for.

    On the loopback address, all its usual names; elsewhere the address alone, so that no
    foreign name that points at it is answered.
    """
    loopback = ("127.0.0.1", "localhost", "[::1]")
    names = loopback if address in ("127.0.0.1", "::1", "localhost") else (address,)
    plain = frozenset(names) if port == 80 else frozenset()
    return plain | {f"{name}:{port}" for name in names}
