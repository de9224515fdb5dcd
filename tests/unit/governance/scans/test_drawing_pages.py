"""Pages as pictures, by what stands at known places of files that are made here.

What this cannot show: that PDFium draws every PDF as another program would.
"""

from __future__ import annotations

import io
from typing import Any

import pytest
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from governance.scans.drawing import rendering
from governance.scans.drawing.rendering import drawn_pages

Colour = tuple[int, int, int]
RED, BLUE, GREEN, WHITE = (220, 20, 20), (20, 20, 220), (20, 180, 20), (255, 255, 255)


def drawn(content: bytes, media_type: str, page: int = 1, width: int = 900) -> Image.Image:
    """The picture of one page."""
    [(number, data)] = list(drawn_pages(io.BytesIO(content), media_type, [page], width))
    assert number == page
    assert isinstance(data, bytes), data
    picture = Image.open(io.BytesIO(data))
    assert picture.format == "PNG"
    return picture


def at(picture: Image.Image, x: float, y: float) -> Colour:
    """The colour at a place, from 0 to 1 of width and height."""
    found = picture.convert("RGB").getpixel((int(x * picture.width), int(y * picture.height)))
    assert isinstance(found, tuple)
    return found[:3]  # type: ignore[return-value]


def is_near(found: Colour, wanted: Colour) -> bool:
    return all(abs(one - other) < 40 for one, other in zip(found, wanted, strict=True))


def canvas(width: float = 600, height: float = 800) -> tuple[Canvas, io.BytesIO]:
    file = io.BytesIO()
    return Canvas(file, pagesize=(width, height), invariant=1), file


# PDF ------------------------------------------------------------------------------------------------------------------


def test_square_lands_where_it_was_drawn() -> None:
    """A square of 60 points, its lower left corner at (120, 500) of 600 by 800, counted from below (ISO 32000-1, 8.3).

    At 900 pixels a point is 1.5: x from 180 to 270, and from above y from (800 - 560) * 1.5 = 360 to 450.
    """
    pdf, file = canvas()
    pdf.rect(120, 500, 60, 60, stroke=0, fill=1)
    pdf.save()
    picture = drawn(file.getvalue(), "application/pdf")
    assert picture.size == (900, 1200)
    assert picture.mode == "L"  # no colour on the page
    for inside in [(181, 361), (268, 361), (181, 448), (268, 448)]:
        assert picture.getpixel(inside) == 0, inside
    for beside in [(178, 405), (272, 405), (225, 357), (225, 453)]:
        assert picture.getpixel(beside) == 255, beside


def test_colour_stays() -> None:
    pdf, file = canvas()
    pdf.setFillColorRGB(1, 0, 0)
    pdf.rect(0, 0, 600, 400, stroke=0, fill=1)
    pdf.save()
    picture = drawn(file.getvalue(), "application/pdf")
    assert (at(picture, 0.5, 0.25), at(picture, 0.5, 0.75)) == (WHITE, (255, 0, 0))


def test_turned_page_is_drawn_upright() -> None:
    """/Rotate 90 (ISO 32000-1, table 30: clockwise): the lower left corner of the sheet is its upper left one then.

    reportlab writes the sheet of such a page as 800 wide and 600 high, so upright it is 600 by 800.
    """
    pdf, file = canvas()
    pdf.setPageRotation(90)
    pdf.rect(0, 0, 150, 150, stroke=0, fill=1)
    pdf.save()
    picture = drawn(file.getvalue(), "application/pdf")
    assert b"/MediaBox [ 0 0 800 600 ]" in file.getvalue()
    assert picture.size == (900, 1200)
    assert (at(picture, 0.05, 0.05), at(picture, 0.05, 0.95)) == ((0, 0, 0), WHITE)


def test_each_page_is_its_own() -> None:
    pdf, file = canvas()
    for height in (100, 200, 300):
        pdf.setPageSize((600, height))
        pdf.showPage()
    pdf.save()
    found = dict(drawn_pages(io.BytesIO(file.getvalue()), "application/pdf", [1, 3], 160))
    sizes = {number: Image.open(io.BytesIO(data)).size for number, data in found.items() if isinstance(data, bytes)}
    assert sizes == {1: (160, 27), 3: (160, 80)}  # 160 * 100 / 600, 160 * 300 / 600


def test_page_beyond_the_end_says_so_and_stops_nothing() -> None:
    pdf, file = canvas()
    pdf.showPage()
    pdf.save()
    found = dict(drawn_pages(io.BytesIO(file.getvalue()), "application/pdf", [1, 2], 160))
    assert isinstance(found[1], bytes)
    assert isinstance(found[2], str)
    assert found[2]


def test_what_is_filled_into_a_form_shows() -> None:
    """A consent is often a form: drawn without its values it would look empty."""

    def dark(value: str) -> int:
        pdf, file = canvas()
        pdf.acroForm.textfield(name="days", value=value, x=60, y=600, width=300, height=40)
        pdf.showPage()
        pdf.save()
        return sum(drawn(file.getvalue(), "application/pdf").convert("L").histogram()[:100])

    assert dark("1 May to 14 June 2024") > dark("") + 300


def test_pages_of_any_size_stay_small() -> None:
    """14400 points is the most that a page may have (ISO 32000-1, annex C)."""
    pdf, file = canvas(10, 14400)
    pdf.showPage()
    pdf.save()
    # 4 times as high as asked, and 640 * 10 / 14400 = 0.4: one pixel wide
    assert drawn(file.getvalue(), "application/pdf", width=160).size == (1, 640)


# Images ---------------------------------------------------------------------------------------------------------------


def quarters() -> Image.Image:
    """As stored: red above left, blue above right, green below left, white below right."""
    picture = Image.new("RGB", (320, 160), WHITE)
    for colour, corner in ((RED, (0, 0)), (BLUE, (160, 0)), (GREEN, (0, 80))):
        picture.paste(colour, (*corner, corner[0] + 160, corner[1] + 80))
    return picture


def saved(picture: Image.Image, form: str, **options: Any) -> bytes:
    file = io.BytesIO()
    picture.save(file, form, **options)
    return file.getvalue()


SIDES = {
    1: ("top", "left"), 2: ("top", "right"), 3: ("bottom", "right"), 4: ("bottom", "left"),
    5: ("left", "top"), 6: ("right", "top"), 7: ("right", "bottom"), 8: ("left", "bottom"),
}  # fmt: skip
"""Tag 274, Orientation: at which side the first row and at which the first column is seen (TIFF 6.0, page 36; the same
in Exif 2.32, 4.6.4, table 4: from memory)."""

OPPOSITE = {"top": "bottom", "bottom": "top", "left": "right", "right": "left"}


def seen_at(*sides: str) -> tuple[float, float]:
    """The middle of the quarter at two sides."""
    return (0.25 if "left" in sides else 0.75), (0.25 if "top" in sides else 0.75)


@pytest.mark.parametrize("form", ["JPEG", "TIFF"])
@pytest.mark.parametrize("value", sorted(SIDES))
def test_orientation_of_the_camera_is_applied(form: str, value: int) -> None:
    row, column = SIDES[value]
    exif = Image.Exif()
    exif[274] = value
    options: dict[str, Any] = {"quality": 95} if form == "JPEG" else {}
    picture = drawn(saved(quarters(), form, exif=exif, **options), f"image/{form.lower()}")
    assert picture.size == ((320, 160) if value < 5 else (160, 320))
    assert is_near(at(picture, *seen_at(row, column)), RED)
    assert is_near(at(picture, *seen_at(row, OPPOSITE[column])), BLUE)
    assert is_near(at(picture, *seen_at(OPPOSITE[row], column)), GREEN)


def test_metadata_stay_behind() -> None:
    exif = Image.Exif()
    exif[0x010F], exif[0x013B] = "Invented Camera Works", "Nino Berishvili"
    exif.get_ifd(0x8825)[1] = "N"
    picture = drawn(saved(quarters(), "JPEG", exif=exif, comment=b"at home", icc_profile=b"x" * 200), "image/jpeg")
    assert picture.info == {}
    assert not picture.getexif()


def test_photograph_is_not_enlarged_and_a_large_one_shrinks() -> None:
    assert drawn(saved(quarters(), "PNG"), "image/png").size == (320, 160)
    assert drawn(saved(quarters().resize((4000, 2000)), "JPEG"), "image/jpeg").size == (900, 450)


def test_frames_of_a_tiff_are_its_pages() -> None:
    frames = [Image.new("L", (40, 60), grey) for grey in (0, 100, 200)]
    content = saved(frames[0], "TIFF", save_all=True, append_images=frames[1:])
    assert [drawn(content, "image/tiff", page).getpixel((20, 30)) for page in (1, 2, 3)] == [0, 100, 200]


def test_what_is_clear_is_white_paper() -> None:
    clear = Image.new("RGBA", (40, 40), (0, 0, 0, 0))
    clear.paste((20, 20, 220, 255), (0, 0, 20, 40))
    picture = drawn(saved(clear, "PNG"), "image/png")
    assert is_near(at(picture, 0.25, 0.5), BLUE)
    assert at(picture, 0.75, 0.5) == WHITE


@pytest.mark.parametrize(
    ("mode", "value", "grey"),
    [("1", 1, 255), ("L", 77, 77), ("I;16", 77 * 256, 77), ("P", 0, 0), ("LA", (77, 255), 77)],
)
def test_kinds_of_pixels(mode: str, value: Any, grey: int) -> None:
    content = saved(Image.new(mode, (40, 40), value), "PNG")
    assert at(drawn(content, "image/png"), 0.5, 0.5) == (grey,) * 3


def test_four_inks_become_three_colours() -> None:
    content = saved(Image.new("CMYK", (40, 40), (0, 255, 255, 0)), "TIFF")  # no cyan: red
    assert is_near(at(drawn(content, "image/tiff"), 0.5, 0.5), (255, 0, 0))


def test_heic_of_a_telephone() -> None:
    pillow_heif = pytest.importorskip("pillow_heif")
    pillow_heif.register_heif_opener()
    picture = drawn(saved(quarters(), "HEIF", quality=95), "image/heic")
    assert picture.size == (320, 160)
    assert is_near(at(picture, 0.25, 0.25), RED)


def test_content_is_opened_as_what_it_is_alone() -> None:
    """A PNG that is said to be a TIFF is not tried as anything else."""
    with pytest.raises(OSError, match="cannot identify"):
        list(drawn_pages(io.BytesIO(saved(quarters(), "PNG")), "image/tiff", [1], 160))


def test_image_with_too_many_pixels_is_not_unpacked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rendering, "MOST_PIXELS", 320 * 160 - 1)
    [(_, told)] = list(drawn_pages(io.BytesIO(saved(quarters(), "PNG")), "image/png", [1], 160))
    assert isinstance(told, str)
    assert "320 by 160 pixels" in told


def test_broken_image_says_so() -> None:
    content = saved(quarters().resize((800, 800)), "PNG")
    [(_, told)] = list(drawn_pages(io.BytesIO(content[: len(content) // 2]), "image/png", [1], 160))
    assert isinstance(told, str)
    assert told.startswith("OSError")
