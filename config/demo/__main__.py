"""Run the demo: servers, scenario, plans, papers, a worker, the pages; end all of it on Ctrl-C."""

import argparse
import os
import signal
import sys
from contextlib import ExitStack
from types import FrameType

import django
from rich.console import Console

from config.demo.certificate import certificate_files
from config.demo.children import Children, port_is_free
from config.demo.errors import DemoError
from config.demo.site import Site, lan_names
from config.embedded import EmbeddedError, servers_started
from config.embedded.directories import CHECKOUT

DIRECTORY = "demo"
TLS = CHECKOUT / ".run" / "tls"  # kept, so that a phone trusts the next demo too
DEFAULT_SECONDS = 8.0
WIDTH = 110  # of what is printed into a file or a pipe


def main(arguments: list[str]) -> int:
    """Return the exit status: 0 done, 1 a part failed, 2 it could not start, 130 Ctrl-C."""
    wanted = _options(arguments)
    if wanted.serve and not port_is_free(wanted.port):
        sys.stderr.write(
            f"Port {wanted.port} is in use. End what listens there, or choose another: "
            f"make demo PORT={wanted.port + 1}\n"
        )
        return 2
    for sign in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(sign, _interrupted)
    console = Console(highlight=False)
    if not console.is_terminal:
        console.width = WIDTH
    try:
        _run(wanted, console)
    except EmbeddedError as error:
        sys.stderr.write(f"{error}\n")
        return 2
    except DemoError as error:
        sys.stderr.write(f"{error}\n")
        return 1
    except KeyboardInterrupt:
        console.print("\nEnded; nothing is left running.")
        return 130
    return 0


def _options(arguments: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m config.demo", description=__doc__)
    parser.add_argument("--port", type=int, default=8000)
    parser.add_argument("--no-serve", dest="serve", action="store_false", help="stop after papers")
    parser.add_argument("--lan", action="store_true", help="serve the building too, with TLS")
    parser.add_argument("--directory", default=DIRECTORY, help="name of its directory in .run")
    parser.add_argument("--seconds", type=float, default=DEFAULT_SECONDS, help="for each plan")
    return parser.parse_args(arguments)


def _interrupted(_sign: int, _frame: FrameType | None) -> None:
    """Unwind once; what ends the servers must not be interrupted itself."""
    for sign in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(sign, signal.SIG_IGN)
    raise KeyboardInterrupt


def _run(wanted: argparse.Namespace, console: Console) -> None:
    with ExitStack() as running:
        with console.status("Starting PostgreSQL and Valkey"):
            servers = running.enter_context(servers_started(wanted.directory))
        os.environ.update(servers.environment())
        os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
        site = Site(wanted.port, lan_names() if wanted.lan else ())
        os.environ["TIERWRIGHT_ALLOWED_HOSTS"] = ",".join(site.hosts)
        # Only now: the settings read the addresses, and models exist after the set-up.
        django.setup()
        from config.demo import day, papers

        children = running.enter_context(Children(servers.directory))
        jobs = day.prepared(console)
        day.compiled(console)
        children.start_worker()
        day.planned(jobs, seconds=wanted.seconds, console=console)
        with console.status("Waiting for the worker to hand out the first tasks"):
            children.await_from("worker", lambda: day.all_have_work(jobs))
        papers.print_assignments(jobs, console)
        if wanted.serve:
            tls = certificate_files(TLS, site.hosts) if wanted.lan else None
            children.start_web(site, tls)
            children.await_web(site)
            day.invite(jobs, site, tls, console)
            children.watch()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
