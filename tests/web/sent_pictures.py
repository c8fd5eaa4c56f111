"""Pictures as a phone sends them, and files that only claim to be: made for these tests."""

import io
import struct
import zlib
from pathlib import Path

import numpy as np
import pypdfium2
from PIL import Image, ImageFilter

from stores.storage import open_store
from stores.usecases.context import Context
from stores.usecases.labels import AskLabels, labels


def jpeg(shade: int = 0, size: tuple[int, int] = (640, 480)) -> bytes:
    """A picture whose content goes by its shade, however near another's that is."""
    made = io.BytesIO()
    Image.new("RGB", size, (shade % 256, 120, 200)).save(made, "JPEG", comment=b"%d" % shade)
    return made.getvalue()


def printed_label(record: Path, code: str, folder: Path) -> Image.Image:
    """The label of a bag, printed by the stores and seen at 300 dots an inch."""
    from stores.printing.labels import write_labels

    with open_store(str(record)) as store:
        values = labels(Context(store), AskLabels("bag", (code,))).labels
    file = folder / f"{code}.pdf"
    write_labels(values, file, outlines=True)
    page = pypdfium2.PdfDocument(file)[0].render(scale=300 / 72).to_pil().convert("RGB")
    ink = np.asarray(page.convert("L")) < 250
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    return page.crop((columns[0], rows[0], columns[-1] + 1, rows[-1] + 1))


def photograph(
    label: Image.Image,
    size: tuple[int, int] = (2400, 1800),
    share: float = 0.3,
    turn: float = 17,
    at: tuple[float, float] = (0.4, 0.3),
) -> Image.Image:
    """A label lying on a bench: tilted, a little blurred, on a grey that is not even.

    ``share`` is its width of the picture's, ``turn`` in degrees, ``at`` its corner as shares.
    """
    noise = Image.effect_noise((size[0] // 4, size[1] // 4), 60).resize(size).convert("RGB")
    bench = Image.blend(noise, Image.new("RGB", size, (120, 104, 84)), 0.6)
    width = round(size[0] * share)
    small = label.resize((width, round(label.height * width / label.width)), Image.LANCZOS)
    laid = small.convert("RGBA").rotate(turn, Image.Resampling.BICUBIC, expand=True)
    bench.paste(laid, (round(size[0] * at[0]), round(size[1] * at[1])), laid)
    return bench.filter(ImageFilter.GaussianBlur(1.2))


def saved(picture: Image.Image, path: Path) -> Path:
    picture.save(path, quality=88)
    return path


def film(picture: Image.Image, path: Path, frames: int = 4) -> Path:
    """Write a picture as an uncompressed film, which a browser takes for what its camera sees."""
    width, height = picture.size
    y, cb, cr = picture.convert("YCbCr").split()
    half = (width // 2, height // 2)
    planes = [y, cb.resize(half), cr.resize(half)]
    with path.open("wb") as file:
        file.write(f"YUV4MPEG2 W{width} H{height} F10:1 Ip A1:1 C420jpeg\n".encode())
        for _ in range(frames):
            file.write(b"FRAME\n" + b"".join(each.tobytes() for each in planes))
    return path


def _chunk(kind: bytes, data: bytes) -> bytes:
    crc = zlib.crc32(kind + data).to_bytes(4, "big")
    return len(data).to_bytes(4, "big") + kind + data + crc


def bomb() -> bytes:
    """A PNG of 30,000 x 30,000 pixels in some hundred kilobytes (PNG: ISO/IEC 15948, 11.2)."""
    side = 30_000
    header = struct.pack(">IIBBBBB", side, side, 1, 0, 0, 0, 0)
    row = bytes(1 + side // 8)
    packer = zlib.compressobj(9)
    data = b"".join(packer.compress(row) for _ in range(side)) + packer.flush()
    return (
        b"\x89PNG\r\n\x1a\n"
        + _chunk(b"IHDR", header)
        + _chunk(b"IDAT", data)
        + _chunk(b"IEND", b"")
    )


def broken() -> bytes:
    """The first half of a JPEG."""
    made = io.BytesIO()
    Image.effect_noise((600, 400), 80).convert("RGB").save(made, "JPEG")
    return made.getvalue()[: made.tell() // 2]


NOT_PICTURES = {
    "drawing": ("a.jpg", b"<svg xmlns='x'><script>alert(1)</script></svg>"),
    "text": ("a.jpg", b"nothing but words"),
    "broken": ("a.jpg", broken()),
    "bomb": ("a.png", bomb()),
    "empty": ("a.jpg", b""),
}
