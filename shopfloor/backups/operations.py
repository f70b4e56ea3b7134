"""Keeping copies: each night, before an upgrade, or when asked for."""

from __future__ import annotations

import os
import shutil
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from django.conf import settings

from inventory.operations.acts import Done, Tap, act
from shopfloor.backups.archive import digest_of
from shopfloor.backups.errors import CopyNotGood, CopyNotMade
from shopfloor.backups.making import clear_left_behind, make_copy, tried
from shopfloor.backups.models import KeptCopy
from shopfloor.backups.queries import KEEP_COPY
from shopfloor.backups.rotation import let_go
from shopfloor.jobs.operations import ask

STAMP = "%Y-%m-%dT%H%M%S"
ENDING = ".tar.gz"
BEFORE_UPGRADE, UPGRADES_KEPT = "-before-upgrade", 3


@act("backups.ask_for_copy")
def ask_for_copy(tap: Tap) -> Done:
    """Have a copy made in the background; while one is waited for, that one is the answer.

    Changes: one job. Again: nothing more.
    """
    ask(KEEP_COPY, KEEP_COPY, {"why": KeptCopy.Why.ASKED}, now=tap.now)
    return Done("A copy is being made, and tried. It will stand in the list of copies.")


def keep_copy(*, why: str, now: datetime) -> KeptCopy:
    """Make a copy in the folder of copies, try it, put it in the second folder, and let old ones go.

    A copy that does not open is not kept. Whatever goes wrong is in the row that is answered, and it is
    written down: the next good copy ends the notice of it.

    Changes: one row, files in the folders of copies.
    """
    name = _name(now)
    row = KeptCopy(made_at=now, why=why)
    clear_left_behind(now=now)
    folder = Path(settings.COPIES_DIR)
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        row.size_bytes = make_copy(folder / name, now=now)
        try:
            with tried(folder / name) as good:
                row.entries = good.entries
        except CopyNotGood:
            (folder / name).unlink(missing_ok=True)
            raise
        row.name = name
    except (CopyNotMade, CopyNotGood) as fault:
        row.fault = fault.message[:300]
    except OSError as fault:
        row.fault = f"{folder} cannot be written: {fault.strerror}."[:300]
    if row.name:
        row.second_fault = _second(folder / name)
        _let_old_ones_go(folder)
    row.save()
    return row


def make_upgrade_copy(*, now: datetime) -> Path:
    """Make a copy before the tables are changed; answers the file. It is not written down: no row may change.

    Raises: CopyNotMade.
    """
    folder = Path(settings.COPIES_DIR)
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as fault:
        raise CopyNotMade(f"{folder} cannot be made: {fault.strerror}.") from fault
    target = folder / _name(now, BEFORE_UPGRADE)
    make_copy(target, now=now)
    for old in sorted(folder.glob(f"studio-*{BEFORE_UPGRADE}{ENDING}"))[:-UPGRADES_KEPT]:
        old.unlink()
    return target


def _name(now: datetime, more: str = "") -> str:
    """The name of a copy, by the studio's wall time."""
    local = now.astimezone(ZoneInfo(settings.TIME_ZONE))
    return f"studio-{local.strftime(STAMP)}{more}{ENDING}"


def _second(copy: Path) -> str:
    """Put a copy in the second folder, where one is named; answers what hindered it."""
    if not settings.COPIES_SECOND_DIR:
        return ""
    folder = Path(settings.COPIES_SECOND_DIR)
    if not folder.is_dir():
        # Not made by us: where a disk is not plugged in, its folder would be made on this one.
        return f"The second folder {folder} is not there."[:300]
    aside = folder / f"{copy.name}.part"
    try:
        shutil.copyfile(copy, aside)
        os.chmod(aside, 0o600)
        if digest_of(aside) != digest_of(copy):
            return f"The copy in {folder} reads otherwise than it was written."[:300]
        os.replace(aside, folder / copy.name)
    except OSError as fault:
        return f"{folder} cannot be written: {fault.strerror}."[:300]
    _let_old_ones_go(folder)
    return ""


def _let_old_ones_go(folder: Path) -> None:
    made = {when: path for path in folder.glob(f"studio-*{ENDING}") if (when := _made(path)) is not None}
    for when in let_go(made):
        made[when].unlink()


def _made(path: Path) -> datetime | None:
    """When a copy was made by its name; None for a file of another name, which is never let go."""
    try:
        # By the wall clock alone, as the name has it.
        stamp = path.name.removeprefix("studio-").removesuffix(ENDING)
        return datetime.strptime(f"{stamp}+0000", f"{STAMP}%z")
    except ValueError:
        return None
