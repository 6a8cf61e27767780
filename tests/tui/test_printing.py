"""Pages, picture and shop's list: seen on the screen, then written to a file."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from io import BytesIO
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image
from textual.pilot import Pilot
from textual.widgets import Button, Input, Static

from stash.inventory.store import Store
from stash.model import Colour, Colouring, NewFabric, Star
from stash.typed import read_pieces
from tests.tui.driving import SIZES, on_top, press, running, screen_text, settled, toasts
from tui.app import StarcoverApp
from tui.dialogs.paper import PaperDialog
from tui.screens.star import StarScreen
from tui.widgets.page_pixels import Sight, page_png, page_texts

POND = Star(2, Fraction(5, 2), "ABA")
USES = Colouring({"A": ("Fern",), "B": ("Rust",)}, "Cloud")


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("COLORTERM", "truecolor")
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("HOME", str(tmp_path))
    place = tmp_path / "print.db"
    with Store.create(place) as store:
        for name, length, L in (("Fern", "1/2 yd", 50), ("Rust", "1/2 yd", 30), ("Cloud", "2 yd", 86)):
            store.add(NewFabric(name, read_pieces(length), Colour(L, 10, 20)))
        store.save_star("Pond", POND, USES)
    return place


def dialog(pilot: Pilot[None]) -> PaperDialog:
    return on_top(pilot, PaperDialog)


def which(pilot: Pilot[None]) -> str:
    return str(dialog(pilot).query_one("#which", Static).content)


async def name_it(pilot: Pilot[None], path: Path | str) -> None:
    dialog(pilot).query_one("#path", Input).value = str(path)
    await pilot.pause()
    await settled(pilot)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("keys", [("p",), ("x", "p")])
async def test_the_pages_are_seen_and_written(path: Path, size: tuple[int, int], keys: tuple[str, ...]) -> None:
    async with running(path, size) as pilot:
        await press(pilot, *keys)
        assert which(pilot) == "page 1 of 6, letter: chart, lettered"
        assert "▀" in screen_text(pilot)
        await press(pilot, "pagedown", "pagedown", "pagedown")
        assert which(pilot) == "page 4 of 6, letter: cutting"
        await press(pilot, "pageup", "f7")
        assert which(pilot) == "page 3 of 6, letter: map, 2 times as large"
        await press(pilot, "down", "shift+right", "f8", "enter")
        assert not isinstance(pilot.app.screen, PaperDialog)
        written = path.parent / "Pond.pdf"
        said = toasts(pilot)[-1]
    with Store.open(path) as store:
        (plan,) = store.open_plans()  # the cutting page is printed, so its plan is kept
    kept = f". Its cuts are kept as plan {plan.id}: their cloth is held for this star until it is cut or let go"
    assert said == f"Wrote {written}" + (f"{kept} on Cutting" if keys == ("p",) else "")
    texts = page_texts(written.read_bytes())
    assert len(texts) == 6
    assert f"plan {plan.id}" in texts[3]


@pytest.mark.parametrize("size", SIZES)
async def test_the_paper_is_changed_and_stays_so_while_the_program_is_open(path: Path, size: tuple[int, int]) -> None:
    """A4 is 210 x 297 mm (ISO 216), letter 8 1/2 x 11 in (ANSI/ASME Y14.1); a point is 1/72 in."""
    with Store.open(path) as store:
        store.save_star("Metric", replace(POND, units="cm"), USES)

    def written() -> list[int]:
        with pypdfium2.PdfDocument(path.parent / "Pond.pdf") as document:
            return [round(side) for side in document[0].get_size()]

    async with running(path, size) as pilot:
        await press(pilot, "p")
        assert "F9 Paper" in screen_text(pilot)
        assert which(pilot).startswith("page 1 of 6, letter: ")
        await press(pilot, "pagedown", "f9")
        assert which(pilot) == "page 1 of 6, A4: chart, lettered"
        await press(pilot, "enter", "p")
        assert written() == [round(210 / 25.4 * 72), round(297 / 25.4 * 72)]
        assert which(pilot).startswith("page 1 of 6, A4: ")
        await press(pilot, "f9", "enter", "enter")
        assert written() == [round(8.5 * 72), 11 * 72]
    async with running(path, size) as pilot:  # as it was before anything was chosen: by the star's units
        await press(pilot, "p")
        assert which(pilot).startswith("page 1 of 6, letter: ")
        await press(pilot, "escape")
        assert isinstance(pilot.app, StarcoverApp)
        pilot.app.open_star(next(star for star in pilot.app.loaded.stars if star.name == "Metric"))
        await press(pilot, "p")
        assert which(pilot).startswith("page 1 of 6, A4: ")


async def test_a_file_that_is_there_is_asked_about(path: Path) -> None:
    there = path.parent / "Pond.pdf"
    there.write_text("mine")
    async with running(path) as pilot:
        await press(pilot, "p", "enter")
        assert "Pond.pdf is there already: Enter again writes over it" in screen_text(pilot)
        assert there.read_text() == "mine"
        await name_it(pilot, path.parent / "other.txt")
        await name_it(pilot, "~/Pond.pdf")  # another name between: it is asked again
        await press(pilot, "enter", "enter")
    assert there.read_bytes().startswith(b"%PDF")
    assert sorted(one.name for one in path.parent.iterdir()) == ["Pond.pdf", "print.db"]


@pytest.mark.parametrize(
    ("name", "said"),
    [("pond.doc", "use .pdf, .png or .txt"), ("no/folder.pdf", "cannot be written"), ("print.db", "ending"),
     ("folder.pdf", "this is a folder")],
)  # fmt: skip
async def test_what_cannot_be_written_is_said_and_the_name_stays(path: Path, name: str, said: str) -> None:
    (path.parent / "folder.pdf").mkdir()
    async with running(path, (120, 40)) as pilot:
        await press(pilot, "p")
        await name_it(pilot, path.parent / name)
        await press(pilot, "enter")
        assert said in " ".join(screen_text(pilot).split())
        assert dialog(pilot).query_one("#path", Input).value.endswith(name)
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, StarScreen)
    assert sorted(one.name for one in path.parent.iterdir()) == ["folder.pdf", "print.db"]


async def test_the_ending_says_what_is_seen_and_written(path: Path) -> None:
    async with running(path, (120, 40)) as pilot:
        await press(pilot, "p")
        await name_it(pilot, path.parent / "pond.txt")
        assert "Binding" in screen_text(pilot)
        assert which(pilot) == "the shop's list"
        await name_it(pilot, path.parent / "pond.png")
        assert which(pilot) == "the star as a picture"
        await press(pilot, "enter")
    with Image.open(path.parent / "pond.png") as picture:
        assert picture.size == (1600, 1600)
    with Store.open(path) as store:
        assert store.open_plans() == []  # no cutting page, no plan


async def test_by_the_mouse(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "p")
        for name, said in (("after", "page 2 of 6, letter: chart, blank"), ("larger", "2 times"),
                           ("smaller", "chart, blank"), ("before", "page 1 of 6")):  # fmt: skip
            await pilot.click(f"#{name}")
            await settled(pilot)
            assert said in which(pilot)
        await pilot.click(dialog(pilot).query_one("#write", Button))
        await settled(pilot)
    assert (path.parent / "Pond.pdf").exists()


async def test_in_a_browser_the_file_is_downloaded(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    sent: list[tuple[bytes, str, str]] = []

    def deliver(app: StarcoverApp, file: BytesIO, *, save_filename: str, mime_type: str) -> None:
        sent.append((file.getvalue(), save_filename, mime_type))

    monkeypatch.setattr(StarcoverApp, "is_web", property(lambda app: True))
    monkeypatch.setattr(StarcoverApp, "deliver_binary", deliver)
    async with running(path) as pilot:
        await press(pilot, "p")
        assert dialog(pilot).query_one("#path", Input).value == "Pond.pdf"
        await press(pilot, "enter")
        assert toasts(pilot)[-1] == "Pond.pdf goes to your browser"
    ((data, name, kind),) = sent
    assert (data[:4], name, kind) == (b"%PDF", "Pond.pdf", "application/pdf")
    assert [one.name for one in path.parent.iterdir()] == ["print.db"]


async def test_where_colours_are_too_few_the_page_is_read(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with running(path, (120, 40)) as pilot:
        await press(pilot, "p", "pagedown", "pagedown", "pagedown")
        assert "Rotary cutter" in screen_text(pilot)


async def test_a_star_that_is_short_is_printed_for_the_shop_and_keeps_no_plan(path: Path) -> None:
    with Store.open(path) as store:
        store.used(store.fabric("Rust").id, None)
    async with running(path) as pilot:
        await press(pilot, "p", "enter")
    assert (path.parent / "Pond.pdf").exists()
    with Store.open(path) as store:
        assert store.open_plans() == []


async def test_a_fabric_that_is_tried_is_kept_or_restored_first(path: Path) -> None:
    async with running(path) as pilot:
        await press(pilot, "A", "down", "p")
        assert isinstance(pilot.app.screen, StarScreen)
        assert "keep it (Enter) or restore (Esc)" in toasts(pilot)[-1]


def test_a_part_of_a_page_is_what_its_place_says() -> None:
    """A page of 200 x 100 points with a black square of 20 in its lower left corner, drawn by another library."""
    document = pypdfium2.PdfDocument.new()
    page = document.new_page(200, 100)
    square = pypdfium2.raw.FPDFPageObj_CreateNewRect(0, 0, 20, 20)
    pypdfium2.raw.FPDFPageObj_SetFillColor(square, 0, 0, 0, 255)
    pypdfium2.raw.FPDFPath_SetDrawMode(square, pypdfium2.raw.FPDF_FILLMODE_ALTERNATE, 0)
    pypdfium2.raw.FPDFPage_InsertObject(page, square)
    pypdfium2.raw.FPDFPage_GenerateContent(page)
    file = BytesIO()
    document.save(file)
    pdf, pane = file.getvalue(), (100, 50)

    def dark(sight: Sight) -> float:
        with Image.open(BytesIO(page_png(pdf, sight, pane))) as seen:
            grey = seen.convert("L")
            assert grey.width / grey.height == pytest.approx(2, rel=0.02)
            return sum(level < 128 for level in grey.tobytes()) / (grey.width * grey.height)

    assert dark(Sight()) == pytest.approx(20 * 20 / (200 * 100), rel=0.05)
    assert dark(Sight(times=4, across=0, down=1)) == pytest.approx(20 * 20 / (50 * 25), rel=0.05)
    assert dark(Sight(times=4, across=1, down=0)) == 0
