"""What the commands that show a list share: the same list as CSV."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Annotated

import typer

from stores.cli import show
from stores.cli.app import file_at

__all__ = ["AsCsv", "to_csv"]

AsCsv = Annotated[
    str | None, typer.Option("--csv", metavar="FILE", help="Write the whole list to a CSV file.")
]


def to_csv(
    name: str, heads: Sequence[str], rows: Iterable[Sequence[object]], *, quiet: bool = False
) -> None:
    """Write a list as CSV for a spreadsheet, whole or not at all, and say where it is.

    UTF-8 with a byte order mark; a text that a spreadsheet would take for a formula is made
    harmless. Rows are written as they come, so that a long list takes no memory.

    Raises:
        PrintError, BadValue: a file that cannot be written.
    """
    from stores.printing.files import put

    path = file_at(name)
    put(path, _pieces(heads, rows))
    if not quiet:
        show.say(str(path))


def _pieces(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> Iterator[bytes]:
    import csv
    import io

    from stores.printing.files import harmless

    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    yield b"\xef\xbb\xbf"
    writer.writerow(heads)
    for row in rows:
        writer.writerow([cell if isinstance(cell, int) else harmless(str(cell)) for cell in row])
        if out.tell() > 1 << 16:
            yield out.getvalue().encode("utf-8")
            out.seek(0)
            out.truncate()
    yield out.getvalue().encode("utf-8")
