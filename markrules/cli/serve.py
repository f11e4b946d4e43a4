"""`markrules serve`: the bench page, for a phone or a laptop at the table."""

from __future__ import annotations

import socket
from pathlib import Path

import click

from markrules.cli.common import FileProblem, open_reader, rules_options, told_plainly

PORT = 8140
LOOPBACK = "127.0.0.1"


@click.command()
@click.option("--port", type=click.IntRange(0, 65535), default=PORT, show_default=True)
@click.option("--share", is_flag=True, help="Let others at the table in, each with a code.")
@click.option(
    "--catalogue",
    "place",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="The catalogue's file, where it is not the usual one.",
)
@rules_options
@told_plainly
def command(port: int, share: bool, place: Path | None, rule_folders: tuple[Path, ...]) -> None:
    """Open the bench page: boxes, pieces, photos and the book, in a browser.

    Only this computer reaches it, unless --share is given: then every browser on the same
    network that types the code shown gets in, one browser for each code.

    \b
    markrules serve
    markrules serve --share
    """
    open_reader(rule_folders)
    address = own_address() if share else LOOPBACK
    listening = _listen(address, port)
    port = listening.getsockname()[1]
    click.echo(f"The bench page: http://{address}:{port}/   (Ctrl+C ends it)")
    _serve(listening, address, share, place, rule_folders)


def _serve(
    listening: socket.socket,
    address: str,
    share: bool,
    place: Path | None,
    rule_folders: tuple[Path, ...],
) -> None:
    try:
        import uvicorn

        from markrules.web.app import build_app
        from markrules.web.settings import Settings, hosts_for
    except ImportError as missing:
        raise click.ClickException(
            f"{missing.name} is not installed; `pip install markrules[web]` brings what is needed"
        ) from None
    from markrules.catalogue.file import catalogue_place
    from markrules.catalogue.problems import CatalogueProblem
    from markrules.catalogue.store import Catalogue

    path = place or catalogue_place()
    try:
        Catalogue(path).close()
    except CatalogueProblem as problem:
        raise FileProblem(str(problem)) from None
    settings = Settings(
        catalogue=path,
        open_reader=lambda: open_reader(rule_folders),
        hosts=hosts_for(address, listening.getsockname()[1]),
        shared=share,
        announce=lambda code: click.echo(f"The next browser gets in with the code {code}"),
    )
    config = uvicorn.Config(
        build_app(settings),
        log_level="error",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        limit_concurrency=400,
        timeout_keep_alive=30,
        timeout_graceful_shutdown=3,
    )
    uvicorn.Server(config).run(sockets=[listening])


def _listen(address: str, port: int) -> socket.socket:
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((address, port))
    except OSError as problem:
        listening.close()
        raise FileProblem(
            f"{address}:{port}: {problem.strerror}; another port is chosen with --port"
        ) from None
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
