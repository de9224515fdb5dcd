"""Images: their size before anything is decoded, then whether all of them can be. Runs in the child process."""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import Any

from governance.scans.checking.found import MOST_PIXELS, Found, Unfit
from governance.scans.checking.kinds import Kind

MOST_FRAMES = 1000

_FORMATS = {Kind.JPEG: ["JPEG", "MPO"], Kind.PNG: ["PNG"], Kind.TIFF: ["TIFF"], Kind.HEIC: ["HEIF"]}


def look(path: Path, kind: Kind) -> Found:
    """A sound image.

    Raises:
        Unfit: it cannot be decoded to its end, or it is too large to be.
    """
    from PIL import Image

    if kind is Kind.HEIC:
        from pillow_heif import register_heif_opener

        register_heif_opener()
    warnings.simplefilter("ignore")
    Image.MAX_IMAGE_PIXELS = None  # the limit is ours, and is asked before decoding
    try:
        with Image.open(path, formats=_FORMATS[kind]) as image:
            frames = _frames(image) if kind is Kind.TIFF else 1
            for number in range(frames):
                _decode(image, number if frames > 1 else None)
    except (Unfit, MemoryError):
        raise
    except Exception as error:  # a damaged image breaks its decoder in many ways
        raise Unfit("damaged-image", kind=kind.name.lower()) from error
    return Found(kind, page_count=frames)


def _frames(image: Any) -> int:
    frames: int = image.n_frames
    if frames > MOST_FRAMES:
        raise Unfit("too-many-pages", pages=frames, most=MOST_FRAMES)
    return frames


def _decode(image: Any, frame: int | None) -> None:
    if frame is not None:
        image.seek(frame)
    width, height = image.size
    if width * height > MOST_PIXELS:
        raise Unfit("image-too-large", width=width, height=height, most=MOST_PIXELS)
    image.load()
