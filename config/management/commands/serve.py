"""`manage.py serve`, which `make run` calls: from any state of the data folder to a workshop that answers."""

import errno
import signal
import socket
import sys
from argparse import ArgumentParser
from contextlib import suppress
from types import FrameType
from typing import Any, NoReturn

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.checks import ERROR, run_checks
from django.core.management import CommandError, call_command
from django.core.management.base import BaseCommand
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

from builds.models import Workshop
from config import checks, lan
from config.memory import collect_seldom

MANAGE = ".venv/bin/python manage.py"
THREADS = 4  # measured: enough for twenty tablets on a two-core PC
ASK_AGAIN_S = 8.0  # longer than requests under way are given to end
LARGEST_REQUEST = 64 * 1024 * 1024  # three files as large as the largest that is taken, and their form


class Refusal(Exception):
    """A reason not to start, as one sentence for the person at the keyboard."""


class Command(BaseCommand):
    help = "Bring the database up to date and serve the workshop."
    requires_system_checks = []  # ours are run below and put into plain sentences

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", default="8000", help="a number from 1 to 65535")
        parser.add_argument("--lan", action="store_true", help="serve the workshop's own network too")
        parser.add_argument("--no-demo", action="store_true", help="leave a new database empty")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            self._start(options["port"], for_lan=options["lan"], with_demo=not options["no_demo"])
        except Refusal as refusal:
            self.stderr.write(str(refusal))
            sys.exit(1)
        except KeyboardInterrupt:
            self.stderr.write("\nFiring Order was stopped before it had started; start it again as before.")
            sys.exit(130)

    def _start(self, port_text: str, *, for_lan: bool, with_demo: bool) -> None:
        port = _port(port_text)
        addresses = _lan_addresses() if for_lan else []
        host = "0.0.0.0" if for_lan else "127.0.0.1"
        _refuse_taken_port(host, port)
        self._report_checks()
        is_new = self._prepare_database()
        if is_new and with_demo:
            self._load_demo()
        if for_lan:
            settings.TABLET_ADDRESS = f"http://{addresses[0]}:{port}"
            settings.ALLOWED_HOSTS = lan.allowed_hosts(addresses, [*lan.find_names(), *settings.NAMED_HOSTS])
        self._serve(host, port, addresses, logins_shown=is_new and with_demo)

    def _report_checks(self) -> None:
        for message in run_checks(tags=[checks.TAG]):
            if message.level >= ERROR:
                raise Refusal(f"{message.msg} {message.hint}")
            self.stderr.write(f"{message.msg} {message.hint}", self.style.WARNING)

    def _prepare_database(self) -> bool:
        """Bring the tables up to date; true if there were none."""
        try:
            is_new = not MigrationRecorder(connection).has_table()
            executor = MigrationExecutor(connection)
            if executor.migration_plan(executor.loader.graph.leaf_nodes()):
                self._say("Making the database" if is_new else "Bringing the database up to date")
                call_command("migrate", interactive=False, verbosity=0)
            call_command("clearsessions")  # of those who never signed out; nobody else would do it
        except DatabaseError as error:
            reason = str(error).strip().splitlines()[0]
            raise Refusal(
                f"The database cannot be used ({reason}): start it, or check DATABASE_URL."
            ) from error
        finally:
            connection.close()
        return is_new

    def _load_demo(self) -> None:
        self._say("Loading the demo workshop")
        loaded = False
        try:
            call_command("load_demo", stdout=self.stdout)
            loaded = True
        except CommandError as error:
            self.stderr.write(str(error))
        finally:  # Ctrl-C too: the next start would not try again
            if not loaded:
                self.stderr.write(f"The demo workshop is not loaded; “{MANAGE} load_demo” does it.")

    def _show_logins(self) -> None:
        people = get_user_model().objects
        if people.exists():
            call_command("load_demo", logins=True, stdout=self.stdout)
        else:
            self._say("Nobody can sign in yet: the first page makes the first manager.")

    def _serve(self, host: str, port: int, addresses: list[str], *, logins_shown: bool) -> None:
        from waitress import create_server

        from config.wsgi import application

        # The proxy that speaks https is on this computer; nobody else may say that a request came by https.
        behind_proxy = {"trusted_proxy": "127.0.0.1", "trusted_proxy_headers": {"x-forwarded-proto"}}
        try:
            server = create_server(
                application,
                host=host,
                port=port,
                threads=THREADS,
                max_request_body_size=LARGEST_REQUEST,
                **(behind_proxy if settings.HTTPS else {}),
            )
        except OSError as error:
            raise _port_refusal(error, port) from error
        signal.signal(signal.SIGTERM, _stop)
        signal.signal(signal.SIGINT, _interrupt)
        signal.signal(signal.SIGALRM, _interrupt)
        if not logins_shown:
            self._show_logins()
        if addresses and Workshop.objects.current().is_demo:
            self._say(
                "Everybody can know these logins: show the demo on a network, and keep no real work in it."
            )
        with suppress(KeyboardInterrupt):  # pressed before the loop that also takes it
            self._say(f"\nFiring Order is at http://127.0.0.1:{port}/  (Ctrl-C stops it)")
            for address in addresses:
                self._show_lan_address(f"http://{address}:{port}/")
            collect_seldom()
            server.run()
        signal.setitimer(signal.ITIMER_REAL, 0)
        self._say("\nFiring Order has stopped; everything recorded is kept.")

    def _show_lan_address(self, address: str) -> None:
        self._say(f"\nTablets on the workshop's network: {address}\n")
        self._say(lan.qr_text(address))

    def _say(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()


def _port(text: str) -> int:
    if text.isascii() and text.isdigit() and 1 <= int(text) <= 65535:
        return int(text)
    raise Refusal(f"PORT must be a number from 1 to 65535, not “{text}”.")


def _lan_addresses() -> list[str]:
    addresses = lan.find_addresses()
    if not addresses:
        raise Refusal(
            "This computer has no address on a local network: connect its cable or Wi-Fi and try again, "
            "or leave LAN=1 out to work on this computer alone."
        )
    return addresses


def _refuse_taken_port(host: str, port: int) -> None:
    """Before anything is touched: two servers must not both migrate one database."""
    try:
        _listen_once(host, port)
    except OSError as error:
        raise _port_refusal(error, port) from error


def _listen_once(host: str, port: int) -> None:
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        probe.bind((host, port))
        probe.listen()


def _port_refusal(error: OSError, port: int) -> Refusal:
    if error.errno == errno.EADDRINUSE:
        return Refusal(
            f"Port {port} is taken, perhaps by Firing Order in another window: stop that one, "
            f"or run “make run PORT={_free_port(port)}”."
        )
    if error.errno == errno.EACCES:
        return Refusal(
            f"Port {port} is kept for the system: run “make run PORT=8000”, or any number above 1023."
        )
    return Refusal(f"Port {port} cannot be used ({error.strerror}): run “make run PORT={_free_port(port)}”.")


def _free_port(after: int) -> int:
    for port in range(after + 1, min(after + 100, 65536)):
        try:
            _listen_once("127.0.0.1", port)
        except OSError:
            continue
        return port
    return 8000


def _stop(number: int, frame: FrameType | None) -> NoReturn:
    signal.setitimer(signal.ITIMER_REAL, ASK_AGAIN_S)
    raise SystemExit(0)


def _interrupt(number: int, frame: FrameType | None) -> NoReturn:
    """Stop, and ask again if nobody heard: what is raised while Python cleans up an object is swallowed."""
    signal.setitimer(signal.ITIMER_REAL, ASK_AGAIN_S)
    raise KeyboardInterrupt
