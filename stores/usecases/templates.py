"""Where a person's own label stock, label layouts and survey lists are."""

from pathlib import Path

from stores.text import path_of

__all__ = ["TEMPLATES", "template_folder"]

TEMPLATES = "templates"
"""What the folder of one's own templates beside ``teasel.db`` ends in."""


def template_folder(stores: str, named: str = "") -> Path | None:
    """Return the folder of a person's own templates: the one ``named``, or that beside the file
    ``stores``; None where there is none, or the stores is no file."""
    if named:
        return path_of(named).absolute()
    if "://" in stores:
        return None
    file = Path(stores).absolute()
    if not file.name:  # the root of all folders: it is refused where it is opened
        return None
    beside = file.with_name(f"{file.stem}.{TEMPLATES}")
    return beside if beside.is_dir() else None
