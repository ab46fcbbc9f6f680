"""The one Pint registry that every quantity of Potash belongs to."""

from typing import TYPE_CHECKING, Any, TypeAlias

import pint

ureg: Any = pint.get_application_registry()  # type: ignore[no-untyped-call]

if TYPE_CHECKING:
    Quantity: TypeAlias = pint.Quantity[Any]
else:
    Quantity = ureg.Quantity

__all__ = ["Quantity", "ureg"]
