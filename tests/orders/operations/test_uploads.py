"""Uploaded order files between their steps."""

from __future__ import annotations

import os
import stat
from datetime import timedelta
from pathlib import Path

import pytest

from orders.errors import UploadGone
from orders.operations.uploads import forget_uploads, keep_upload, load_upload, save_upload
from tests.factories.inventory import MONDAY


def an_upload(now=MONDAY, text="Order,Customer"):
    return keep_upload(name="week.csv", digest="d", text=text, encoding="utf-8", now=now)


def test_what_was_said_about_a_file_is_there_at_the_next_step():
    upload = an_upload()
    upload.columns = {"number": ["Order"]}
    upload.mends[7] = {"quantity": "2"}
    upload.left_out = [3]
    save_upload(upload)

    assert load_upload(upload.token) == upload


def test_only_the_studios_own_account_can_read_it(settings):
    upload = an_upload()
    path = Path(settings.SHARED_DIR) / "uploads" / f"{upload.token}.json"

    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(path.parent.stat().st_mode) == 0o700


@pytest.mark.parametrize("token", ["", "../../secret", "a" * 42, "a" * 42 + "/", "." * 43])
def test_a_token_is_no_path(token):
    with pytest.raises(UploadGone):
        load_upload(token)


def test_files_older_than_a_day_are_swept_at_the_next_upload(settings):
    old, young = an_upload(), an_upload()
    folder = Path(settings.SHARED_DIR) / "uploads"
    for upload, hours in ((old, 25), (young, 23)):
        then = (MONDAY - timedelta(hours=hours)).timestamp()
        os.utime(folder / f"{upload.token}.json", (then, then))

    an_upload()

    assert load_upload(young.token) == young
    with pytest.raises(UploadGone):
        load_upload(old.token)


def test_all_can_be_forgotten_and_there_need_be_none():
    forget_uploads()
    upload = an_upload()

    forget_uploads()

    with pytest.raises(UploadGone):
        load_upload(upload.token)
