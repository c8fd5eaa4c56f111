"""Small pictures with EXIF as a camera writes it, made by Pillow."""

from pathlib import Path

from PIL import Image


def exif(
    taken: str = "", *, offset: str = "", turned: int = 0, digitized: str = "", part: str = ""
) -> Image.Exif:
    made = Image.Exif()
    if turned:
        made[0x0112] = turned
    inner = made.get_ifd(0x8769)
    for tag, text in ((0x9003, taken), (0x9004, digitized), (0x9011, offset), (0x9291, part)):
        if text:
            inner[tag] = text
    return made


def picture(
    file: Path,
    taken: str = "",
    size: tuple[int, int] = (40, 30),
    *,
    colour: str = "teal",
    **more: object,
) -> Path:
    """Write a JPEG or PNG, by the suffix; a name without one gets a JPEG."""
    image = Image.new("RGB", size, colour)
    form = "PNG" if file.suffix == ".png" else "JPEG"
    image.save(file, form, exif=exif(taken, **more))
    return file


def noise(
    file: Path, size: tuple[int, int] = (600, 400), form: str = "JPEG", **more: object
) -> Path:
    """Write a picture that fills many bytes, so that it can be cut short in its middle."""
    Image.effect_noise(size, 80).convert("RGB").save(file, form, **more)
    return file
