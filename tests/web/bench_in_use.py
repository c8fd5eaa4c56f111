"""A record in the middle of the work, with something on every page and names that are hard to show.

Made through the use-cases: three machines, one of a name as long as names get, steps with hazards,
pictures, a batch away, an order, snags, a mix-up, limits and figures, a step only finger-tight.
"""

from pathlib import Path

from sent_pictures import jpeg

from stores.storage import open_store
from stores.usecases.assembling import Apply, SetPoint, apply, set_point
from stores.usecases.context import Context
from stores.usecases.figures import SetJoint, SetTorque, set_joint, set_torque
from stores.usecases.labels import MakeLabels, labels_made
from stores.usecases.machines import AddMachine, add_machine
from stores.usecases.mixups import MixPieces, mix
from stores.usecases.orders import PlaceOrder, place_order
from stores.usecases.outwork import (
    BeginBatch,
    PutIntoBatch,
    SendBatch,
    begin_batch,
    put_into_batch,
    send_batch,
)
from stores.usecases.pictures import TakePictures, take_pictures
from stores.usecases.refit import Refit, refit
from stores.usecases.sitting import InspectEach, inspect_each
from stores.usecases.snags import RecordSnag, record_snag
from stores.usecases.stock import Enter, enter
from stores.usecases.strip import Loose, Strip, loose, strip

LONG_NAME = "Orrick Plover of the Nether Brindlecote and District Light Car Trials, June 1931"
"""80 characters: the longest name of a machine."""
UNBROKEN = "Zwischengetriebegehäuseabdeckungsdichtungsschraube"
"""A word that no line of a phone can hold."""
assert len(LONG_NAME) == 80


def in_use(folder: Path) -> Path:
    """Make the record and its pictures in a folder; return its file."""
    file = folder / "stores.db"
    with open_store(str(file), create=True) as store:
        context = Context(store)
        add_machine(context, AddMachine("Tern 50", for_parts=True))
        add_machine(context, AddMachine("Plover"))
        add_machine(context, AddMachine(LONG_NAME, year="1931", kinds=("two-wheeler",)))
        _strip_down(Context(store, LONG_NAME))
        _the_work(Context(store, LONG_NAME), folder)
    return file


def _strip_down(context: Context) -> None:
    deep = "Engine/Gearbox/Selector mechanism/Camplate and forks"
    lines = ("4 M6x25 hex bolt 8.8 @ front", "2 dowel 8x12", "1 clutch gasket")
    strip(context, Strip("Engine/Clutch", "clutch cover", lines, note="clutch arm up"))
    springs = ("4 M5x14 cheese screw", "4 clutch spring")
    strip(context, Strip("Engine/Clutch", "pressure plate", springs, hazard="springs fly"))
    strip(context, Strip(deep, UNBROKEN, (f"6 M8x40 bolt @ {UNBROKEN}", "3 1/4 spring washer")))
    strip(context, Strip("Brakes/Front", "brake plate", ("2 brake shoe", "2 shoe spring")))
    strip(context, Strip("Wheels/Rear", "wheel", ("2 off 7/16 BSF castle nut", "2 split pin")))
    strip(context, Strip("Frame", "petrol tank <b>", ("3 of 4 1/4 BSF x 3/4 hex bolt",), "loft"))
    strip(context, Strip("Engine/Gearbox", "drain the oil", job=True, undo="1 pint of SAE 90"))
    strip(context, Strip("Engine/Top", "cylinder head", ("8 M8 nut", "8 M8 washer", "1 gasket")))
    strip(context, Strip("Controls", "clutch lever", ("2 M6x30 hex bolt 8.8",)))
    loose(context, Loose("1 M7x22 hex bolt", note="in the bottom of the chaincase"))


def _the_work(context: Context, folder: Path) -> None:
    springs, brakes = "2.3 2 good 2 scrap sagged", "4.2 repair lining thin"
    listed = f"1.2 good; {springs}; 3.2 good; {brakes}; 5 good; 9 good"
    inspect_each(context, InspectEach(listed=listed))
    set_torque(context, SetTorque("1.2", "7 to 9 N m", source="maker's book p. 15"))
    set_torque(context, SetTorque("8.2", "2.5 kgf m", "oiled", source="maker's book p. 14"))
    set_joint(context, SetJoint("8", "8 on 120", source="maker's book p. 14"))
    set_point(context, SetPoint("1", "end float", "0.05 to 0.15 mm", "maker's book p. 16"))
    set_point(context, SetPoint("4", "lining thickness", "2 mm at least"))
    set_torque(context, SetTorque("9.2", "8 N m", source="maker's book p. 15"))
    refit(context, Refit("9", finger_tight=True))
    apply(context, Apply("1.2", "threadlock, medium"))
    record_snag(context, RecordSnag("Engine", "leak", "weeps at the left cover joint", "left"))
    record_snag(context, RecordSnag("4", "worn", f"drum scored beside the {UNBROKEN}"))
    mix(context, MixPieces(("6.2", "5.2"), note="tipped over"))
    begin_batch(context, BeginBatch("Brindlecote Platers", "zinc plating", new_firm=True))
    put_into_batch(context, PutIntoBatch(1, ["3.2", "1.2"], strength="8.8"))
    send_batch(context, SendBatch(1, "12 Dec 2099"))
    begin_batch(context, BeginBatch("Sarnholt Coating", "powder coat", "black", new_firm=True))
    lines = ["2 M8x40 hex 8.8", "1 clutch gasket", f"1 {UNBROKEN}"]
    place_order(context, PlaceOrder("Hollin Fasteners", lines, new_firm=True))
    enter(context, Enter(["100 M6 washer", "250 ml of flange sealant"], to="drawer 1"))
    labels_made(context, MakeLabels({"A001N": "x"}, "labels-27Nov-101500.pdf"))
    shots = folder / "card"
    shots.mkdir()
    for shade in range(3):
        (shots / f"shot{shade}.jpg").write_bytes(jpeg(shade))
    kept = str(folder / "pictures")
    take = TakePictures((shots / "shot0.jpg",), "1", caption="before it came off", folder=kept)
    take_pictures(context, take)
    take_pictures(context, TakePictures((shots / "shot1.jpg",), folder=kept))
