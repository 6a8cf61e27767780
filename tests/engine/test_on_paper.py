"""Swatches on paper: found, and measured under warm, uneven light. And a chart of known colours with a grey card."""

from __future__ import annotations

import warnings
from typing import Any

import numpy as np
import pytest

from stash.colour.lab import XYZ_TO_RGB, delta_e_2000
from stash.colour.measure import measure, measure_sheet
from stash.colour.photo import PhotoFault
from stash.colour.sheet import in_reading_order
from stash.model import Colour, Reference
from tests.engine.scenes import CLOTHS, EVEN, WARM, Floats, Lamp, checked, dotted, light, on_paper, plain, taken, woven

COLOURS = (
    (22.0, 2.0, -3.0), (30.0, 22.0, -18.0), (38.0, -18.0, 14.0), (46.0, 48.0, 26.0), (52.0, -14.0, -32.0),
    (60.0, 36.0, 18.0), (66.0, 8.0, 58.0), (73.0, -20.0, 24.0), (80.0, 2.0, 10.0), (86.0, 12.0, 4.0),
)  # fmt: skip
LAMPS = (WARM, Lamp((0.62, 0.7, 0.84), across=-0.18, down=0.1), Lamp((0.86, 0.74, 0.52), bulge=0.12, down=0.16))


def scenes() -> list[tuple[str, tuple[float, float, float], Floats]]:
    """Each colour in a cloth, under one lamp after the other."""
    made = []
    for i, colour in enumerate(COLOURS):
        cloth, lamp = CLOTHS[i % len(CLOTHS)], LAMPS[i % len(LAMPS)]
        lit = on_paper([((110, 90, 420, 300), cloth(light(colour), 420, 300))], 640, 480, lamp)
        made.append((f"{cloth.__name__} {colour}", colour, lit))
    return made


def test_cloth_on_paper_comes_out_as_it_is() -> None:
    """Worst error of L* 2.5, mean CIEDE2000 under 2: noise of 3 codes, JPEG quality 88."""
    apart, values = [], []
    for name, truth, lit in scenes():
        found = measure(taken(lit, noise=3, jpeg=88), on_paper=True)
        assert found.reference is Reference.PAPER, name
        apart.append(delta_e_2000(Colour(*truth), [found.colour])[0])
        values.append(abs(found.colour.L - truth[0]))
        x, y, w, h = found.box
        assert min(x - 108, y - 88, 532 - x - w, 392 - y - h) >= 0, (name, found.box)
        assert w * h > 0.5 * 420 * 300, (name, found.box)
    assert max(values) < 2.5
    assert float(np.mean(apart)) < 2.0


def test_without_paper_the_same_cloth_is_far_off() -> None:
    """So that the test above cannot pass by chance: the lamps alone make errors many times as large."""
    off = [abs(measure(taken(lit), (150, 130, 340, 220)).colour.L - truth[0]) for _, truth, lit in scenes()]
    assert float(np.mean(off)) > 6


def test_a_turned_swatch_is_measured_well_inside() -> None:
    from PIL import Image

    cloth = Image.fromarray(np.full((260, 380), 255, np.uint8))
    turned = np.asarray(cloth.rotate(11, expand=True)) > 0
    sheet = np.full((480, 640, 3), 0.88)
    h, w = turned.shape
    area = sheet[60 : 60 + h, 80 : 80 + w]
    area[turned] = light((40, 30, 20))
    found = measure(taken(sheet * Lamp((0.8, 0.8, 0.8), across=0.15).on(640, 480), noise=2), on_paper=True)
    assert found.colour.L == pytest.approx(40, abs=0.5)
    assert found.variety < 2


def test_paper_that_does_not_fill_the_picture() -> None:
    """A table of another brightness all round the sheet."""
    for table in ((0.12, 0.07, 0.04), (0.4, 0.3, 0.2)):
        lit = np.empty((480, 640, 3))
        lit[:] = table
        lit[50:430, 60:580] = 0.88
        lit[140:340, 200:440] = woven(light((50, -20, 20)), 240, 200)
        found = measure(taken(lit * WARM.on(640, 480), noise=2, jpeg=90), on_paper=True)
        assert (found.colour.L, found.colour.a) == pytest.approx((50, -20), abs=1.5)


def test_white_cloth_on_a_grey_sheet() -> None:
    lit = on_paper([((150, 100, 340, 280), plain(light((95, 0, 3)), 340, 280))], 640, 480, WARM, paper=0.45)
    found = measure(taken(lit, noise=2), on_paper=True, reflectance=0.45)
    assert (found.colour.L, found.colour.b) == pytest.approx((95, 3), abs=1)


def test_paper_of_another_brightness_is_settable() -> None:
    lit = on_paper([((150, 100, 340, 280), plain(light((60, 0, 0)), 340, 280))], 640, 480, EVEN, paper=0.78)
    assert measure(taken(lit), on_paper=True, reflectance=0.78).colour.L == pytest.approx(60, abs=0.4)
    assert measure(taken(lit), on_paper=True).colour.L > 62


def test_a_drawn_box_stands_in_for_finding_the_cloth() -> None:
    lit = on_paper([((150, 100, 340, 280), plain(light((94.9, 0, 0)), 340, 280))], 640, 480, WARM)
    found = measure(taken(lit, noise=1), (200, 150, 200, 150), on_paper=True)
    assert found.colour.L == pytest.approx(94.9, abs=0.7)


def test_no_paper_or_clipped_paper_or_no_cloth_is_refused() -> None:
    cloth = taken(dotted(light((40, 20, 20)), 480, 640) * 0.9, noise=2)
    with pytest.raises(PhotoFault, match="no paper"):
        measure(cloth, on_paper=True)
    bright = on_paper([((150, 100, 340, 280), plain(light((50, 0, 0)), 340, 280))], 640, 480, Lamp((1.3, 1.3, 1.3)))
    with pytest.raises(PhotoFault, match="the paper is too bright"):
        measure(taken(bright), on_paper=True)
    empty = taken(on_paper([], 640, 480, WARM), noise=2)
    with pytest.raises(PhotoFault, match=r"no cloth was found.*grey sheet"):
        measure(empty, on_paper=True)


def test_a_motif_on_a_paper_white_ground_never_stands_for_the_cloth() -> None:
    """Red discs on a ground just as white as the paper, and on one hardly darker: refused, not measured by a disc."""
    for ground in (0.88, 0.86):
        cloth = np.full((600, 700, 3), ground)
        y, x = np.mgrid[:600, :700]
        cloth[(x % 240 - 120) ** 2 + (y % 240 - 120) ** 2 < 70 * 70] = (0.5, 0.05, 0.08)
        lit = on_paper([((250, 150, 700, 600), cloth)], 1200, 900, WARM)
        with pytest.raises(PhotoFault, match=r"parts of a print|no cloth was found"):
            measure(taken(lit, noise=3, jpeg=88), on_paper=True)
        found = measure(taken(lit, noise=3, jpeg=88), (250, 150, 700, 600), on_paper=True)
        assert found.colour.L > 75


def test_one_cloth_is_asked_for_and_several_lie_there() -> None:
    lit, _ = sheet_of_twelve(WARM)
    with pytest.raises(PhotoFault, match=r"12 pieces were found.*as a sheet"):
        measure(taken(lit, noise=2), on_paper=True)


def sheet_of_twelve(lamp: Lamp) -> tuple[Floats, list[tuple[float, float, float]]]:
    colours = [(20.0 + 5.2 * (i * 7 % 12), 18.0 * (-1) ** i, 14.0 * (-1) ** (i // 2)) for i in range(12)]
    cloths = []
    for i, colour in enumerate(colours):
        column, row = i % 4, i // 4
        box = (60 + column * 290 + (i * 5 % 17), 50 + row * 280 + (i * 11 % 23), 200, 190)
        cloths.append((box, CLOTHS[i % len(CLOTHS)](light(colour), 200, 190)))
    return on_paper(cloths, 1200, 900, lamp), colours


@pytest.mark.parametrize("lamp", LAMPS)
def test_twelve_swatches_on_a_sheet(lamp: Lamp) -> None:
    lit, colours = sheet_of_twelve(lamp)
    found = measure_sheet(taken(lit, noise=3, jpeg=88))
    assert len(found) == 12
    values = [one.colour.L for one in found]
    assert values == pytest.approx([colour[0] for colour in colours], abs=2.5)
    assert np.argsort(values).tolist() == np.argsort([colour[0] for colour in colours]).tolist()


def test_an_empty_sheet_is_refused() -> None:
    with pytest.raises(PhotoFault, match="vanishes on white paper"):
        measure_sheet(taken(on_paper([], 640, 480, WARM), noise=2))


def test_reading_order() -> None:
    """Rows that are not quite level are still rows."""
    boxes = [(300, 12, 80, 60), (10, 0, 80, 60), (150, 20, 80, 60), (150, 110, 80, 60), (12, 95, 80, 60)]
    assert in_reading_order(boxes) == [boxes[1], boxes[2], boxes[0], boxes[4], boxes[3]]


@pytest.mark.parametrize("lamp", ["A", "D50", "FL2"])
def test_a_chart_of_24_known_colours_with_a_grey_card(lamp: str) -> None:
    """Reflectances of a 24-patch colour checker as published by Ohta (1997), lit by CIE illuminants, both from
    colour-science; the camera sees as the CIE 1931 observer does and writes sRGB. Truth: the patches under D65. Mean
    CIEDE2000 under 3.5."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

    shape = colour.SpectralShape(380, 780, 5)
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)

    def seen(reflectance: Any, lamp: str) -> Floats:
        light = colour.SDS_ILLUMINANTS[lamp].copy().align(shape)
        return np.asarray(colour.sd_to_XYZ(reflectance, observer, light, method="Integration")) / 100

    def flat(level: float) -> Any:
        return colour.SpectralDistribution(dict.fromkeys(range(380, 785, 5), level))

    patches = [one.copy().align(shape) for one in colour.SDS_COLOURCHECKERS["ColorChecker N Ohta"].values()]
    white = colour.XYZ_to_xy(seen(flat(1), "D65"))
    truth = [Colour(*(float(v) for v in colour.XYZ_to_Lab(seen(one, "D65"), white))) for one in patches]
    rgb = np.array([XYZ_TO_RGB @ seen(one, lamp) for one in [*patches, flat(0.18)]])
    # a column a patch, 60 pixels wide, as bright as it can be with nothing at its limit
    photo = taken((rgb / rgb.max() * 0.95).repeat(60, axis=0)[None, :, :].repeat(60, axis=0), noise=1)
    card = (60 * len(patches), 0, 60, 60)
    found = [measure(photo, (60 * i + 5, 5, 50, 50), grey=card).colour for i in range(len(patches))]
    apart = [delta_e_2000(one, [other])[0] for one, other in zip(truth, found, strict=True)]
    assert float(np.mean(apart)) < 3.5


def test_checks_and_dots_on_paper_keep_their_mean_light() -> None:
    """Fine patterns, where averaging codes in place of light is up to 10 L* too dark."""
    for cloth in (checked, dotted):
        lit = on_paper([((110, 90, 420, 300), cloth(light((50, 0, 0)), 420, 300))], 640, 480, EVEN)
        assert measure(taken(lit), on_paper=True).colour.L == pytest.approx(50, abs=1)


def test_a_pencil_beside_the_cloth_lets_no_paper_in() -> None:
    """A pencil, a tape measure, and a finger coming in from the edge."""
    lit = on_paper([((500, 300, 650, 600), woven(light((45, -20, 15)), 650, 600))], 1600, 1200, EVEN)
    lit[950:956, 300:1200] = light((30, 0, 0))
    lit[100:140, 200:1400] = light((70, 10, 60))
    lit[1000:1200, 1100:1250] = light((65, 18, 18))
    found = measure(taken(lit, noise=3, jpeg=88), on_paper=True)
    assert found.colour.L == pytest.approx(45, abs=0.7)
    assert found.box[1] + found.box[3] <= 900 + 7  # to the block, which is 7 pixels here
