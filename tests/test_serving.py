"""Starting the server: what is said when it can't, and that the real one answers."""

import errno
import os
import re
import signal
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.error import HTTPError
from urllib.request import urlopen

import pytest

from app.data_folder import CERTIFICATES, DEMO_SIGN, LOCK, CannotStart, folder_for, hold_folder, prepare_folder
from app.listening.opening import open_port
from app.rehearsal.serving import free_port as another_free_port
from app.serving import addresses, secure_door
from app.settings import Settings
from app.web.scan import modules

pytestmark = pytest.mark.slow

ROOT = Path(__file__).resolve().parent.parent


def settings(folder: Path, **more: object) -> Settings:
    return Settings.model_validate({"data": folder, "open_browser": False, **more})


def command(*arguments: str) -> list[str]:
    """The command line as a command, run by the Python of the tests."""
    return [sys.executable, "-c", "import sys; from app.cli import main; sys.exit(main())", *arguments]


def asked(*arguments: str) -> subprocess.CompletedProcess[str]:
    """What a command answers that does not wait long for a port or a folder that others hold."""
    hasty = {**os.environ, "LANE_LEDGER_PORT_PATIENCE": "0.3"}
    return subprocess.run(command(*arguments), cwd=ROOT, env=hasty, capture_output=True, text=True, timeout=60)


@contextmanager
def a_server(folder: Path, port: int, *flags: str) -> Iterator[subprocess.Popen[str]]:
    """The real server in its own process, answering."""
    arguments = command("serve", "--no-browser", "--host", "127.0.0.1", "--port", str(port), "--data", str(folder), *flags)
    with subprocess.Popen(arguments, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as server:
        try:
            wait_for(port, server)
            yield server
        finally:
            if server.poll() is None:
                server.kill()


def wait_for(port: int, server: subprocess.Popen[Any] | None = None) -> None:
    """Wait until something answers over HTTP on a port, at most a minute; of a server that has ended before nobody waits."""
    until = time.monotonic() + 60
    while True:
        assert server is None or server.poll() is None, f"the server ended with {server.returncode} before it answered"
        try:
            urlopen(f"http://127.0.0.1:{port}/", timeout=5).close()
            return
        except HTTPError as answered:
            answered.close()
            return
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.02)


def test_a_folder_that_is_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "data").write_text("a shopping list")
    with pytest.raises(CannotStart, match="--data FOLDER"):
        prepare_folder(settings(tmp_path / "data"))
    assert (tmp_path / "data").read_text() == "a shopping list"


def test_a_folder_that_cannot_be_written_to_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(self: Path, data: bytes) -> int:
        raise PermissionError(errno.EACCES, "Permission denied")

    # Imitated, because an administrator, as whom tests may run, can write anywhere.
    monkeypatch.setattr(Path, "write_bytes", refuse)
    with pytest.raises(CannotStart, match="Permission denied"):
        prepare_folder(settings(tmp_path / "data"))


def test_a_demo_is_made_afresh(tmp_path: Path) -> None:
    demo = settings(tmp_path / "demo", demo=True)
    prepare_folder(demo)
    (demo.data / "of the last demo").touch()
    (demo.data / "more of it").mkdir()
    (demo.data / CERTIFICATES).mkdir()
    prepare_folder(demo)
    kept = [CERTIFICATES, LOCK, DEMO_SIGN]
    assert sorted(path.name for path in demo.data.iterdir()) == kept, "a tablet that trusts the demo is not asked again"


def test_a_demo_never_empties_a_folder_that_holds_something_else(tmp_path: Path) -> None:
    (tmp_path / "results.csv").write_text("of last year")
    with pytest.raises(CannotStart, match="other than a demo"):
        prepare_folder(settings(tmp_path, demo=True))
    assert (tmp_path / "results.csv").read_text() == "of last year"


def test_a_demo_leaves_a_running_demo_alone(tmp_path: Path) -> None:
    demo = settings(tmp_path, demo=True)
    prepare_folder(demo)
    with hold_folder(tmp_path), pytest.raises(CannotStart, match="Another Lane Ledger is using"):
        prepare_folder(demo)
    assert (tmp_path / DEMO_SIGN).is_file()


def test_two_servers_cannot_share_a_folder(tmp_path: Path) -> None:
    with hold_folder(tmp_path), pytest.raises(CannotStart, match="Another Lane Ledger"), hold_folder(tmp_path):
        pytest.fail("the folder was given twice")
    with hold_folder(tmp_path):
        pass


def test_what_another_keeps_in_a_folder_that_was_made_here_stays_whenever_it_came(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    unlink = Path.unlink

    def keeps(folder: Path) -> None:
        with hold_folder(folder):
            (folder / "store").write_text("of another")

    def comes_before(made: Settings) -> None:
        prepare_folder(made)
        keeps(made.data)

    def comes_last(file: Path, missing_ok: bool = False) -> None:
        unlink(file, missing_ok)
        if file.name == LOCK:
            keeps(file.parent)

    for name, of, moment in (
        ("before", "app.data_folder.prepare_folder", comes_before),
        ("last", "pathlib.Path.unlink", comes_last),
    ):
        with monkeypatch.context() as patched:
            patched.setattr(of, moment)
            with pytest.raises(KeyError), folder_for(settings(tmp_path / name)):
                raise KeyError("what was to be done")
        assert (tmp_path / name / "store").read_text() == "of another", name


def test_who_waits_for_a_folder_that_is_removed_meanwhile_has_it_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder, wrong = tmp_path / "new", KeyError("what was to be done")
    first = folder_for(settings(folder))
    first.__enter__()

    def fails(_: float) -> None:
        assert not first.__exit__(KeyError, wrong, None) and not folder.exists()

    monkeypatch.setattr("app.data_folder.time.sleep", fails)
    with hold_folder(folder, patience_s=60), pytest.raises(CannotStart, match="Another Lane Ledger"), hold_folder(folder):
        pytest.fail("the folder was given twice")


def test_the_addresses_are_for_this_computer_first() -> None:
    assert addresses("127.0.0.1", 80) == ["http://127.0.0.1:80/"]
    assert addresses("::1", 80) == ["http://[::1]:80/"]
    assert addresses("0.0.0.0", 8765)[0] == "http://localhost:8765/"


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["serve", "--port", "70000"], "The setting port can't be 70000"),
        (["serve", "--port", "eighty"], "invalid int value: 'eighty'"),
        (["serve", "--name", "ledger.example.com"], "a name must end in .local or .home.arpa"),
        (["serve", "--name", "8.8.8.8"], "or give a private address"),
        (["frobnicate"], "invalid choice: 'frobnicate'"),
        ([], "required: COMMAND"),
    ],
)
def test_a_command_that_is_not_understood_gets_a_sentence(arguments: list[str], sentence: str) -> None:
    refused = asked(*arguments)
    assert refused.returncode in (1, 2)
    assert sentence in refused.stderr
    assert "Traceback" not in refused.stderr


def test_data_that_is_not_a_database_is_told_and_left_as_it_is(tmp_path: Path) -> None:
    store = tmp_path / "lane-ledger.sqlite3"
    store.write_bytes(b"not a database, but somebody's" * 100)
    refused = asked("serve", "--host", "127.0.0.1", "--port", "0", "--data", str(tmp_path), "--no-browser")
    assert refused.returncode == 1
    assert "can't be opened: file is not a database" in refused.stderr
    assert "Traceback" not in refused.stderr
    assert store.read_bytes().startswith(b"not a database, but somebody's")


@pytest.mark.skipif(os.name == "nt", reason="Windows has no SIGINT for another process")
def test_a_server_says_where_it_is_and_stops_when_told(tmp_path: Path, free_port: int) -> None:
    with a_server(tmp_path, free_port) as server:
        server.send_signal(signal.SIGINT)
        said, wrong = server.communicate(timeout=20)
    assert server.returncode == 0
    assert f"http://127.0.0.1:{free_port}/" in said
    assert str(tmp_path) in said
    assert "Stopped." in said
    assert wrong == ""


@pytest.mark.skipif(os.name == "nt", reason="Windows has no SIGINT for another process")
def test_a_server_for_the_hall_has_two_doors_and_closes_both(tmp_path: Path, free_port: int) -> None:
    with a_server(tmp_path, free_port, "--host", "0.0.0.0", "--https-port", "0") as server:
        time.sleep(2.5)  # by now it has asked for its name in the network
        server.send_signal(signal.SIGINT)
        said, wrong = server.communicate(timeout=20)
    assert (server.returncode, wrong) == (0, "")
    told = re.search(r"Trusted tablets: +https://[\w.-]+\.local:\d+/  \(certificate good until \d+ \w+ 20\d\d\)", said)
    assert told, said
    assert (tmp_path / "certificates" / "01" / "authority.key").is_file()


def test_the_secure_port_is_answered_with_a_certificate_that_our_authority_made(tmp_path: Path, free_port: int) -> None:
    secure_port = another_free_port("")
    with a_server(tmp_path, free_port, "--host", "0.0.0.0", "--https-port", str(secure_port)):
        trusting = ssl.create_default_context(cafile=str(tmp_path / "certificates" / "01" / "authority.crt"))
        with urlopen(f"https://localhost:{secure_port}/trust/yes", timeout=10, context=trusting) as answer:
            assert answer.read() == b'{"lane_ledger":true}'


def test_where_no_certificate_can_be_made_the_plain_door_alone_is_open(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / CERTIFICATES).write_text("not a folder")
    with open_port("127.0.0.1", 0) as plain, open_port("127.0.0.1", 0) as tls:
        port = tls.getsockname()[1]
        assert secure_door(settings(tmp_path), plain, tls) is None
        with pytest.raises(ConnectionRefusedError):
            socket.create_connection(("127.0.0.1", port), timeout=5)
    assert "can't be used" in capsys.readouterr().err


def test_a_secure_port_in_use_is_told_and_no_other_is_taken_by_itself(tmp_path: Path, free_port: int) -> None:
    with socket.socket() as taken:
        taken.bind(("0.0.0.0", 0))
        taken.listen()
        port = taken.getsockname()[1]
        refused = asked("serve", "--port", str(free_port), "--https-port", str(port), "--data", str(tmp_path), "--no-browser")
    assert refused.returncode == 1
    assert f"Port {port}, for HTTPS, is already in use" in refused.stderr and "--no-https" in refused.stderr


@pytest.mark.skipif(os.name == "nt", reason="Windows has no SIGINT for another process")
def test_an_open_board_does_not_hold_the_server_up(tmp_path: Path, free_port: int) -> None:
    with (
        a_server(tmp_path, free_port) as server,
        urlopen(f"http://127.0.0.1:{free_port}/board/stream", timeout=10) as stream,
    ):
        assert stream.readline()
        server.send_signal(signal.SIGINT)
        wrong = server.communicate(timeout=20)[1]
    assert (server.returncode, wrong) == (0, "")


def test_a_second_server_in_the_same_folder_is_refused(tmp_path: Path, free_port: int) -> None:
    with a_server(tmp_path, free_port):
        refused = asked("serve", "--host", "127.0.0.1", "--port", "0", "--data", str(tmp_path), "--no-browser")
    assert refused.returncode == 1
    assert "Another Lane Ledger is using" in refused.stderr


def test_a_start_loads_nothing_that_only_some_days_need() -> None:
    # Together they would take longer than all the rest: the bench measures the start, this names what would make it slow.
    heavy = ("alembic", "argon2", "cryptography", "numpy", "ortools", "pandas", "pydantic.v1.main", "segno", "scipy", "zeroconf")
    ours = (
        "app.compose.event_form",
        "app.plan.cutting",
        "app.plan.plan_pictures",
        "app.plan.plan_views",
        "app.review.disputes",
        "app.demo.floor",
        "app.demo.filling",
        "app.rules.workout.presets",
    )
    rare = (*heavy, *ours, *(module.name for module in modules() if not module.at_once))
    start = "from app.live.servertime import this_machine; create_app(Settings(data=Path('nowhere')), this_machine())"
    look = f"import sys; print([name for name in {rare!r} if name in sys.modules])"
    code = (
        "from pathlib import Path; from app.unbuilt import without_old_models; without_old_models(); "
        f"from app.server import create_app; from app.settings import Settings; {start}; {look}"
    )
    said = subprocess.run(
        [sys.executable, "-c", code],
        cwd=Path(__file__).resolve().parents[1],
        capture_output=True,
        text=True,
        check=True,
    )
    assert said.stdout.strip() == "[]"
