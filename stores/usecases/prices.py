"""What things cost, and in which currency."""

from stores.errors import Refused
from stores.handbook.benchline import read_line
from stores.model.ledger import ActKind, PlaceKind
from stores.planning.money import read_currency, read_money, show_money
from stores.storage import Store
from stores.storage.settings import SettingRow, read_settings
from stores.text import clean
from stores.usecases.common import Done, count_of, refuse_beside

__all__ = ["set_currency", "set_price"]


def set_price(
    store: Store,
    what: str,
    price: str,
    *,
    pack: int | None = None,
    supplier: str = "",
    at: str | None = None,
) -> Done:
    """Write down what a supplier asks for a pack of something; "none" where it is not known.

    Raises:
        BadValue: not a sum of money.
    """
    supplier = clean(supplier, "the supplier", most=80, empty=True)
    line = read_line(what)
    refuse_beside(line, "price", "say what it is, as M6x25 hex")
    if line.counted:
        raise Refused("a price is of a pack: leave the count out, and say --pack 50")
    asked = None if price.strip().casefold() == "none" else read_money(price)
    size = count_of(pack) or 1
    with store.writing() as writer:
        currency = read_settings(writer.connection).get("currency", "")
        if supplier:
            supplier = writer.firm(PlaceKind.BOUGHT, supplier).name
        text = line.thing.spec
        said = "not known" if asked is None else show_money(asked, currency)
        whose = f" from {supplier}" if supplier else ""
        packed = f" for a pack of {size}" if size > 1 else ""
        act = writer.begin(ActKind.PRICE, f"{text}{whose}: {said}{packed}", at=at)
        writer.price(act, writer.description(line.thing), supplier, size, asked, currency)
    return Done(
        act,
        (f"{text}{whose}: {said}{packed}",),
        data={"act": act, "what": text, "pack": size, "price": asked, "currency": currency},
    )


def set_currency(store: Store, text: str, *, at: str | None = None) -> Done:
    """Say in which currency sums are from now on; what is on record keeps its own.

    Raises:
        BadValue: not three letters.
    """
    code = read_currency(text)
    with store.writing() as writer:
        act = writer.begin(ActKind.SETTING, f"currency {code}", at=at)
        writer.append(SettingRow(act_id=act, machine_id=None, name="currency", value=code))
    return Done(
        act,
        (f"Sums are in {code} from now on.",),
        ("Orders and prices on record keep the currency they were written in.",),
        data={"act": act, "currency": code},
    )
