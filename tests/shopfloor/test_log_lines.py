"""What is kept out of the log."""

from __future__ import annotations

import logging

import pytest


def test_a_page_refused_to_a_helper_is_one_line_in_the_log(signed_in_helper, studio_open, caplog):
    with caplog.at_level(logging.WARNING, "django.request"):
        signed_in_helper.post("/studio/hours/")

    (line,) = caplog.records
    assert line.getMessage() == "Forbidden (Permission denied): /studio/hours/"
    assert line.exc_info is None


def test_a_fault_of_the_software_keeps_its_trace(signed_in, studio_open, caplog, monkeypatch):
    monkeypatch.setattr("shopfloor.studio.views.pages.people", lambda: 1 / 0)

    with caplog.at_level(logging.ERROR, "django.request"), pytest.raises(ZeroDivisionError):
        signed_in.get("/studio/")

    (line,) = caplog.records
    assert line.exc_info is not None
