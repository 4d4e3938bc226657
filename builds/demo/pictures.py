"""Photos and drawings of the demo, drawn here: side views of cars and parts, with Pillow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from django.conf import settings
from django.core.files.base import ContentFile
from PIL import Image, ImageDraw, ImageFont

SIZE = (1200, 800)
FLOOR, WALL, INK, STEEL = (203, 196, 178), (236, 231, 217), (28, 32, 36), (150, 152, 150)

Points = Sequence[tuple[int, int]]


@dataclass(frozen=True)
class CarShape:
    """A side view in a box of 1000 by 300, nose to the right: outline, glass, wheels or trestles."""

    body: Points
    glass: Points
    colour: tuple[int, int, int]
    wheels: tuple[int, int] = (190, 800)
    on_trestles: bool = False


SHAPES = {
    "Tern": CarShape(
        ((20, 150), (120, 110), (330, 40), (560, 40), (690, 120), (950, 150), (985, 215), (20, 225)),
        ((210, 105), (345, 56), (545, 56), (660, 118)),
        (74, 98, 112),
    ),
    "Skua": CarShape(
        (
            (25, 140),
            (300, 130),
            (430, 130),
            (600, 128),
            (640, 85),
            (660, 128),
            (955, 150),
            (985, 215),
            (25, 225),
        ),
        ((600, 128), (638, 88), (650, 128)),
        (122, 84, 60),
    ),
    "Gannet": CarShape(
        ((30, 130), (210, 120), (290, 45), (600, 45), (700, 125), (940, 140), (975, 215), (30, 225)),
        ((240, 115), (302, 60), (590, 60), (670, 120)),
        (150, 146, 132),
    ),
    "Petrel": CarShape(
        ((30, 60), (60, 45), (610, 45), (710, 125), (945, 145), (980, 215), (30, 225)),
        ((70, 110), (80, 60), (600, 60), (675, 118)),
        (176, 170, 160),
        on_trestles=True,
    ),
}


def car_picture(name: str) -> ContentFile[bytes]:
    """A car in its bay, as a PNG."""
    shape = SHAPES[name]
    image, draw = _bay()
    _polygon(draw, shape.body, shape.colour)
    _polygon(draw, shape.glass, (214, 222, 222))
    for x in shape.wheels:
        if shape.on_trestles:
            _trestle(draw, x)
        else:
            _wheel(draw, x)
    _caption(draw, f"{name}, {'on trestles' if shape.on_trestles else 'in the bay'}")
    return _png(image)


def part_picture(name: str, count: int) -> ContentFile[bytes]:
    """So many pieces laid out on the bench, as a PNG."""
    image, draw = _bay()
    shown = min(count, 8)
    width = 900 // shown
    for number in range(shown):
        x = 150 + number * width
        draw.rounded_rectangle((x, 330, x + width - 30, 470), radius=18, fill=STEEL, outline=INK, width=5)
        for hole in (x + 26, x + width - 56):
            draw.ellipse((hole - 13, 387, hole + 13, 413), fill=FLOOR, outline=INK, width=4)
    _caption(draw, f"{name}, {count} off")
    return _png(image)


def drawing_picture(
    title: str, number: str, revision: str, sizes: tuple[int, int, int]
) -> ContentFile[bytes]:
    """A dimensioned outline with a title block, as a PNG."""
    image = Image.new("RGB", (1400, 990), "white")
    draw = ImageDraw.Draw(image)
    draw.rectangle((20, 20, 1380, 970), outline=INK, width=4)
    length, _, height = sizes
    scale = min(900 / length, 420 / height)
    wide, tall = length * scale, height * scale
    left, top = 700 - wide / 2, 420 - tall / 2
    draw.rectangle((left, top, left + wide, top + tall), outline=INK, width=5)
    draw.line((left, top + tall + 60, left + wide, top + tall + 60), fill=INK, width=2)
    draw.text((680, top + tall + 70), f"{length}", fill=INK, font=_font(30))
    draw.line((left - 60, top, left - 60, top + tall), fill=INK, width=2)
    draw.text((left - 140, 405), f"{height}", fill=INK, font=_font(30))
    for x, words in ((820, title), (1080, number), (1280, f"rev {revision}")):
        draw.line((x - 20, 880, x - 20, 970), fill=INK, width=3)
        draw.text((x, 905), words, fill=INK, font=_font(28))
    draw.line((800, 880, 1380, 880), fill=INK, width=3)
    draw.text((40, 925), "mm, invented part of a demo workshop", fill=INK, font=_font(22))
    return _png(image)


def _bay() -> tuple[Image.Image, ImageDraw.ImageDraw]:
    image = Image.new("RGB", SIZE, WALL)
    draw = ImageDraw.Draw(image)
    draw.rectangle((0, 560, *SIZE), fill=FLOOR)
    for x in range(0, 1200, 150):
        draw.line((x, 0, x, 560), fill=(224, 218, 202), width=3)
    return image, draw


def _polygon(draw: ImageDraw.ImageDraw, points: Points, colour: tuple[int, int, int]) -> None:
    placed = [(100 + x, 330 + y) for x, y in points]
    draw.polygon(placed, fill=colour)
    draw.line([*placed, placed[0]], fill=INK, width=6, joint="curve")


def _wheel(draw: ImageDraw.ImageDraw, x: int) -> None:
    x, y = x + 100, 550
    draw.ellipse((x - 68, y - 68, x + 68, y + 68), fill=INK)
    draw.ellipse((x - 38, y - 38, x + 38, y + 38), fill=STEEL)


def _trestle(draw: ImageDraw.ImageDraw, x: int) -> None:
    x += 100
    draw.line((x, 555, x - 60, 690), fill=INK, width=12)
    draw.line((x, 555, x + 60, 690), fill=INK, width=12)
    draw.line((x - 80, 555, x + 80, 555), fill=INK, width=14)


def _caption(draw: ImageDraw.ImageDraw, words: str) -> None:
    draw.text((40, 735), words, fill=INK, font=_font(34))


def _font(size: int) -> ImageFont.FreeTypeFont:
    folders = [Path(entry[1]) for entry in settings.STATICFILES_DIRS if isinstance(entry, tuple)]
    name = "AtkinsonHyperlegible-Regular.ttf"
    return ImageFont.truetype(next(folder / name for folder in folders if (folder / name).exists()), size)


def _png(image: Image.Image) -> ContentFile[bytes]:
    buffer = BytesIO()
    image.save(buffer, "PNG")
    return ContentFile(buffer.getvalue(), name="drawn.png")
