"""Makes the project's own environment before anything else runs. Standard library only.

`manage.py` calls `enter_environment()` first: it builds `.venv` from the lock file when that is missing or
the lock has changed, and re-executes itself with the environment's own Python.
"""

from __future__ import annotations

import hashlib
import os
import secrets
import subprocess
import sys
from pathlib import Path

PROJECT = Path(__file__).resolve().parent.parent
ENVIRONMENT = PROJECT / ".venv"
LOCK = PROJECT / "shopfloor" / "requirements.lock"
TEST_LOCK = PROJECT / "shopfloor" / "requirements-test.lock"


def data_directory() -> Path:
    """The folder of all that the studio keeps (STUDIO_DIR, else .shopfloor), owner-only, made if missing."""
    folder = Path(os.environ.get("STUDIO_DIR") or PROJECT / ".shopfloor")
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    return folder


def secret_key(folder: Path) -> str:
    """The secret in `folder`/secret, generated on first use and readable by its owner only."""
    path = folder / "secret"
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return path.read_text(encoding="ascii").strip()
    with os.fdopen(handle, "w", encoding="ascii") as file:
        file.write(secrets.token_urlsafe(50))
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
    lock = TEST_LOCK if for_tests else LOCK
    if not _is_current(lock):
        _make(lock)
    python = environment_python()
    if Path(sys.prefix) != ENVIRONMENT:
        arguments = [str(python), *sys.argv]
        if sys.platform == "win32":
            sys.exit(subprocess.call(arguments))
        os.execv(str(python), arguments)


def _mark_of(lock: Path) -> str:
    return hashlib.sha256(lock.read_bytes()).hexdigest()


def _is_current(lock: Path) -> bool:
    mark = ENVIRONMENT / f"{lock.stem}.sha256"
    return environment_python().exists() and mark.exists() and mark.read_text().strip() == _mark_of(lock)


def _make(lock: Path) -> None:
    try:
        import ensurepip  # noqa: F401
    except ImportError:
        sys.exit("Python cannot make an environment here. Install it first: apt-get install python3-venv")
    print(
        f"Setting up {ENVIRONMENT.name} from {lock.relative_to(PROJECT)} (once, about a minute)", flush=True
    )
    python = environment_python()
    if not python.exists():
        subprocess.run([sys.executable, "-m", "venv", str(ENVIRONMENT)], check=True)
    quiet = ["-qq", "--disable-pip-version-check", "--no-input"]
    subprocess.run(
        [str(python), "-m", "pip", "install", *quiet, "--require-hashes", "-r", str(lock)], check=True
    )
    (ENVIRONMENT / f"{lock.stem}.sha256").write_text(_mark_of(lock))
    if lock == TEST_LOCK:
        # The test lock contains the run lock, version for version.
        (ENVIRONMENT / f"{LOCK.stem}.sha256").write_text(_mark_of(LOCK))
