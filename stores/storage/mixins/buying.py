"""Writing what is renewed, ordered, received, and what it costs."""

from sqlalchemy import func
from sqlmodel import Session, select

from stores.storage import rows

__all__ = ["BuyingWriter"]


class BuyingWriter:
    """The part of the one writer that appends rules, orders, receipts and prices."""

    _session: Session

    def renew_rule(self, act: int, name: str, key: str, reason: str, *, renew: bool) -> None:
        """Write down that a kind is always renewed, or no longer."""
        self._add(
            rows.RenewRuleRow(act_id=act, name=name, key=key, renew=int(renew), reason=reason)
        )

    def renew_choice(self, act: int, item: int, renew: int, reason: str) -> None:
        """Write down what was decided of an item: 1 a new one, 0 used again, -1 by the rule."""
        self._add(rows.RenewChoiceRow(act_id=act, item_id=item, renew=renew, reason=reason))

    def next_purchase(self) -> int:
        """Give the next number of an order: none is used twice."""
        return int(self._session.exec(select(func.max(rows.PurchaseRow.number))).one() or 0) + 1

    def purchase(
        self,
        act: int,
        number: int,
        machine: int,
        place: int,
        *,
        note: str = "",
        currency: str = "",
        carriage: int | None = None,
    ) -> int:
        """Write down an order with a supplier; ``carriage`` in hundredths."""
        row = rows.PurchaseRow(
            act_id=act, number=number, machine_id=machine, place_id=place, note=note,
            currency=currency, carriage=carriage,
        )  # fmt: skip
        self._add(row)
        return row.id or 0

    def purchase_line(
        self,
        act: int,
        purchase: int,
        line: int,
        *,
        words: str,
        quantity: int,
        description: int | None = None,
        item: int | None = None,
        pack: int = 1,
        price: int | None = None,
    ) -> None:
        """Write down one line of an order; the newest of a line counts. ``price`` of it all."""
        self._add(
            rows.PurchaseLineRow(
                act_id=act, purchase_id=purchase, line=line, description_id=description,
                item_id=item, words=words, quantity=quantity, pack=pack, price=price,
            )
        )  # fmt: skip

    def purchase_event(self, act: int, purchase: int, event: str, value: str) -> None:
        """Write down what is known of an order: promised, paid, cancelled; "" takes it away."""
        self._add(rows.PurchaseEventRow(act_id=act, purchase_id=purchase, event=event, value=value))

    def receipt(self, act: int, line: int, item: int | None, quantity: int, outcome: str) -> None:
        """Write down pieces of a line that were received, sent back or cancelled."""
        self._add(
            rows.ReceiptRow(
                act_id=act, line_id=line, item_id=item, quantity=quantity, outcome=outcome
            )
        )

    def price(
        self, act: int, description: int, supplier: str, pack: int, price: int | None, currency: str
    ) -> None:
        """Write down what a supplier asks for a pack; None where it is no longer known."""
        self._add(
            rows.PriceRow(
                act_id=act, description_id=description, supplier=supplier, pack=pack, price=price,
                currency=currency,
            )
        )  # fmt: skip

    def spare_rule(
        self, act: int, name: str, key: str, per_cent: int, least: int, most_price: int | None
    ) -> None:
        """Write down how many spares to buy of a kind; 0 per cent and 0 at least is no rule."""
        self._add(
            rows.SpareRuleRow(
                act_id=act, name=name, key=key, per_cent=per_cent, least=least,
                most_price=most_price,
            )
        )  # fmt: skip

    def _add(self, row: object) -> None:
        raise NotImplementedError
