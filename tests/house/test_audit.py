"""What the audit of the libraries says, with a made-up auditor in the place of the real one."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest

from tests.house.source import PROJECT

CLEAN = "echo No known vulnerabilities found; exit 0"
FAULTY = "echo Found 1 known vulnerability in 1 package; echo django 5.2.0 CVE-0000-0000; exit 1"
AWAY = "echo Failed to resolve; exit 1"
# An index of one's own answers for every name, and knows of none.
KNOWS_NONE = "echo No known vulnerabilities found; echo django could not be audited; exit 0"


@pytest.mark.parametrize(
    ("auditor", "ends", "says"),
    [
        (CLEAN, 0, "No known vulnerabilities found"),
        (FAULTY, 1, "CVE-0000-0000"),
        (AWAY, 2, "NOT AUDITED"),
        (KNOWS_NONE, 2, "NOT AUDITED"),
    ],
)
def test_a_fault_is_named_and_what_was_not_asked_is_not_called_clean(
    tmp_path: Path, auditor: str, ends: int, says: str
):
    tool = tmp_path / "studio-audit-tools" / "bin" / "pip-audit"
    tool.parent.mkdir(parents=True)
    tool.write_text(f"#!/bin/sh\n{auditor}\n")
    tool.chmod(0o755)

    answer = subprocess.run(
        ["sh", ".ci/audit"],
        cwd=PROJECT,
        env={**os.environ, "TMPDIR": str(tmp_path)},
        capture_output=True,
        text=True,
        timeout=60,
    )

    assert answer.returncode == ends
    assert says in answer.stdout
