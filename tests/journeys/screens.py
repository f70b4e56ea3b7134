"""A page as somebody sees it over HTTP: words, links and forms. Acts are done only through what it shows."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any
from urllib.parse import urlencode

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

UNSEEN = {"script", "style", "head"}
# What stands on a line of its own, so that its words do not run into the next ones.
APART = {
    *("p", "div", "li", "td", "th", "tr", "h1", "h2", "h3", "dt", "dd", "section", "form", "label", "br"),
    *("span", "small", "a", "button", "summary"),
}


@dataclass
class Plate:
    """A button of a form."""

    name: str
    value: str
    address: str
    label: str = ""


@dataclass
class Form:
    """A form with what stands in its fields, its plates, and all its words."""

    address: str
    method: str
    fields: dict[str, Any] = field(default_factory=dict)
    ticks: dict[str, str] = field(default_factory=dict)
    choices: dict[str, dict[str, str]] = field(default_factory=dict)
    plates: list[Plate] = field(default_factory=list)
    words: str = ""


class _Reader(HTMLParser):
    """Takes a page apart."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.main_words: list[str] = []
        self.in_main = False
        self.links: list[list[str]] = []
        self.forms: list[Form] = []
        self._unseen = 0
        self._form: Form | None = None
        self._link: list[str] | None = None
        self._plate: Plate | None = None
        self._select = self._area = self._option = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value if value is not None else "" for name, value in attrs}
        if tag in UNSEEN:
            self._unseen += 1
        if tag in APART:
            self._say(" ")
        if tag == "main":
            self.in_main = True
        if tag == "form":
            self._form = Form(found.get("action", ""), found.get("method", "get"))
            self.forms.append(self._form)
        elif tag == "a" and "href" in found:
            self._link = [found["href"], found.get("aria-label", "")]
            self.links.append(self._link)
        elif self._form is not None and "disabled" not in found:
            self._field(tag, found)

    def _field(self, tag: str, found: dict[str, str]) -> None:
        assert self._form is not None
        name = found.get("name", "")
        if tag == "button":
            self._plate = Plate(name, found.get("value", ""), found.get("formaction", self._form.address))
            if found.get("type", "submit") == "submit" and "aria-disabled" not in found:
                self._form.plates.append(self._plate)
        elif tag == "input" and name:
            kind = found.get("type", "text")
            if kind == "checkbox":
                self._form.ticks[name] = found.get("value", "on")
            if kind == "file" or (kind in ("checkbox", "radio") and "checked" not in found):
                return
            self._form.fields[name] = found.get("value", "on" if kind == "checkbox" else "")
        elif tag == "select":
            self._select = name
            self._form.fields.setdefault(name, "")
            self._form.choices[name] = {}
        elif tag == "option" and self._select:
            self._option = found.get("value", "")
            self._form.choices[self._select][self._option] = ""
            if "selected" in found:
                self._form.fields[self._select] = self._option
        elif tag == "textarea":
            self._area = name
            self._form.fields[name] = ""

    def handle_endtag(self, tag: str) -> None:
        if tag in UNSEEN:
            self._unseen -= 1
        if tag in APART:
            self._say(" ")
        if tag == "main":
            self.in_main = False
        if tag == "form":
            self._form = None
        elif tag == "a":
            self._link = None
        elif tag == "button":
            self._plate = None
        elif tag == "select":
            self._select = ""
        elif tag == "textarea":
            self._area = ""

    def handle_data(self, text: str) -> None:
        if self._area and self._form:
            self._form.fields[self._area] += text
        elif not self._unseen:
            self._say(text)

    def _say(self, text: str) -> None:
        if self._select and self._form is not None:
            self._form.choices[self._select][self._option] = (
                self._form.choices[self._select].get(self._option, "") + text
            )
            return
        self.words.append(text)
        if self.in_main:
            self.main_words.append(text)
        if self._form is not None:
            self._form.words += text
        if self._link is not None:
            self._link[1] += text
        if self._plate is not None:
            self._plate.label += text


class Screen:
    """One answer of the studio."""

    def __init__(self, response: Any, address: str) -> None:
        self.response, self.address, self.code = response, address, response.status_code
        reader = _Reader()
        if response.headers.get("Content-Type", "").startswith("text/html"):
            reader.feed(response.content.decode())
        self.words = plain("".join(reader.main_words or reader.words))
        self.forms = reader.forms
        self.links = [(href, plain(label)) for href, label in reader.links]

    def says(self, words: str) -> bool:
        """Whether the words stand on the page."""
        return words in self.words

    def must_say(self, *words: str) -> None:
        """Fail, showing the page, unless all these words stand on it."""
        missing = [some for some in words if some not in self.words]
        assert not missing, f"{missing} not on {self.address}:\n{self.words}"

    def between(self, before: str, after: str) -> str:
        """The words between two others, to be read further."""
        found = re.search(re.escape(before) + r"(.*?)" + re.escape(after), self.words)
        assert found, f"Nothing between {before!r} and {after!r} on {self.address}:\n{self.words}"
        return found[1].strip()

    def reads(self, pattern: str) -> re.Match[str]:
        """The first place on the page that fits a pattern."""
        found = re.search(pattern, self.words)
        assert found, f"{pattern!r} is not on {self.address}:\n{self.words}"
        return found

    def form_with(self, label: str, beside: str = "") -> tuple[Form, Plate]:
        """The first form with a plate of this label, and with these words in it or among its values."""
        for form in self.forms:
            for plate in form.plates:
                if plain(plate.label) == label and beside in form.words + " ".join(
                    map(str, form.fields.values())
                ):
                    return form, plate
        raise AssertionError(
            f"No plate {label!r} {beside!r} on {self.address}: {self.labels()}\n{self.words}"
        )

    def has_plate(self, label: str) -> bool:
        """Whether a plate or link with this label can be pressed."""
        return label in self.labels()

    def labels(self) -> list[str]:
        """Labels of all that can be pressed."""
        plates = [plain(plate.label) for form in self.forms for plate in form.plates]
        return plates + [label for _, label in self.links]

    def link(self, label: str) -> str:
        """Where a link leads."""
        for address, words in self.links:
            if words == label:
                return address
        raise AssertionError(f"No link {label!r} on {self.address}: {self.labels()}")


class Visitor:
    """Somebody signed in: opens pages, follows links and presses plates that are there, and nothing else."""

    def __init__(self, client: Client, tick: Callable[[], None] = lambda: None) -> None:
        self.client, self.tick = client, tick
        self.screen: Screen = None  # type: ignore[assignment]
        self._last: tuple[str, dict[str, Any]] | None = None

    def open(self, address: str) -> Screen:
        """Open an address."""
        return self._arrive(self.client.get(address, follow=True), address)

    def follow(self, label: str) -> Screen:
        """Follow a link of the page."""
        return self.open(self.screen.link(label))

    def press(self, label: str, beside: str = "", **typed: Any) -> Screen:
        """Press a plate, after typing into the fields of its form."""
        form, plate = self.screen.form_with(label, beside)
        files = {name for name, value in typed.items() if isinstance(value, SimpleUploadedFile)}
        for name in typed.keys() - files:
            assert name in form.fields or name in form.ticks, (
                f"No field {name!r} beside {label!r}: {sorted(form.fields)}"
            )
        content = {**form.fields, **typed}
        if plate.name:
            content[plate.name] = plate.value
        address = plate.address or self.screen.address
        if form.method == "get":
            return self.open(f"{address.partition('?')[0]}?{urlencode(content, doseq=True)}")
        self._last = address, content
        self.tick()
        return self._post()

    def press_again(self) -> Screen:
        """The same tap once more, as a phone with a bad connection sends it."""
        return self._post()

    def _post(self) -> Screen:
        assert self._last is not None
        address, content = self._last
        for value in content.values():
            if isinstance(value, SimpleUploadedFile):
                value.seek(0)
        return self._arrive(self.client.post(address, content, follow=True), address)

    def _arrive(self, response: Any, address: str) -> Screen:
        chain = getattr(response, "redirect_chain", None)
        self.screen = Screen(response, chain[-1][0] if chain else address)
        assert self.screen.code < 500, f"{self.screen.address}: {self.screen.code}"
        return self.screen


def plain(text: str) -> str:
    """Words with single spaces."""
    return " ".join(text.split())
