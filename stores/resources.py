"""Finding the folders of plain files that come with the program: label templates and the demo."""

from pathlib import Path

from stores.errors import StoresError

__all__ = ["folder", "places", "templates"]


def folder(name: str) -> Path:
    """Give the folder ``label_templates`` or ``demo``.

    In an installed package it lies inside the package; in a checkout, beside it.

    Raises:
        StoresError: there is no such folder, so the installation is incomplete.
    """
    package = Path(__file__).resolve().parent
    places = [package / name]
    if (package.parent / "pyproject.toml").is_file():
        places.append(package.parent / name)
    for place in places:
        if place.is_dir():
            return place
    raise StoresError(
        f"the folder {name} is missing from the installation at {package}: install stores again"
    )


def places(kind: str, own: Path | None = None) -> list[Path]:
    """Give where label templates of a kind (``stock``, ``layouts``, ``surveys``) are looked for: a
    person's ``own`` folder, the folder of the kind in it first, comes before the built-in one."""
    mine = [] if own is None else [own / kind, own]
    return [*mine, folder("label_templates") / kind]


def templates(kind: str, ending: str, own: Path | None = None) -> dict[str, Path]:
    """Give the files of a kind by their name, lower case and without the ``ending``: of two of one
    name the person's own."""
    found: dict[str, Path] = {}
    for place in places(kind, own):
        for path in sorted(place.glob(f"*{ending}")):
            found.setdefault(path.stem.lower(), path)
    return found
