"""Writing what the rebuild needs: its order, what goes in, what is measured, tight and signed."""

from stores.storage import rows

__all__ = ["PlanWriter"]


class PlanWriter:
    """The part of the one writer that appends to the plan of the rebuild."""

    def refit_link(self, act: int, first: int, then: int, kind: str, reason: str = "") -> None:
        """Write down what a person says of the order of two steps; "" takes it back."""
        self._add(
            rows.RefitLinkRow(act_id=act, first_id=first, then_id=then, kind=kind, reason=reason)
        )

    def step_choice(self, act: int, step: int, name: str, value: str) -> None:
        """Write down something said of a step for its refit; an empty value takes it back."""
        self._add(rows.StepChoiceRow(act_id=act, step_id=step, name=name, value=value))

    def setting(self, act: int, machine: int | None, name: str, value: str) -> None:
        """Write down a choice for a machine, or the whole stores; an empty value is none."""
        self._add(rows.SettingRow(act_id=act, machine_id=machine, name=name, value=value))

    def fitting(self, act: int, step: int, item: int | None, kind: str, text: str) -> None:
        """Write down what goes in with a step or an item; an empty text takes it back."""
        self._add(rows.FittingRow(act_id=act, step_id=step, item_id=item, kind=kind, text=text))

    def check_point(
        self,
        act: int,
        step: int,
        name: str,
        key: str,
        *,
        low: int | None,
        high: int | None,
        unit: str,
        source: str = "",
    ) -> int:
        """Write down something to measure; limits in thousandths. An empty unit takes it back."""
        row = rows.CheckPointRow(
            act_id=act, step_id=step, name=name, key=key, low=low, high=high, unit=unit,
            source=source,
        )  # fmt: skip
        self._add(row)
        return row.id or 0

    def checked(self, act: int, point: int, thousandths: int, written: str) -> None:
        """Write down what was measured at a point."""
        self._add(
            rows.CheckedRow(act_id=act, point_id=point, thousandths=thousandths, written=written)
        )

    def tightened(
        self,
        act: int,
        item: int,
        quantity: int,
        how: str,
        *,
        torque_mnm: int | None = None,
        state: str = "",
        written: str = "",
    ) -> None:
        """Write down how pieces of an item were left."""
        self._add(
            rows.TightenedRow(
                act_id=act,
                item_id=item,
                quantity=quantity,
                how=how,
                torque_mnm=torque_mnm,
                state=state,
                written=written,
            )
        )

    def signature(self, act: int, step: int, role: str, name: str, note: str = "") -> None:
        """Write down who signed for a step."""
        self._add(rows.SignatureRow(act_id=act, step_id=step, role=role, name=name, note=note))

    def _add(self, row: object) -> None:
        raise NotImplementedError
