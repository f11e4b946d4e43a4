"""`markrules serve`: the bench page, for a phone or a laptop at the table."""

from __future__ import annotations

import contextlib
import errno
import logging
import socket
import sys
from pathlib import Path

import click

from markrules.cli.catalogue import catalogue_options
from markrules.cli.common import FileProblem, from_option, open_reader, rules_options
from markrules.reading.reader import Reader
from markrules.telling.words import printable

PORT = 8140
LOOPBACK = "127.0.0.1"
NOT_ENCRYPTED = (
    "What is sent is not encrypted: share on a network of your own, not in a cafe or at a fair."
)
SWITCH_SECONDS = 0.001
"""How long one thread may keep the others waiting: a page goes before a long reading."""


@click.command()
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=PORT,
    show_default=True,
    help="The port; 0 takes any that is free.",
)
@click.option("--share", is_flag=True, help="Let others at the table in, each with a code.")
@from_option
@rules_options
@catalogue_options
def command(
    port: int, share: bool, origin: str, place: Path | None, rule_folders: tuple[Path, ...]
) -> None:
    """Open the bench page: boxes, pieces, photos and the book, in a browser.

    Only this computer reaches it, unless --share is given: then every browser on the same
    network that types the code shown gets in, one browser for each code.

    \b
    markrules serve
    markrules serve --share
    """
    reader = open_reader(rule_folders, origin)
    path = _checked_catalogue(place)
    address = own_address() if share else LOOPBACK
    with _listening(address, port) as listening:
        _serve(listening, address, share, path, reader, rule_folders)


def _serve(
    listening: socket.socket,
    address: str,
    share: bool,
    path: Path,
    reader: Reader,
    rule_folders: tuple[Path, ...],
) -> None:
    """Serve until the person at the terminal ends it."""
    import uvicorn

    from markrules.web.app import build_app
    from markrules.web.connections import BoundedProtocol, raise_file_limit
    from markrules.web.serving import ServerSettings, hosts_for

    port = listening.getsockname()[1]
    settings = ServerSettings(
        catalogue=path,
        open_reader=lambda: reader,
        open_anew=lambda: open_reader(rule_folders, reader.origin),
        hosts=hosts_for(address, port),
        shared=share,
        announce=lambda code: click.echo(f"The next browser gets in with the code {code}"),
        own_address=address if share else "",
        address=f"http://{address}:{port}/",
        rule_folders=rule_folders,
    )
    config = uvicorn.Config(
        build_app(settings),
        http=BoundedProtocol,
        ws="none",
        log_config=None,
        access_log=False,
        server_header=False,
        proxy_headers=False,
        timeout_keep_alive=30,
        timeout_graceful_shutdown=3,
    )
    _log_quietly()
    raise_file_limit()
    sys.setswitchinterval(SWITCH_SECONDS)
    click.echo(f"The bench page: http://{address}:{port}/   (Ctrl+C ends it)")
    if share:
        click.echo("On this computer no code is needed. The page “You” there shows a QR code.")
        click.echo(NOT_ENCRYPTED)
    with contextlib.suppress(KeyboardInterrupt):
        uvicorn.Server(config).run(sockets=[listening])


def _log_quietly() -> None:
    """Trouble of the server is one line on standard error, never a trace nor a flood."""
    from markrules.web.connections import OneLine

    handler = OneLine(lambda line: click.echo(printable(line), err=True))
    for name in ("uvicorn", "asyncio"):
        logger = logging.getLogger(name)
        logger.handlers, logger.propagate = [handler], False
        logger.setLevel(logging.ERROR)


def _checked_catalogue(place: Path | None) -> Path:
    """The catalogue's file, made where there is none. Raises FileProblem where it cannot be."""
    from markrules.catalogue.file import catalogue_place
    from markrules.catalogue.problems import CatalogueProblem
    from markrules.catalogue.store import Catalogue

    path = place or catalogue_place()
    try:
        Catalogue(path).close()
    except CatalogueProblem as problem:
        raise FileProblem(str(problem)) from None
    return path


def _listening(address: str, port: int) -> socket.socket:
    """An open port; told to be TCP outright, for only then asyncio sends small answers at once."""
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((address, port))
        listening.listen(100)
    except OSError as problem:
        listening.close()
        what = f"{address}:{port}: {problem.strerror}"
        if problem.errno == errno.EADDRINUSE:
            what += f"; perhaps the page is open already, at http://{address}:{port}/"
        raise FileProblem(f"{what}; another port is chosen with --port") from None
    listening.set_inheritable(True)
    return listening


def own_address() -> str:
    """This computer's address on the local network.

    No packet is sent: connecting a datagram socket only chooses the way (to 192.0.2.1, which
    RFC 5737 keeps for documentation). Raises click.ClickException where there is no network.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        try:
            asking.connect(("192.0.2.1", 9))
            return str(asking.getsockname()[0])
        except OSError:
            raise click.ClickException(
                "this computer is on no network, so nothing can be shared; leave --share out"
            ) from None
