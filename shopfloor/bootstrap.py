"""Makes the project's own environment before anything else runs. Standard library only.

`manage.py` calls `enter_environment()` first: it builds `.venv` from the lock file when that is missing or
the lock has changed, and re-executes itself with the environment's own Python.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib.util
import os
import secrets
import shutil
import subprocess
import sys
import time
from pathlib import Path

from shopfloor.locks import HeldElsewhere, take_lock

PROJECT = Path(__file__).resolve().parent.parent
ENVIRONMENT = PROJECT / ".venv"
LOCK = PROJECT / "shopfloor" / "requirements.lock"
TEST_LOCK = PROJECT / "shopfloor" / "requirements-test.lock"
PLANNER_LOCK = PROJECT / "shopfloor" / "requirements-planner.lock"
PYTHON_LEAST = (3, 11)


def data_directory() -> Path:
    """The folder of all that the studio keeps (STUDIO_DIR, else .shopfloor), owner-only, made if missing."""
    folder = Path(os.environ.get("STUDIO_DIR") or PROJECT / ".shopfloor").absolute()
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def secret_key(folder: Path) -> str:
    """The secret in `folder`/secret, generated on first use and readable by its owner only."""
    path = folder / "secret"
    if not path.exists():
        aside = folder / f"secret.{os.getpid()}"
        handle = os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(secrets.token_urlsafe(50))
        # Linked, not renamed: the first of several processes wins, and nobody reads half a secret.
        with contextlib.suppress(FileExistsError):
            os.link(aside, path)
        aside.unlink()
    return path.read_text(encoding="ascii").strip()


def environment_python() -> Path:
    """The Python of the project's own environment, whether or not it exists yet."""
    if sys.platform == "win32":
        return ENVIRONMENT / "Scripts" / "python.exe"
    return ENVIRONMENT / "bin" / "python"


def enter_environment(*, for_tests: bool) -> None:
    """Set the environment up if needed and go on inside it; returns at once when already there."""
    if os.environ.get("SHOPFLOOR_ENVIRONMENT") == "own":
        return
    if sys.version_info < PYTHON_LEAST:
        least = ".".join(map(str, PYTHON_LEAST))
        sys.exit(f"Python {least} or newer is needed; this is {sys.version.split()[0]}.")
    lock = TEST_LOCK if for_tests else LOCK
    if not _is_current(lock):
        _make_once(lock)
    if Path(sys.prefix).resolve() != ENVIRONMENT.resolve():
        arguments = [str(environment_python()), *sys.argv]
        if sys.platform == "win32":
            sys.exit(subprocess.call(arguments))
        os.execv(arguments[0], arguments)


def _mark_of(lock: Path) -> str:
    return hashlib.sha256(lock.read_bytes()).hexdigest()


def _is_current(lock: Path) -> bool:
    mark = ENVIRONMENT / f"{lock.stem}.sha256"
    return environment_python().exists() and mark.exists() and mark.read_text().strip() == _mark_of(lock)


def _make_once(lock: Path) -> None:
    """Make the environment, one of several at the same time; the others wait and find it made."""
    ENVIRONMENT.mkdir(exist_ok=True)
    waiting = False
    while True:
        try:
            held = take_lock(ENVIRONMENT / "being-made.lock", str(os.getpid()))
            break
        except HeldElsewhere:
            if not waiting:
                print(f"{ENVIRONMENT.name} is being set up by another run. Waiting for it.", flush=True)
            waiting = True
            time.sleep(0.5)
    with held:
        if not _is_current(lock):
            _make(lock)


def _make(lock: Path) -> None:
    if importlib.util.find_spec("ensurepip") is None:
        sys.exit("Python cannot make an environment here. Install it first: apt-get install python3-venv")
    print(f"Setting up {ENVIRONMENT.name} from {lock.relative_to(PROJECT)}, once:", flush=True)
    try:
        if not any(ENVIRONMENT.glob("*.sha256")) or not environment_python().exists():
            print("  making the environment", flush=True)
            # What a run that was cut off, or a Python since removed, has left there would be kept as it is.
            shutil.rmtree(environment_python().parent, ignore_errors=True)
            subprocess.run([sys.executable, "-m", "venv", str(ENVIRONMENT)], check=True)
        print("  installing the libraries, about half a minute", flush=True)
        _install(lock).check_returncode()
        if lock == LOCK and _install(PLANNER_LOCK).returncode != 0:
            print("  the solver cannot be installed here; the planner works without it", flush=True)
    except subprocess.CalledProcessError as fault:
        sys.exit(
            f"Setting up stopped (exit {fault.returncode}); see above. It needs a network. Run it again."
        )
    _leave_mark(lock)
    if lock == TEST_LOCK:
        # The test lock contains the run lock, version for version.
        _leave_mark(LOCK)


def _install(lock: Path) -> subprocess.CompletedProcess[bytes]:
    pip = [str(environment_python()), "-m", "pip", "install", "-qq", "--disable-pip-version-check"]
    # The locks name everything, so pip need not look for what their libraries ask for.
    whole = ["--no-input", "--require-hashes", "--no-deps", "-r", str(lock)]
    return subprocess.run([*pip, *whole], check=False)


def _leave_mark(lock: Path) -> None:
    """Note which lock is installed; by renaming, so that a run cut off leaves the old mark or none."""
    mark = ENVIRONMENT / f"{lock.stem}.sha256"
    aside = mark.with_suffix(".new")
    aside.write_text(_mark_of(lock))
    os.replace(aside, mark)
