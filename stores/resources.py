"""Finding the folders of plain files that come with the program: label templates and the demo."""

from pathlib import Path

from stores.errors import StoresError

__all__ = ["folder"]


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
