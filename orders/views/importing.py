"""Import orders: choose a file, say what its columns mean, mend, keep."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from inventory.answers import do, new_request_key, refuse, refuse_field
from inventory.arithmetic.csv_text import read_csv
from inventory.arithmetic.csv_writing import csv_text
from inventory.errors import StudioError
from inventory.roles import for_everyone
from orders.errors import OrderRefused, UploadGone
from orders.forms import ColumnsForm, FileForm
from orders.operations.importing import (
    keep_file,
    learn_name,
    leave_row_out,
    mend_cell,
    preview_of,
    read_file,
    set_columns,
)
from orders.operations.uploads import Upload, load_upload
from orders.queries.import_page import ImportPage, import_page, rows_left
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
    text = read_csv(upload.text)
    form = ColumnsForm(request.POST or None, samples=text.samples(), columns=upload.columns)
    if request.method == "POST" and form.is_valid():
        try:
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
    context = {"page": _page(request, upload), "upload": upload, "request_key": new_request_key()}
    return render(request, "orders/import_preview.html", context)


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
    """Leave a row out, or take it back in."""
    row, back = request.POST.get("row", ""), "back" in request.POST

    def act() -> None:
        if row.isdecimal():
            leave_row_out(token=token, row=int(row), back=back)

    return _and_look_again(request, token, act)


@for_everyone
@require_POST
def keep(request: HttpRequest, token: str) -> HttpResponse:
    """Keep what the page showed."""
    try:
        _upload_of(request, token)
        do(request, keep_file, token=token, shown=request.POST.get("shown", ""))
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
    text, _, seen = preview_of(upload, today=request.studio.local(request.studio.now()).date())
    answer = HttpResponse(
        csv_text(text.headings, rows_left(text, seen)), content_type="text/csv; charset=utf-8"
    )
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
    today = request.studio.local(request.studio.now()).date()
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
