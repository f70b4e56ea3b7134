"""Import orders: choose a file, say what its columns mean, mend, keep."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from inventory.answers import do, new_request_key, refuse, refuse_field, request_key_of
from inventory.arithmetic.csv_text import read_csv
from inventory.arithmetic.csv_writing import csv_text
from inventory.errors import StudioError
from inventory.roles import for_everyone
from orders.errors import OrderRefused, UploadGone
from orders.forms import ColumnsForm, FileForm
from orders.operations.importing import (
    ROWS_MOST,
    keep_file,
    learn_name,
    leave_rows_out,
    mend_cell,
    preview_of,
    read_file,
    read_otherwise,
    set_columns,
)
from orders.operations.large_files import KEEP_FILE, READ_FILE
from orders.operations.uploads import Upload, load_seen, load_upload
from orders.queries.import_page import ImportPage, import_page, rows_to_mend
from orders.queries.preview import wants_columns

FILES_REMEMBERED = 8


@for_everyone
@require_http_methods(["GET", "POST"])
def choose_file(request: HttpRequest) -> HttpResponse:
    """Choose an order file. It is read and shown; nothing is kept."""
    form = FileForm(request.POST, request.FILES) if request.method == "POST" else FileForm()
    if form.is_valid():
        chosen = form.cleaned_data["file"]
        try:
            upload = read_file(name=chosen.name, content=chosen.read(), now=request.studio.now())
        except StudioError as fault:
            refuse_field(form, fault, "file")
        else:
            known = request.session.get("order_files", [])
            request.session["order_files"] = [*known, upload.token][-FILES_REMEMBERED:]
            return redirect(_next_step(upload), upload.token)
    return render(request, "orders/import.html", {"form": form}, status=422 if form.is_bound else 200)


@for_everyone
@require_http_methods(["GET", "POST"])
def columns(request: HttpRequest, token: str) -> HttpResponse:
    """Say which column holds what; remembered for files with the same heading row."""
    try:
        upload = _upload_of(request, token)
    except UploadGone as fault:
        return _start_again(request, fault)
    text = read_csv(upload.text, rows_most=ROWS_MOST)
    form = ColumnsForm(
        request.POST or None,
        samples=text.samples(),
        columns=upload.columns,
        encoding=upload.encoding,
        day_first=upload.day_first,
    )
    if request.method == "POST" and form.is_valid():
        try:
            if form.reading() != {name: form[name].initial for name in form.reading()}:
                upload = read_otherwise(token=token, **form.reading())
                read = read_csv(upload.text, rows_most=ROWS_MOST)
                if read.headings != text.headings:
                    # Other letters make other headings: what they mean has to be said for those.
                    return redirect("orders:import-columns", token)
            set_columns(token=token, **form.content())
            return redirect("orders:import-preview", token)
        except StudioError as fault:
            refuse_field(form, fault)
    first_rows = text.rows[:3]
    context = {
        "form": form,
        "upload": upload,
        "first_rows": first_rows,
        "columns_shown": [
            (
                heading,
                [(row.number, row.cells[place] if place < len(row.cells) else "") for row in first_rows],
            )
            for place, heading in enumerate(text.headings)
        ],
    }
    return render(request, "orders/import_columns.html", context, status=422 if form.is_bound else 200)


@for_everyone
@require_GET
def show(request: HttpRequest, token: str) -> HttpResponse:
    """What keeping the file would do."""
    try:
        upload = _upload_of(request, token)
    except UploadGone as fault:
        return _start_again(request, fault)
    if wants_columns(upload.columns):
        return redirect("orders:import-columns", token)
    if upload.is_large:
        return _show_large(request, upload)
    return _show_page(request, upload, _page(request, upload))


def _show_page(request: HttpRequest, upload: Upload, page: Any) -> HttpResponse:
    context = {"page": page, "upload": upload, "request_key": new_request_key()}
    return render(request, "orders/import_preview.html", context)


def _show_large(request: HttpRequest, upload: Upload) -> HttpResponse:
    """A large file: what its last reading found, or how far reading or keeping it has come."""
    studio = request.studio
    keeping, reading = studio.stands(_keeping(upload)), studio.stands(_reading(upload))
    running = next((one for one in (keeping, reading) if one and one.is_running), None)
    if running:
        return _how_far(request, upload, running)
    if request.htmx:
        # It has ended: the page is fetched anew, whatever it is by now.
        return HttpResponse(headers={"HX-Refresh": "true"})
    if keeping and keeping.result.get("said"):
        request.session["said"] = {"text": keeping.result["said"], "act_id": keeping.result["act_id"]}
        return redirect("orders:orders")
    seen = load_seen(upload.token)
    if seen and seen["version"] == upload.version:
        if keeping and keeping.fault:
            refuse(request, StudioError(keeping.fault))
        return _show_page(request, upload, seen["page"])
    if reading is None:
        payload = {"token": upload.token, "today": _today(request).isoformat()}
        studio.ask(READ_FILE, _reading(upload), payload)
        reading = studio.stands(_reading(upload))
    return _how_far(request, upload, reading)


def _how_far(request: HttpRequest, upload: Upload, stands: Any) -> HttpResponse:
    template = "orders/_import_reading.html" if request.htmx else "orders/import_reading.html"
    return render(request, template, {"upload": upload, "stands": stands})


@for_everyone
@require_POST
def stop(request: HttpRequest, token: str) -> HttpResponse:
    """Stop reading or keeping a large file; nothing of it is kept."""
    try:
        upload = _upload_of(request, token)
    except UploadGone as fault:
        return _start_again(request, fault)
    for key in (_reading(upload), _keeping(upload)):
        request.studio.ask_to_stop(key)
    return redirect("orders:import-preview", token)


@for_everyone
@require_POST
def read_again(request: HttpRequest, token: str) -> HttpResponse:
    """Read a large file whose reading was stopped."""
    try:
        upload = _upload_of(request, token)
    except UploadGone as fault:
        return _start_again(request, fault)
    payload = {"token": token, "today": _today(request).isoformat()}
    request.studio.ask(READ_FILE, _reading(upload), payload)
    return redirect("orders:import-preview", token)


@for_everyone
@require_POST
def mend(request: HttpRequest, token: str) -> HttpResponse:
    """Say what an unknown name means, or what stands in a cell instead."""
    text, field = request.POST.get("text", "")[:400], request.POST.get("field", "")
    means, kind = request.POST.get("means", ""), request.POST.get("kind", "")
    rows = [int(row) for row in request.POST.get("rows", "").split(",") if row.isdecimal()]

    def act() -> None:
        if kind in ("articles", "colours"):
            if not means.isdecimal() or int(means) == 0:
                raise OrderRefused("Choose what it is, then use it.")
            learn_name(token=token, kind=kind, text=text, means=int(means))
        elif rows and field:
            mend_cell(token=token, rows=rows, field=field, text=text)

    return _and_look_again(request, token, act)


@for_everyone
@require_POST
def leave_out(request: HttpRequest, token: str) -> HttpResponse:
    """Leave rows out, or take them back in."""
    rows = [int(row) for row in request.POST.get("row", "").split(",") if row.isdecimal()]
    back = "back" in request.POST

    def act() -> None:
        if rows:
            leave_rows_out(token=token, rows=rows, back=back)

    return _and_look_again(request, token, act)


@for_everyone
@require_POST
def keep(request: HttpRequest, token: str) -> HttpResponse:
    """Keep what the page showed."""
    try:
        upload = _upload_of(request, token)
        shown = request.POST.get("shown", "")
        if upload.is_large:
            payload = {
                "token": token,
                "shown": shown,
                "today": _today(request).isoformat(),
                "request_key": str(request_key_of(request)),
                "by": request.user.pk,
            }
            request.studio.ask(KEEP_FILE, _keeping(upload), payload)
            return redirect("orders:import-preview", token)
        do(request, keep_file, token=token, shown=shown)
    except UploadGone as fault:
        return _start_again(request, fault)
    except StudioError as fault:
        refuse(request, fault)
        return redirect("orders:import-preview", token)
    return redirect("orders:orders")


@for_everyone
@require_GET
def left(request: HttpRequest, token: str) -> HttpResponse:
    """The rows that would not be kept, as a file to mend in a spreadsheet and choose again."""
    try:
        upload = _upload_of(request, token)
    except UploadGone as fault:
        return _start_again(request, fault)
    seen = load_seen(token) if upload.is_large else None
    if seen:
        text, waiting = read_csv(upload.text, rows_most=ROWS_MOST), set(seen["rows_to_mend"])
    else:
        text, _, found = preview_of(upload, today=_today(request))
        waiting = set(rows_to_mend(found))
    rows = (row.cells for row in text.rows if row.number in waiting)
    answer = HttpResponse(csv_text(text.headings, rows), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = 'attachment; filename="rows-to-mend.csv"'
    return answer


def _upload_of(request: HttpRequest, token: str) -> Upload:
    """The file with this token, if this sign-in uploaded it.

    Raises: UploadGone.
    """
    if token not in request.session.get("order_files", []):
        raise UploadGone("This file is not here any more. Choose it again.")
    return load_upload(token)


def _page(request: HttpRequest, upload: Upload) -> ImportPage:
    today = _today(request)
    text, names, seen = preview_of(upload, today=today)
    return import_page(upload.name, text, names, seen, left_out=upload.left_out, today=today)


def _and_look_again(request: HttpRequest, token: str, act: Callable[[], Any]) -> HttpResponse:
    try:
        _upload_of(request, token)
        act()
    except UploadGone as fault:
        return _start_again(request, fault)
    except StudioError as fault:
        refuse(request, fault)
    return redirect("orders:import-preview", token)


def _start_again(request: HttpRequest, fault: StudioError) -> HttpResponse:
    refuse(request, fault)
    return redirect("orders:import")


def _next_step(upload: Upload) -> str:
    return "orders:import-columns" if wants_columns(upload.columns) else "orders:import-preview"


def _reading(upload: Upload) -> str:
    """The key of reading this file as it stands: what was said about it since asks for another reading."""
    return f"{READ_FILE} {upload.token} {upload.version}"


def _keeping(upload: Upload) -> str:
    return f"{KEEP_FILE} {upload.token} {upload.version}"


def _today(request: HttpRequest) -> date:
    return request.studio.local(request.studio.now()).date()
