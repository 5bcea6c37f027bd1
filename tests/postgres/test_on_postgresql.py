"""The same tests pass on PostgreSQL. A throw-away server is started, and the tests that touch the database run again on it."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
AGAIN = ["models", "actions", "evidence", "exports", "imports", "boards", "commands", "views"]
pytestmark = pytest.mark.postgres


def _server_tools() -> Path | None:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if found:
        return found[-1].parent
    initdb = shutil.which("initdb")
    return Path(initdb).parent if initdb else None


@pytest.fixture(scope="module")
def database_url() -> Iterator[str]:
    pytest.importorskip("psycopg", reason="psycopg is in tests/requirements.txt")
    tools = _server_tools()
    if tools is None:
        pytest.skip("PostgreSQL's server is not installed (Debian: apt install postgresql)")
    folder = Path(tempfile.mkdtemp(prefix="pg-"))
    # The server refuses to run as root, so that a mistake in it cannot own the machine.
    as_owner = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    if as_owner:
        shutil.chown(folder, "postgres")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    data = folder / "data"

    def run(*words: str) -> None:
        subprocess.run([*as_owner, *words], check=True, cwd=folder, stdout=subprocess.DEVNULL, stdin=subprocess.DEVNULL)

    try:
        run(str(tools / "initdb"), "-D", str(data), "-U", "keeper", "-A", "trust", "-E", "UTF8", "--no-sync")
        options = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={folder} -c fsync=off"
        run(str(tools / "pg_ctl"), "-D", str(data), "-o", options, "-l", str(folder / "log"), "-w", "start")
        try:
            yield f"postgres://keeper@127.0.0.1:{port}/postgres"
        finally:
            run(str(tools / "pg_ctl"), "-D", str(data), "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def test_records_actions_and_pages_work_the_same_on_postgresql(database_url: str) -> None:
    folders = [str(ROOT / "tests" / name) for name in AGAIN if (ROOT / "tests" / name).is_dir()]
    done = subprocess.run(
        [
            sys.executable,
            "-m",
            "pytest",
            "-q",
            "-x",
            "-m",
            "not browser and not slow",
            "-p",
            "no:cacheprovider",
            *folders,
        ],
        cwd=ROOT,
        env={**os.environ, "DATABASE_URL": database_url},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-6000:]
    assert " skipped" not in done.stdout, done.stdout[-2000:]
