"""The pages in a browser: at the desk, and on phones of the workshop's network."""

import sys
from typing import TYPE_CHECKING, Annotated

import typer

from stores.cli import show
from stores.cli.app import PictureFolder, TemplateFolder, command, file_at, opened
from stores.errors import BadValue

if TYPE_CHECKING:
    from stores.web.devices import Device
    from stores.web.server import Opening

__all__: list[str] = []

PORT = 8711


@command(
    "serve",
    "stores serve",
    "stores serve --phone",
    "stores serve --secure",
    "stores serve --card card.pdf",
    "stores serve --devices",
    "stores serve --forget 2",
    records=False,
)
def serve(
    ctx: typer.Context,
    phone: Annotated[
        bool,
        typer.Option("--phone", help="Open it to phones on the local network, by a code."),
    ] = False,
    secure: Annotated[
        bool,
        typer.Option("--secure", help="The same over HTTPS, with a certificate of your own."),
    ] = False,
    port: Annotated[int, typer.Option(metavar="N", help="The port.")] = PORT,
    address: Annotated[
        str,
        typer.Option(
            metavar="ADDRESS", help="This computer's address on that network, if it has several."
        ),
    ] = "",
    card: Annotated[
        str,
        typer.Option(metavar="FILE", help="Print the address as a code for the wall, as PDF."),
    ] = "",
    devices: Annotated[
        bool, typer.Option("--devices", help="List the devices that are paired.")
    ] = False,
    forget: Annotated[
        str, typer.Option(metavar="N", help="Let the device of that number in no longer.")
    ] = "",
    pictures: PictureFolder = "",
    templates: TemplateFolder = "",
) -> None:
    """Open the stores in a browser: the whole job on a phone, a tablet or at the desk.

    By itself it is open to this computer only. With --phone a phone on the same Wi-Fi gets in by
    the code that is shown: it works once and for ten minutes, and the phone stays paired for 90
    days. Stop it with Ctrl-C.
    """
    if sum((bool(card), devices, bool(forget))) > 1:
        raise BadValue(
            "--card, --devices and --forget do one thing each: use one of them at a time"
        )
    if address and not (phone or secure or card):
        raise BadValue("--address is for phones: add --phone, or leave it out")
    with opened(ctx) as store:
        if devices or forget:
            _devices(ctx.obj, forget)
            return
        from stores.web.network import network_address

        on_network = network_address(address) if phone or secure or card else ""
        if card:
            _card(card, f"{'https' if secure else 'http'}://{on_network}:{port}")
            return
        from stores.web.server import serve as run

        try:
            run(
                store,
                ctx.obj,
                port=port,
                address=on_network,
                secure=secure,
                pictures=pictures,
                templates=templates,
                opened=_say_where,
                paired=_say_who,
            )
        except KeyboardInterrupt:
            return  # that is how it is stopped


def _say_where(opening: "Opening") -> None:
    """Say where it is open; with the code all of it fits a screen of 80 by 24."""
    if not opening.network:
        show.say(f"Open {opening.desk} in a browser. Stop with Ctrl-C.")
        show.say("For a phone: stores serve --phone")
        sys.stdout.flush()
        return
    if opening.kept:
        show.say(f"The paired devices are kept in {opening.kept}")
    if opening.fingerprint:
        show.say(f"The phone warns at first: {opening.network}/trust says what to do.")
        show.say("The certificate to trust, SHA-256:")
        half = len(opening.fingerprint) // 2 + 1
        show.say(f"  {opening.fingerprint[:half]}\n  {opening.fingerprint[half:]}")
    show.say(f"Here: {opening.desk}   Stop with Ctrl-C.")
    show.say(f"Phone: {opening.code}")
    _draw(opening.code)
    show.say(f"Works once, for ten minutes. Another code: {opening.desk}/devices")
    if not opening.fingerprint:
        show.say("Over HTTP somebody on this Wi-Fi can read along: --secure prevents it.")
    sys.stdout.flush()


def _draw(payload: str) -> None:
    """Draw a code, black on white whatever the terminal's colours are."""
    from stores.printing.qr import half_blocks

    try:
        "█▀▄".encode(sys.stdout.encoding or "ascii")
    except UnicodeError:
        show.say("(This terminal cannot draw the code: type the address.)")
        return
    for line in half_blocks(payload):
        typer.echo(f"\x1b[97;40m{line}\x1b[0m" if sys.stdout.isatty() else line)


def _say_who(device: "Device") -> None:
    show.say(f"Paired: {device.name} (device {device.number})")
    sys.stdout.flush()


def _devices(where: str, forget: str) -> None:
    from stores.text import day_words
    from stores.web.devices import moment
    from stores.web.server import devices_of
    from stores.wording import Listing

    kept = devices_of(where)
    if forget:
        if not (forget.isascii() and forget.isdigit() and len(forget) < 10):
            raise BadValue(
                f"{forget[:20]!r} is no number of a device: 'stores serve --devices' shows them"
            )
        device = kept.forget(int(forget))
        show.say(f"Forgotten: {device.name}. It must be paired again to get in.")
        return
    rows = [
        (str(each.number), each.name, day_words(moment(each.paired)), day_words(moment(each.seen)))
        for each in kept.listed()
    ]
    show.listing(
        Listing(("no.", "device", "paired", "last seen"), rows, right=(0,), empty="None is paired.")
    )
    if rows:
        show.paragraph(f"Kept in {kept.file}")
        show.say("To let one in no longer: stores serve --forget N")


def _card(card: str, address: str) -> None:
    from stores.printing.wall_card import write_wall_card

    printed = write_wall_card(
        file_at(card),
        address,
        (
            "1. The phone must be on the workshop's Wi-Fi.",
            "2. Scan the code with its camera, or type the address.",
            "3. The first time the phone must be paired: the computer shows how.",
        ),
    )
    show.say(str(printed.path))
    show.say(f"It says {address}: if the computer gets another address, print it again.")
