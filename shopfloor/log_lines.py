"""How lines of the log are written, and what is kept out of them."""

from __future__ import annotations

import json
import logging
import re
from datetime import UTC, datetime

from django.core.exceptions import PermissionDenied


class WithoutRefusalTrace(logging.Filter):
    """A page refused to somebody is one line in the log: nothing is broken, so no trace is wanted."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let the line pass, and take the trace off a refusal."""
        if record.exc_info and isinstance(record.exc_info[1], PermissionDenied):
            record.exc_info = None
        return True


class WithoutSecrets(logging.Filter):
    """What lets somebody in by its address alone is not written down: links that sign in, the calendar,
    and links in e-mails."""

    SECRET = re.compile(r"(/sign-in/link/|/calendar/|/mail/(?:confirm|end)/)[^\s/?]+")

    def filter(self, record: logging.LogRecord) -> bool:
        """Let the line pass with the secret struck out."""
        said = record.getMessage()
        if self.SECRET.search(said):
            record.msg, record.args = self.SECRET.sub(r"\1...", said), ()
        return True


class JsonLines(logging.Formatter):
    """One JSON object a line, for a program that gathers logs: time, level, who says it, words, trace."""

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        line = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "message": record.getMessage(),
            "process": record.process,
            "thread": record.threadName,
        }
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=False)
