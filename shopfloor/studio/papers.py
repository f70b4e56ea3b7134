"""Papers as PDF, or as print-ready pages where PDFs cannot be made."""

from __future__ import annotations

import functools
import mimetypes
import re
import threading
import unicodedata
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urljoin, urlsplit

from django.conf import settings
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.utils.text import get_valid_filename

from shopfloor.studio.queries import studio_facts
from shopfloor.studio.signs import missing_signs, without_signs, words_of

# Papers name their style sheets and fonts by path; this host stands for the studio's own static files.
PAPER_HOST = "studio.invalid"
HOW_TO_GET_PDF = "To get papers as PDF files, install Pango: apt-get install libpango-1.0-0 libpangoft2-1.0-0"

MakePdf = Callable[..., bytes]
# The PDF is tagged for reading aloud (ISO 14289-1), or made for keeping (ISO 19005-3, level A: tagged too).
TO_READ, TO_KEEP = "pdf/ua-1", "pdf/a-3a"
LETTER = "letter"
FONT_SHEET = "shopfloor/paper-fonts.css"
NO_LETTER, WORD_JOINER = re.compile(rb" <>$"), b" <2060>"
# A drawing and the words for it, on itself or on what stands around it.
DRAWN_WORDS = re.compile(r'role="img" aria-label="([^"]*)"[^>]*>(?:<svg[^>]*>)?')


def paper_response(
    request: HttpRequest, template: str, context: dict[str, Any], filename: str
) -> HttpResponse:
    """The paper called `filename`, rendered from `template`.

    ?as=page is the same paper as a page to print from the browser, ?as=pdf-a a PDF made for keeping. A paper
    with signs that no font here has is not printed: a page says which, until ?without asks to leave them out.
    """
    make_pdf = pdf_maker()
    as_page = make_pdf is None or request.GET.get("as") == "page"
    letter = request.studio.facts.sheet_size == LETTER  # type: ignore[attr-defined]
    html = render_to_string(template, context | {"as_page": as_page, "on_letter": letter}, request)
    if make_pdf is None or as_page:
        return HttpResponse(_with_print_plate(html, request, HOW_TO_GET_PDF if make_pdf is None else ""))
    missing = missing_signs(words_of(html))
    if missing and "without" not in request.GET:
        return _say_missing(request, missing)
    variant = TO_KEEP if request.GET.get("as") == "pdf-a" else TO_READ
    response = HttpResponse(make_pdf([without_signs(html, missing)], variant), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{get_valid_filename(filename)}"'
    return response


def long_paper_pdf(
    template: str, contexts: Sequence[dict[str, Any]], tell: Callable[[int], None]
) -> bytes | None:
    """One paper of many parts outside a request; None where PDFs cannot be made. `tell` hears of each part.

    Signs that no font here has are left out: nobody is there to be asked.
    """
    make_pdf = pdf_maker()
    if make_pdf is None:
        return None
    on_letter = studio_facts().sheet_size == LETTER

    def parts() -> Iterator[str]:
        for number, context in enumerate(contexts):
            tell(number)
            html = render_to_string(template, context | {"on_letter": on_letter})
            yield without_signs(html, missing_signs(words_of(html)))
        tell(len(contexts))

    return make_pdf(parts(), TO_READ)


def _say_missing(request: HttpRequest, missing: tuple[str, ...]) -> HttpResponse:
    """The page that says which signs cannot be printed, and what to do."""

    def asked(**more: str) -> str:
        query = request.GET.copy()
        query.update(more)
        return f"{request.path}?{query.urlencode()}"

    context = {
        "signs": missing,
        "names": [unicodedata.name(sign, "sign without a name").lower() for sign in missing[:6]],
        "page_address": asked(**{"as": "page"}),
        "without_address": asked(without="1"),
    }
    return render(request, "studio/missing_signs.html", context, status=422)


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
    base = f"https://{PAPER_HOST}/"
    # Loading the fonts is half the work, so they are read once; Pango's font map is not safe in two threads
    # at once.
    one_at_a_time = threading.Lock()
    font_sheet = weasyprint.CSS(url=urljoin(base, static(FONT_SHEET)), url_fetcher=fetcher, font_config=fonts)

    def set_pages(html: str) -> Any:
        page = weasyprint.HTML(string=with_titles(html), base_url=base, url_fetcher=fetcher)
        return page.render(font_config=fonts, stylesheets=[font_sheet])

    def make(parts: Iterable[str], variant: str = TO_READ) -> bytes:
        first, pages = None, []
        for html in parts:
            # Let go between parts, so that one slip need not wait for five hundred.
            with one_at_a_time:
                document = set_pages(html)
            first = first or document
            pages += document.pages
        assert first is not None
        with one_at_a_time:
            whole = first.copy(pages)
            return bytes(whole.write_pdf(finisher=_finish, pdf_variant=variant, pdf_tags=True))

    return make


def with_titles(html: str) -> str:
    """The same with each drawing's words as its title: the PDF maker reads them aloud from there only."""
    return DRAWN_WORDS.sub(lambda found: f"{found[0]}<title>{found[1]}</title>", html)


def _finish(document: Any, pdf: Any) -> None:
    """What the PDF maker leaves: a drawing without words is for the eye only, so no figure to be read out
    (ISO 14289-1, 7.3); a part of a letter, such as an Arabic dot, stands for no letter of its own but for
    something (7.21.7); and what the file says of itself stays open to programs that unpack nothing."""
    for one in pdf.objects:
        if isinstance(one, dict) and one.get("S") == "/Figure" and "Alt" not in one:
            one["S"] = "/NonStruct"
            one.pop("A", None)
        elif getattr(one, "extra", {}).get("Type") == "/Metadata":
            one.compress = False
        elif b"begincmap" in getattr(one, "stream", ()):
            one.stream = [NO_LETTER.sub(WORD_JOINER, line) for line in one.stream]


@functools.cache
def _static_folders() -> tuple[Path, ...]:
    """Where static files are: collected, and in the apps before that."""
    folders = [Path(settings.STATIC_ROOT)]
    for finder in finders.get_finders():
        folders += [Path(storage.location) for storage in getattr(finder, "storages", {}).values()]
    return tuple(folder.resolve() for folder in folders)


def _with_print_plate(html: str, request: HttpRequest, how: str) -> str:
    """The same page with a plate that prints it, and where wanted one sentence on how to get PDF files."""
    plate = render_to_string("studio/_print_plate.html", {"how": how}, request)
    return re.sub(r"(<body[^>]*>)", lambda found: found[1] + plate, html, count=1)
