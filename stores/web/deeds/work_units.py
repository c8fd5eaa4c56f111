"""The units a person works in."""

from stores.model.work_units import SYSTEMS, TORQUES, VOLUMES
from stores.web.forms import Deed, Field, Inquiry

DEEDS = (
    Deed(
        "units", "The units you work in", "Record it",
        "work_units:set_units", "work_units:SetUnits", "work_units:recorded",
        Field("system", "Both at once", "choice", choices=("", *SYSTEMS)),
        Field("torque", "Torques", "choice", choices=("", *TORQUES), option="--torque", more=True),
        Field("volume", "Volumes", "choice", choices=("", *VOLUMES), option="--volume", more=True),
        intro="Shown on pages and on every sheet; N m and ml are shown in brackets beside.",
    ),
)  # fmt: skip
INQUIRIES = (
    Inquiry("units", "The units chosen", "Show", "work_units:units_chosen", "",
            "work_units:shown"),
)  # fmt: skip
