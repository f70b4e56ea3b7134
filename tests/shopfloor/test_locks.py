from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from shopfloor.bootstrap import PROJECT
from shopfloor.locks import HeldElsewhere, take_lock


def holder(path: Path) -> subprocess.Popen[str]:
    """A process that holds the lock until it is ended."""
    code = (
        "import sys, time; from pathlib import Path; from shopfloor.locks import take_lock\n"
        f"held = take_lock(Path({str(path)!r}), 'at port 8000'); print('held', flush=True); time.sleep(60)"
    )
    process = subprocess.Popen([sys.executable, "-c", code], cwd=PROJECT, stdout=subprocess.PIPE, text=True)
    assert process.stdout.readline() == "held\n"
    return process


def test_a_lock_held_by_another_process_says_what_that_one_wrote(tmp_path):
    other = holder(tmp_path / "lock")
    try:
        with pytest.raises(HeldElsewhere, match="^at port 8000$"):
            take_lock(tmp_path / "lock", "me")
    finally:
        other.kill()
        other.wait()


def test_a_lock_of_a_killed_process_blocks_nobody(tmp_path):
    other = holder(tmp_path / "lock")
    other.kill()
    other.wait()

    with take_lock(tmp_path / "lock", "me"):
        assert (tmp_path / "lock").read_text() == "me"


def test_a_lock_is_free_again_when_its_file_is_closed(tmp_path):
    take_lock(tmp_path / "lock", "first").close()

    with take_lock(tmp_path / "lock", "second"):
        assert (tmp_path / "lock").read_text() == "second"
