"""The style sheets: what they ship, and the contrast of their colours."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.staticfiles.storage import ManifestStaticFilesStorage
from django.core.files.storage import FileSystemStorage

from shopfloor.templatetags.studio import sheet_address

SHEETS = Path(settings.BASE_DIR) / "shopfloor" / "static" / "shopfloor"
NAMES = ("tokens", "frame", "components", "areas", "papers")


def colours(sheet: str, selector: str) -> dict[str, str]:
    """The colour tokens set under a selector of a sheet."""
    block = re.search(re.escape(selector) + r"\s*\{(.*?)\}", sheet, re.DOTALL)
    assert block
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9A-Fa-f]{6})", block[1]))


TOKENS = (SHEETS / "tokens.css").read_text(encoding="utf-8")
LIGHT = colours(TOKENS, ":root")
DARK = LIGHT | colours(TOKENS, '[data-bench="dark"]')


def contrast(one: str, other: str) -> float:
    """Source: W3C, Web Content Accessibility Guidelines 2.2, 2023, definition of contrast ratio."""

    def luminance(colour: str) -> float:
        channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels)
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_the_contrast_of_black_on_white_is_the_published_21_to_1() -> None:
    """Source: W3C, Web Content Accessibility Guidelines 2.2, 2023, contrast ratio, note 1 (1:1 to 21:1)."""
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)


@pytest.mark.parametrize("look", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize(
    ("front", "behind", "least"),
    [
        ("slate", "plaster", 4.5),
        ("slate", "dry", 4.5),
        ("wet", "plaster", 4.5),
        ("wet", "dry", 4.5),
        ("wet", "closed", 4.5),
        ("mark", "plaster", 4.5),
        ("mark", "dry", 4.5),
        ("on-mark", "mark", 4.5),
        ("on-wax", "wax", 4.5),
        ("iron", "plaster", 4.5),
        ("iron", "dry", 4.5),
        ("dry", "slate", 4.5),
        ("wall", "dry", 3),
        ("wall", "plaster", 3),
        ("wax-edge", "dry", 3),
        ("wax-edge", "plaster", 3),
        ("water", "dry", 3),
    ],
)
def test_every_pair_of_colours_that_meet_can_be_told_apart(
    look: dict[str, str], front: str, behind: str, least: float
) -> None:
    """Source: W3C, Web Content Accessibility Guidelines 2.2, 2023, success criteria 1.4.3 and 1.4.11."""
    assert contrast(look[front], look[behind]) >= least


def test_the_dark_bench_is_the_same_by_switch_and_by_the_device() -> None:
    assert colours(TOKENS, '[data-bench="device"]') == colours(TOKENS, '[data-bench="dark"]')


@pytest.mark.parametrize("name", NAMES)
def test_a_sheet_names_colours_that_are_set(name: str) -> None:
    sheet = (SHEETS / f"{name}.css").read_text(encoding="utf-8")

    used = set(re.findall(r"var\(--([\w-]+)\)", sheet))

    set_somewhere = set(re.findall(r"--([\w-]+):", TOKENS))
    assert used <= set_somewhere


@pytest.mark.parametrize("name", NAMES)
def test_a_sheet_fetches_nothing_from_elsewhere(name: str) -> None:
    sheet = (SHEETS / f"{name}.css").read_text(encoding="utf-8")

    for address in re.findall(r"url\(\s*[\"']?([^\"')]+)", sheet):
        assert (SHEETS / address).is_file(), address
    assert "@import" not in sheet


def test_papers_need_no_other_sheet() -> None:
    """The PDF maker knows neither the screen sheets' custom colours nor weights between the hundreds."""
    sheet = re.sub(r"/\*.*?\*/", "", (SHEETS / "papers.css").read_text(encoding="utf-8"), flags=re.DOTALL)

    assert "var(" not in sheet
    assert "font-stretch" not in sheet
    assert not re.search(r"font-weight:\s*\d*[1-9]\d?\b(?<!00)", sheet)


def test_addresses_inside_the_sheets_survive_being_collected(tmp_path: Path) -> None:
    storage = ManifestStaticFilesStorage(location=str(tmp_path), base_url="/static/")
    source = FileSystemStorage(location=str(SHEETS.parent))
    paths = {
        str(path.relative_to(SHEETS.parent)): (source, str(path.relative_to(SHEETS.parent)))
        for path in SHEETS.rglob("*")
        if path.is_file()
    }
    for name in paths:
        with source.open(name) as opened:
            storage.save(name, opened)

    faults = [done for _, _, done in storage.post_process(paths) if isinstance(done, Exception)]

    assert faults == []
    collected = (tmp_path / storage.stored_name("shopfloor/tokens.css")).read_text(encoding="utf-8")
    assert re.search(r"fonts/archivo\.[0-9a-f]{12}\.woff2", collected)


def test_a_sheet_is_addressed_by_its_name() -> None:
    assert sheet_address("tokens").startswith("/static/shopfloor/tokens.")


def test_the_word_for_how_a_row_of_the_shelf_stands_is_never_broken() -> None:
    areas = (SHEETS / "areas.css").read_text(encoding="utf-8")

    assert re.search(r"\.stand \.next \{[^}]*flex-wrap: wrap", areas)
    assert re.search(r"\.stand \.next \.say \{[^}]*min-width: min-content", areas)
    assert re.search(r"\.stand \.next \.state \{[^}]*white-space: nowrap", areas)


def test_a_long_name_without_a_gap_breaks_inside_the_said_line() -> None:
    frame = (SHEETS / "frame.css").read_text(encoding="utf-8")

    assert re.search(r"\.said > span \{[^}]*overflow-wrap: anywhere", frame)
    assert re.search(r"\.main \{[^}]*overflow-wrap: break-word", frame)
