"""Starting the server for people: the ports, the words on the terminal, the browser.

What can go wrong before the first page is told here in sentences, as CannotStart.
"""

import os
import socket
import sys
import threading
import time
import webbrowser
from collections.abc import Callable
from contextlib import ExitStack
from typing import TYPE_CHECKING

from app.aside import said_aside
from app.calling import command
from app.data_folder import CERTIFICATES, CannotStart, hold_folder, prepare_folder, unusable
from app.lan.addresses import lan_addresses
from app.lan.certificates import NoCertificate
from app.lan.secure import Secure
from app.listening.opening import HTTPS_FLAG, open_port
from app.memory import settle
from app.memory import started as started_lightly
from app.settings import LOOPBACK_HOSTS, Settings
from app.store.full_disk import has_no_room, too_full
from app.synced import sync_trouble
from app.unbuilt import built_when_used, without_old_models

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

    from app.listening.listeners import Doors

SEATS = "demo"  # the page on which a visitor of the demo begins
KEPT = "Everything acknowledged is kept."
REMOVED = "The file that everything was kept in had been removed or replaced: restore the newest backup into a new folder."
ANY_HOST = ("0.0.0.0", "::", "")


def serve(settings: Settings, started: float | None = None) -> int:
    """Run the server until it is told to stop. `started` is when the command began, in seconds of time.perf_counter."""
    started = time.perf_counter() if started is None else started
    if settings.processes > 1:
        refuse_several(settings)
    prepare_folder(settings)
    with ExitStack() as open_things:
        open_things.enter_context(started_lightly())
        plain = open_things.enter_context(open_port(settings.host, settings.port, patience_s=settings.port_patience))
        tls = None
        if settings.speaks_https:
            port = settings.secure_port(plain.getsockname()[1])
            tls = open_things.enter_context(open_port(settings.host, port, HTTPS_FLAG, settings.port_patience))
        # Nobody serves at these ports any more: whoever still holds the folder is about to end, as a rule.
        open_things.enter_context(hold_folder(settings.data, settings.port_patience))
        open_things.enter_context(said_aside(settings.data))
        secure = None if tls is None else secure_door(settings, plain, tls)
        # Only now: these imports take half a second, and a wrong port or folder should be told at once.
        without_old_models()
        with built_when_used():
            from app.listening.listeners import Doors
            from app.live.servertime import this_machine
            from app.server import create_app

        if settings.processes > 1:
            return serve_several(settings, Doors(plain, tls, secure), started)
        app = create_app(settings, this_machine(), secure)
        doors = Doors(plain, tls, secure, closing=lambda: app.state.hall.hub.close(), told=app.state.told)
        run(app, settings, doors, started, lambda: app.state.hall.demo_password)
        print(f"Stopped. {REMOVED if app.state.hall.database.gone else KEPT}", flush=True)
        return 0


def serve_several(settings: Settings, doors: "Doors", started: float) -> int:
    """Run several server processes behind the same doors until told to stop."""
    from app.listening.together import Together  # it brings the application, see serve

    settle()
    try:
        code = Together(
            settings,
            doors,
            run=lambda app, its_doors, share: serve_behind(app, share, its_doors),
            opened=lambda its_doors: welcome(settings, its_doors, time.perf_counter() - started),
        ).serve()
    except Exception as wrong:
        raise told(wrong, settings) from wrong
    if not code:
        print(f"Stopped. {KEPT}", flush=True)
    return code


def refuse_several(settings: Settings) -> None:
    """Raises CannotStart where several server processes can't share one competition."""
    if not settings.on_server:
        raise CannotStart(
            "Several server processes need a PostgreSQL database to share: name it in DATABASE_URL. For the data "
            "folder alone, leave out --processes."
        )
    if not hasattr(os, "fork"):
        raise CannotStart("Several server processes need Linux or macOS. Leave out --processes.")


def run(app: "ASGIApp", settings: Settings, doors: "Doors", started: float, password: Callable[[], str]) -> None:
    """Serve an application behind its doors until told to stop; says where it is once it answers, and the password of a demo."""

    def opened() -> None:
        welcome(settings, doors, time.perf_counter() - started, password())
        settle()

    doors.opened = opened
    serve_behind(app, settings, doors)


def serve_behind(app: "ASGIApp", settings: Settings, doors: "Doors") -> int:
    """Serve an application behind its doors until told to stop. Raises CannotStart."""
    from app.listening.doorkeeper import Limits  # the web server, with the application: see serve
    from app.listening.listeners import TwoDoors

    opening = Opening(app)
    try:
        limits = Limits(settings.connections, settings.connections_per_address)
        TwoDoors(opening, doors, limits).serve_until_stopped()
    except KeyboardInterrupt:
        pass  # Ctrl-C is how it is stopped; the server has closed everything before it passes this on
    except SystemExit:
        if opening.failed is None:
            raise
        raise told(opening.failed, settings) from opening.failed
    return 0


class Opening:
    """Stands before the application and keeps the error that its start failed with, which the server would only log."""

    def __init__(self, app: "ASGIApp") -> None:
        self.app = app
        self.failed: Exception | None = None

    async def __call__(self, scope: "Scope", receive: "Receive", send: "Send") -> None:
        """Pass everything on."""
        if scope["type"] != "lifespan":
            await self.app(scope, receive, send)
            return

        async def send_without_traceback(message: "Message") -> None:
            if message["type"] == "lifespan.startup.failed":
                message = {"type": message["type"], "message": ""}
            await send(message)

        try:
            await self.app(scope, receive, send_without_traceback)
        except Exception as wrong:
            self.failed = wrong
            raise


def told(wrong: Exception, settings: Settings) -> Exception:
    """A start's failure for the person: a database's own words, and the system's, get ours around them; the rest is told as it
    is."""
    if isinstance(wrong, OSError):
        return unusable(wrong.filename or settings.data, wrong)
    original = getattr(wrong, "orig", None)
    if original is None:
        return wrong
    if settings.on_server:
        said = str(original).strip().splitlines()[0] if str(original).strip() else "no answer"
        where = kept_in(settings)
        return CannotStart(f"{where[0].upper()}{where[1:]} can't be opened: {said}. Is it running, and is DATABASE_URL right?")
    if has_no_room(settings.data):  # SQLite then speaks of an error of the disk, and the advice would be to throw good data away
        return CannotStart(f"{too_full(settings.data)} Free some space and try again: nothing that was kept there has changed.")
    return CannotStart(
        f"The data in {settings.data} can't be opened: {original}. Replace it with a backup, or use another --data."
    )


def welcome(settings: Settings, doors: "Doors", seconds: float, password: str = "") -> None:
    """Say where the pages are, and open them if that is wanted and possible."""
    here, *others = [
        f"{address}{SEATS if settings.demo else ''}" for address in addresses(settings.host, doors.plain.getsockname()[1])
    ]
    what = "The demo of Lane Ledger" if settings.demo else "Lane Ledger"
    several = f", {settings.processes} processes," if settings.processes > 1 else ""
    print(f"{what}{several} is ready, after {seconds:.1f} s.")
    print(f"  On this computer:  {here}")
    for other in others:
        print(f"  In the hall:       {other}")
    if doors.secure is not None:
        print(f"  Trusted tablets:   {doors.secure.origin(doors.secure.name)}/  (certificate good until {day(doors.secure)})")
        if doors.secure.trouble:
            print(f"  Look:              {doors.secure.trouble}")
    if settings.demo:
        _about_the_demo(settings, password)
    elif not settings.on_server and (trouble := sync_trouble(settings.data)):
        print(f"  Look:              {trouble}")
    print(f"  Everything is kept in {kept_in(settings)}. Stop with Ctrl-C.", flush=True)
    if settings.open_browser and has_screen():
        # In a thread, because some browsers are slow to answer the one who calls them.
        threading.Thread(target=webbrowser.open, args=(here,), daemon=True).start()


def _about_the_demo(settings: Settings, password: str) -> None:
    print(f"  Desk's password:   {password}  (a new one at each start)")
    if settings.host in LOOPBACK_HOSTS:
        print(f"  Tablets, phones:   only this computer can open it. To let the hall in:  {command('demo --hall')}")


def kept_in(settings: Settings) -> str:
    """Where everything is kept, in words."""
    if not settings.on_server:
        return str(settings.data.absolute())
    from app.store.engines import shown_url  # the database library, a seventh of a second: see serve

    return shown_url(settings.database_url)


def day(secure: Secure) -> str:
    """The last day of a certificate."""
    ends = secure.about.ends.astimezone()
    return f"{ends.day} {ends:%B %Y}"


def secure_door(settings: Settings, plain: socket.socket, tls: socket.socket) -> Secure | None:
    """HTTPS with its certificate; None, with a sentence on the terminal, where no certificate can be made."""
    ports = plain.getsockname()[1], tls.getsockname()[1]
    try:
        return Secure(settings.data / CERTIFICATES, settings.certificate_days, settings.name, *ports)
    except NoCertificate as none:
        tls.close()  # a port that takes connections and never answers would look like a network that loses them
        print(f"{none}\nUntil then the server speaks plain HTTP only.", file=sys.stderr, flush=True)
        return None


def addresses(host: str, port: int) -> list[str]:
    """The addresses to open: for this computer first, then for the others in the hall, if they are let in."""
    if host not in ANY_HOST:
        shown = f"[{host}]" if ":" in host else host
        return [f"http://{shown}:{port}/"]
    return [f"http://{name}:{port}/" for name in ("localhost", *lan_addresses())]


def has_screen() -> bool:
    """Whether a browser could be shown; on a server without a screen a text browser would take the terminal over."""
    return sys.platform in ("win32", "darwin") or bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
