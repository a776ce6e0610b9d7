"""`halfwater serve`: the pages, on this machine only unless told otherwise."""

import logging
import socket
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from ipaddress import ip_address
from typing import Annotated

import typer

from halfwater import config
from halfwater.cli.options import option
from halfwater.cli.printing import JsonFlag, print_json
from halfwater.errors import RefusedByBook, RefusedInput

app = typer.Typer(add_completion=False, rich_markup_mode=None)
HERE = "127.0.0.1"
BEYOND = (
    "Beyond this machine they ask for https, which a web server in front of them does; on a net you trust, "
    "HALFWATER_HTTPS=none lets them be read without."
)


@app.command()
def serve(
    host: Annotated[str, option("--host", "ADDRESS", "The address or name to serve at.")] = HERE,
    port: Annotated[int, option("--port", "N", "The port.")] = 8000,
    open_page: Annotated[bool, typer.Option("--open", help="Open the page in the browser.")] = False,
    as_json: JsonFlag = False,
) -> None:
    """Serve the pages of your own book until stopped with Ctrl-C."""
    config.open_book("" if is_here(host) else ",".join(names_of(host)))
    serve_pages(host, port, say_json if as_json else say, open_page=open_page)


def say(address: str, is_beyond: bool) -> None:
    """Where the pages are, for people."""
    typer.echo(f"The pages are at {address} (stop with Ctrl-C).")
    if is_beyond:
        typer.echo(BEYOND)


def say_json(address: str, is_beyond: bool) -> None:
    """The same for programs."""
    print_json({"address": address, "is_beyond": is_beyond})


def serve_pages(
    host: str, port: int, tell: Callable[[str, bool], None] = say, *, open_page: bool = False
) -> None:
    """Serve the book that is open, once it is told where."""
    from waitress.server import create_server

    from halfwater.config.wsgi import application
    from halfwater.deeds.owner import is_password_set

    _refuse_port(port)
    if not is_here(host) and not is_password_set():
        raise RefusedByBook(
            f"The book is not served beyond this machine ({host}) without an owner's password: "
            "set one with `halfwater password`."
        )
    try:
        server = create_server(application, host=host, port=port, threads=4, ident="halfwater")
    except (OSError, ValueError) as error:
        raise RefusedInput(
            "address", f"{host}:{port}", f"one that is free on this machine ({error})"
        ) from error
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # a page that waits its turn is no news
    address = f"http://{'[' + host + ']' if ':' in host else host}:{port}/"
    tell(address, not is_here(host))
    if open_page:
        webbrowser.open(address)
    try:
        server.run()  # until Ctrl-C, which it takes itself
    finally:
        server.close()


def _refuse_port(port: int) -> None:
    if not 1 <= port <= 65535:
        raise RefusedInput("port", port, "a number from 1 to 65535")


def is_here(host: str) -> bool:
    """Does this address reach no further than this machine?"""
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def names_of(host: str) -> list[str]:
    """The names under which an address is reached: for "every address" those of this machine."""
    if host not in ("0.0.0.0", "::", ""):
        return [host]
    name = socket.gethostname()
    found = [name, f"{name}.local", _outward_address()]
    with suppress(OSError):
        found += sorted({str(address[4][0]) for address in socket.getaddrinfo(name, None)})
    return [one for one in dict.fromkeys(found) if one and not is_here(one)]


def _outward_address() -> str:
    """The address this machine has in its net; choosing a way sends nothing."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("203.0.113.1", 9))  # kept free for examples, RFC 5737
        except OSError:
            return ""
        return str(probe.getsockname()[0])


def free_port(wanted: int) -> int:
    """The wanted port, or the next free one after it."""
    _refuse_port(wanted)
    for port in range(wanted, min(wanted + 50, 65536)):
        with socket.socket() as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((HERE, port))
            except OSError:
                continue
            return port
    return wanted
