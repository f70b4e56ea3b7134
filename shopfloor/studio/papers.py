"""Papers as PDF, or as print-ready pages where PDFs cannot be made."""

from __future__ import annotations

import functools
import mimetypes
import re
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

from django.conf import settings
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.utils.text import get_valid_filename

# Papers name their style sheets and fonts by path; this host stands for the studio's own static files.
PAPER_HOST = "studio.invalid"
HOW_TO_GET_PDF = "To get papers as PDF files, install Pango: apt-get install libpango-1.0-0 libpangoft2-1.0-0"

MakePdf = Callable[[str], bytes]


def paper_response(
    request: HttpRequest, template: str, context: dict[str, Any], filename: str
) -> HttpResponse:
    """The paper called `filename`, rendered from `template`."""
    html = render_to_string(template, context, request)
    make_pdf = pdf_maker()
    if make_pdf is None:
        return HttpResponse(_with_print_plate(html, request))
    response = HttpResponse(make_pdf(html), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{get_valid_filename(filename)}"'
    return response


def static_file(url: str) -> Path:
    """The static file that a paper's address means.

    Raises: ValueError for every address that is not a static file of the studio: another host, another
    scheme, a path that climbs out of the static folders however it is written.
    """
    parts = urlsplit(url)
    path = unquote(parts.path)
    if parts.scheme != "https" or parts.netloc != PAPER_HOST or not path.startswith(settings.STATIC_URL):
        raise ValueError(f"Not a static file of the studio: {url}")
    name = path.removeprefix(settings.STATIC_URL)
    for root in _static_folders():
        candidate = (root / name).resolve()
        # Compared after resolving: a test of the text alone lets "fonts/../../x" and "%2e%2e" through.
        if candidate.is_relative_to(root) and candidate.is_file():
            return candidate
    raise ValueError(f"Not a static file of the studio: {url}")


@functools.cache
def pdf_maker() -> MakePdf | None:
    """What turns a page into a PDF; None where the printing library or its Pango is missing. Asked once."""
    try:
        # Imported here because it takes a second, and because the studio runs without it.
        import weasyprint
        from weasyprint.text.fonts import FontConfiguration
        from weasyprint.urls import URLFetcher, URLFetcherResponse
    except (ImportError, OSError):
        return None

    class StaticFilesOnly(URLFetcher):  # type: ignore[misc]
        """Fetches the studio's own static files and nothing else."""

        def fetch(self, url: str, headers: dict[str, str] | None = None) -> Any:
            path = static_file(url)
            kind = mimetypes.guess_type(path.name)[0] or "application/octet-stream"
            return URLFetcherResponse(url, path.read_bytes(), {"Content-Type": kind})

    fonts = FontConfiguration()
    fetcher = StaticFilesOnly()
    # Loading the fonts is half the work, so they are kept; Pango's font map is not safe in two threads at
    # once.
    one_at_a_time = threading.Lock()

    def make(html: str) -> bytes:
        with one_at_a_time:
            page = weasyprint.HTML(string=html, base_url=f"https://{PAPER_HOST}/", url_fetcher=fetcher)
            return bytes(page.write_pdf(font_config=fonts, pdf_tags=True))

    return make


@functools.cache
def _static_folders() -> tuple[Path, ...]:
    """Where static files are: collected, and in the apps before that."""
    folders = [Path(settings.STATIC_ROOT)]
    for finder in finders.get_finders():
        folders += [Path(storage.location) for storage in getattr(finder, "storages", {}).values()]
    return tuple(folder.resolve() for folder in folders)


def _with_print_plate(html: str, request: HttpRequest) -> str:
    """The same page with a plate that prints it, and one sentence on how to get PDF files."""
    plate = render_to_string("studio/_print_plate.html", {"how": HOW_TO_GET_PDF}, request)
    return re.sub(r"(<body[^>]*>)", lambda found: found[1] + plate, html, count=1)
