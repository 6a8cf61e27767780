"""Boxes on a photograph at the Intake screen: cloth, white patch and grey card, by keys and by mouse."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.driving import running, screen_text, settled, wait_for
from tests.tui.intake_screen import begin, enter, photograph, stored, text_of
from tui.screens.intake_start import Way
from tui.widgets.photo_boxes import CLOTH, GREY, WHITE, Boxes, between, holding, moved, resized
from tui.widgets.photo_view import PhotoView


def halves(path: Path) -> Path:
    """A dark cloth at the left and a light one at the right, with a white patch above."""
    dark, light, white = (60, 60, 60), (190, 190, 190), (240, 240, 240)
    return photograph(
        path, ((120, 120, 120), (0, 0, 400, 300)), (dark, (0, 100, 200, 200)), (light, (200, 100, 200, 200)),
        (white, (160, 10, 80, 70)),
    )  # fmt: skip


async def test_a_box_moved_by_keys_changes_what_is_measured(empty_path: Path, tmp_path: Path) -> None:
    async with running(empty_path) as pilot:
        screen = await begin(pilot, halves(tmp_path / "two.jpg"), Way.NONE)
        assert "~" in screen_text(pilot)
        await pilot.press(*"1 yd", "f7")
        photo = screen.query_one(PhotoView)
        await wait_for(pilot, lambda: photo._pixels, "the picture")
        assert photo.has_focus
        photo.boxes = photo.boxes.placed(CLOTH, (20, 150, 100, 100))
        await enter(pilot)
        dark = screen.current.swatch.measured.colour.L  # type: ignore[union-attr]
        assert text_of(pilot, "length") == "1 yd"
        await pilot.press("f7", *["right"] * 20, "shift+right")
        assert photo.boxes.cloth is not None
        assert photo.boxes.cloth[0] > 200
        assert photo.boxes.cloth[2] > 100
        assert "C" in "".join(photo.render_line(y).text for y in range(photo.size.height))
        await enter(pilot)
        light = screen.current.swatch.measured.colour.L  # type: ignore[union-attr]
        assert light > dark + 20
        await pilot.press("f7", "left", "escape")  # back: as it was measured
        await settled(pilot)
        assert photo.boxes.cloth == screen.current.swatch.measured.box  # type: ignore[union-attr]
        await enter(pilot)
    fabric = stored(empty_path)["Two"]
    assert fabric.colour is not None
    assert fabric.colour.L == pytest.approx(light)


async def test_the_mouse_draws_the_white_patch_and_the_next_ones_have_it_too(empty_path: Path, tmp_path: Path) -> None:
    folder = tmp_path / "patch"
    folder.mkdir()
    for name in ("a one.jpg", "b two.jpg"):
        halves(folder / name)
    async with running(empty_path, (120, 40)) as pilot:
        screen = await begin(pilot, folder, Way.WHITE)
        photo = screen.query_one(PhotoView)
        await wait_for(pilot, lambda: photo._pixels, "the picture")
        assert photo.editing
        assert photo.hand == WHITE
        await enter(pilot)
        assert "Nothing shows where the white patch is" in screen_text(pilot)
        left, top = photo._corner()
        wide, high = len(photo._pixels[0]), len(photo._pixels)

        def cell(x: float, y: float) -> tuple[int, int]:
            return left + int(x * wide / 400), top + int(y * high / 300) // 2

        await pilot.mouse_down(photo, offset=cell(172, 22))
        await pilot.hover(photo, offset=cell(225, 65))
        await pilot.mouse_up(photo, offset=cell(225, 65))
        await pilot.pause()
        white = photo.boxes.white
        assert white is not None
        assert 155 < white[0] < 185
        assert 40 < white[2] < 80
        photo.boxes = photo.boxes.placed(WHITE, (165, 15, 70, 60)).placed(CLOTH, (20, 120, 150, 150))
        await enter(pilot)
        await wait_for(pilot, lambda: screen.measuring is None, "the next one")
        assert "measured with a white patch" in screen_text(pilot)
        await enter(pilot, "fq")
        assert text_of(pilot, "name") == "B two"
        assert "measured with a white patch" in screen_text(pilot)
        await enter(pilot)
    found = stored(empty_path)
    colours = [one.colour for one in found.values() if one.colour is not None]
    assert len(colours) == 2
    assert {one.source for one in colours} == {"measured"}
    assert colours[0].L == pytest.approx(colours[1].L, abs=1)


def test_boxes_stay_on_the_picture_and_keep_one_reference() -> None:
    assert moved((10, 10, 50, 50), -30, 400, (100, 100)) == (0, 50, 50, 50)
    assert resized((10, 10, 50, 50), 100, -100, (100, 100)) == (10, 10, 90, 8)
    assert between((90, 80), (20.4, 10), (100, 100)) == (20, 10, 70, 70)
    boxes = Boxes((0, 0, 100, 100)).placed(WHITE, (1, 1, 9, 9)).placed(GREY, (2, 2, 9, 9))
    assert (boxes.white, boxes.grey, boxes.cloth_set) == (None, (2, 2, 9, 9), False)
    assert holding(boxes, 5, 5) == GREY
    assert holding(boxes, 50, 50) == CLOTH
    assert holding(boxes, 500, 50) == ""
