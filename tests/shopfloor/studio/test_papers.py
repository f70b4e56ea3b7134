"""Papers as PDF files, and as pages where the printing library is missing."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest
from django.conf import settings
from django.http import HttpResponse
from django.test import RequestFactory
from pypdf import PdfReader

from shopfloor.studio.papers import HOW_TO_GET_PDF, paper_response, pdf_maker, static_file
from shopfloor.studio.port import LiveStudio
from tests.services.at_once import at_once

PAGE = """<!doctype html><html lang="en"><head><title>Slip</title>
<link rel="stylesheet" href="/static/shopfloor/papers.css"></head>
<body class="x"><p>Order 1041, 4 pieces</p>{extra}</body></html>"""


@pytest.fixture
def request_of_owner(owner) -> object:
    request = RequestFactory().get("/orders/1041/packing-slip/")
    request.user = owner
    request.studio = LiveStudio()
    return request


@pytest.fixture
def templates(settings, tmp_path: Path) -> Path:
    """A folder of templates of our own, before the studio's."""
    settings.TEMPLATES = [{**settings.TEMPLATES[0], "DIRS": [tmp_path, *settings.TEMPLATES[0]["DIRS"]]}]
    (tmp_path / "slip.html").write_text(PAGE.format(extra=""))
    return tmp_path


@pytest.fixture
def without_printing_library(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The import fails as it does where the library is not installed."""
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    pdf_maker.cache_clear()
    yield
    pdf_maker.cache_clear()


def text_of(response: HttpResponse) -> str:
    return "".join(page.extract_text() for page in PdfReader(BytesIO(response.content)).pages)


def fonts_of(response: HttpResponse) -> set[str]:
    reader = PdfReader(BytesIO(response.content))
    return {
        font.get_object()["/BaseFont"]
        for page in reader.pages
        for font in page["/Resources"]["/Font"].values()
    }


def test_a_paper_is_a_pdf_with_its_words_and_the_studios_own_font(request_of_owner, templates):
    response = paper_response(request_of_owner, "slip.html", {}, "slip 1041.pdf")

    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Disposition"] == 'inline; filename="slip_1041.pdf"'
    assert "Order 1041, 4 pieces" in text_of(response)
    assert any("Archivo" in font for font in fonts_of(response))


def test_papers_made_at_once_do_not_mix(request_of_owner, templates):
    for number in range(4):
        (templates / f"slip{number}.html").write_text(PAGE.format(extra=f"<p>Parcel {number}</p>"))

    answers = at_once(
        *[
            lambda number=number: paper_response(request_of_owner, f"slip{number}.html", {}, "slip.pdf")
            for number in range(4)
        ]
    )

    for number, response in enumerate(answers):
        assert f"Parcel {number}" in text_of(response)


def test_without_the_printing_library_the_paper_opens_as_a_page_that_says_what_to_install(
    without_printing_library, request_of_owner, templates
):
    response = paper_response(request_of_owner, "slip.html", {}, "slip.pdf")

    page = response.content.decode()
    assert response["Content-Type"].startswith("text/html")
    assert page.count(HOW_TO_GET_PDF) == 1
    assert "Print from the browser" in page
    assert "Order 1041, 4 pieces" in page
    assert page.index("Print from the browser") < page.index("Order 1041")


def test_a_missing_pango_counts_as_no_printing_library(tmp_path: Path):
    """Run apart: the library breaks on import as it does when the system's loader finds no Pango."""
    broken = tmp_path / "weasyprint"
    broken.mkdir()
    (broken / "__init__.py").write_text("raise OSError(\"cannot load library 'libpango-1.0-0'\")\n")
    code = (
        f"import sys; sys.path.insert(0, {str(tmp_path)!r})\n"
        "import django; django.setup()\n"
        "from shopfloor.studio.papers import pdf_maker\n"
        "print(pdf_maker())"
    )

    answer = subprocess.run(
        [sys.executable, "-c", code],
        cwd=settings.BASE_DIR,
        env={"DJANGO_SETTINGS_MODULE": "shopfloor.settings", "STUDIO_DIR": str(tmp_path), "PATH": ""},
        capture_output=True,
        text=True,
        check=True,
    )

    assert answer.stdout.strip() == "None"


def test_a_static_file_is_found_by_its_address():
    found = static_file("https://studio.invalid/static/shopfloor/papers.css")

    assert found.name == "papers.css"
    assert found.is_file()


@pytest.mark.parametrize(
    "url",
    [
        "https://studio.invalid/static/../settings.py",
        "https://studio.invalid/static/shopfloor/../../../settings.py",
        "https://studio.invalid/static/shopfloor/%2e%2e/%2e%2e/%2e%2e/settings.py",
        "https://studio.invalid/static/shopfloor/..%2f..%2f..%2fsettings.py",
        "https://studio.invalid/static//etc/passwd",
        "https://studio.invalid/static/%2fetc/passwd",
        "https://studio.invalid/etc/passwd",
        "https://studio.invalid/static/shopfloor/none.css",
        "https://studio.invalid/static/",
        "https://elsewhere.example/static/shopfloor/papers.css",
        "https://studio.invalid@elsewhere.example/static/shopfloor/papers.css",
        "http://studio.invalid/static/shopfloor/papers.css",
        "http://169.254.169.254/latest/",
        "file:///etc/passwd",
        "file:///static/shopfloor/papers.css",
        "data:text/css,p{}",
        "/etc/passwd",
    ],
)
def test_nothing_but_static_files_is_fetched_for_a_paper(url):
    with pytest.raises(ValueError, match="Not a static file of the studio"):
        static_file(url)


def test_a_file_outside_named_in_a_paper_is_left_out_and_the_paper_still_appears(
    request_of_owner, templates, tmp_path
):
    secret = tmp_path / "secret.svg"
    secret.write_text('<svg xmlns="http://www.w3.org/2000/svg"><text y="9">kept to itself</text></svg>')
    (templates / "slip.html").write_text(PAGE.format(extra=f'<img src="file://{secret}" alt="">'))

    response = paper_response(request_of_owner, "slip.html", {}, "slip.pdf")

    assert "kept to itself" not in text_of(response)
    assert "Order 1041" in text_of(response)


def test_rendering_a_paper_leaves_the_said_line_for_the_next_page(signed_in, owner, templates):
    session = signed_in.session
    session["said"] = {"text": "4 pieces packed.", "act_id": None}
    session.save()
    request = RequestFactory().get("/")
    request.user, request.session, request.studio = owner, signed_in.session, LiveStudio()

    paper_response(request, "slip.html", {}, "slip.pdf")

    assert request.session["said"]["text"] == "4 pieces packed."
