"""One file with everything: a compressed tar whose last member lists what must be in it.

The list (`contents.json`) bears the digest of every file, so that a file cut short, mixed up or tampered with
is noticed before anything of it is used.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import tarfile
import zlib
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path, PurePosixPath
from typing import Any

from shopfloor.backups.errors import CopyNotGood, CopyNotMade

FORM = "studio-copy 1"
LIST = "contents.json"
BLOCK = 1 << 20
# What a copy may hold at most, and what is left free beside it.
FILES_MOST, ROOM_LEFT = 1_000_000, 100_000_000


@dataclass(frozen=True)
class Contents:
    """What a copy says of itself.

    `made_at` is an instant in ISO 8601, `database` "sqlite" or "postgresql", `migrations` the names
    ("inventory.0001_tables") its tables went through, `files` the SHA-256 of each file by its path.
    """

    made_at: str
    database: str
    migrations: tuple[str, ...]
    files: Mapping[str, str]


def write_archive(
    target: Path, files: Mapping[str, Path], *, made_at: str, database: str, migrations: tuple[str, ...]
) -> int:
    """Write `files` (by their path inside) into a new archive at `target`; answers its size in bytes.

    Only its owner can read the file. It appears whole or not at all.
    Raises: CopyNotMade.
    """
    if target.exists():
        raise CopyNotMade(f"{target} is there already. Name another file.")
    if not target.parent.is_dir():
        raise CopyNotMade(f"There is no folder {target.parent}. Make it first.")
    aside = target.with_name(target.name + ".part")
    try:
        handle = os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
        with os.fdopen(handle, "wb") as file:
            # Lightly: the studio is closed while the copy before an upgrade is made.
            with tarfile.open(fileobj=file, mode="w:gz", compresslevel=1) as tar:
                digests = {name: _add(tar, name, path) for name, path in sorted(files.items())}
                _add_list(tar, Contents(made_at, database, migrations, digests), aside.with_suffix(".list"))
            file.flush()
            os.fsync(file.fileno())
        os.replace(aside, target)
    except OSError as fault:
        aside.unlink(missing_ok=True)
        raise CopyNotMade(f"{target} cannot be written: {fault.strerror or fault}.") from fault
    return target.stat().st_size


def _add(tar: tarfile.TarFile, name: str, path: Path) -> str:
    digest = digest_of(path)
    tar.add(path, arcname=name, recursive=False)
    return digest


def _add_list(tar: tarfile.TarFile, contents: Contents, aside: Path) -> None:
    aside.write_text(json.dumps({"form": FORM, **asdict(contents)}, indent=1), encoding="utf-8")
    try:
        tar.add(aside, arcname=LIST)
    finally:
        aside.unlink()


def unpack(archive: Path, folder: Path) -> Contents:
    """Unpack an archive into an empty folder and compare every file with the list.

    Raises: CopyNotGood.
    """
    try:
        with tarfile.open(archive, mode="r:gz") as tar:
            _unpack_within(tar, folder, archive.name)
    except FileNotFoundError:
        raise CopyNotGood(f"There is no file {archive}.") from None
    except (tarfile.TarError, zlib.error, EOFError, OSError) as fault:
        raise CopyNotGood(
            f"{archive.name} is not a whole copy: it is cut short or damaged. Take another one."
        ) from fault
    contents = _list_in(folder, archive.name)
    found = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()} - {LIST}
    for name in sorted(found ^ set(contents.files)):
        what = "has a file that is not on its list" if name in found else "lacks a file of its list"
        raise CopyNotGood(f"{archive.name} {what}: {name}. Take another copy.")
    for name, digest in contents.files.items():
        if digest_of(folder / name) != digest:
            raise CopyNotGood(f"{archive.name} is damaged: {name} is not what was kept. Take another copy.")
    return contents


def _unpack_within(tar: tarfile.TarFile, folder: Path, name: str) -> None:
    """Unpack file by file, and stop before the disk is full: a small file can claim to be endless."""
    folder.mkdir(parents=True, exist_ok=True)
    room = shutil.disk_usage(folder).free - ROOM_LEFT
    for count, member in enumerate(tar):
        room -= member.size
        if room < 0:
            raise CopyNotGood(f"{name} unpacks to more than there is room for. Make room on the disk first.")
        if count > FILES_MOST:
            raise CopyNotGood(f"{name} has more than {FILES_MOST:,} files. That is no copy of a studio.")
        _put(tar, member, folder, name)


def _put(tar: tarfile.TarFile, member: tarfile.TarInfo, folder: Path, name: str) -> None:
    """One file into its place. Not by `extract`, whose care differs by the Python at hand."""
    place = PurePosixPath(member.name)
    content = tar.extractfile(member) if member.isreg() else None
    if content is None or place.is_absolute() or ".." in place.parts or "\\" in member.name:
        raise CopyNotGood(f"{name} holds what no copy of a studio holds: {member.name}. Take another copy.")
    target = folder.joinpath(*place.parts)
    target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    handle = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with content, os.fdopen(handle, "wb") as file:
        shutil.copyfileobj(content, file, BLOCK)


def _list_in(folder: Path, name: str) -> Contents:
    try:
        read: dict[str, Any] = json.loads((folder / LIST).read_text(encoding="utf-8"))
        if read.pop("form") != FORM:
            raise CopyNotGood(
                f"{name} was made by a newer version of this program. Install that version first."
            )
        return Contents(**{**read, "migrations": tuple(read["migrations"])})
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as fault:
        raise CopyNotGood(f"{name} is not a copy of a studio: it has no list of what is in it.") from fault


def digest_of(path: Path) -> str:
    """The SHA-256 of a file's content."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(BLOCK):
            digest.update(block)
    return digest.hexdigest()
