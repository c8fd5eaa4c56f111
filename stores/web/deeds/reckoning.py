"""The calculators: each a question of a few fields, the seldom ones under More.

General figures: the maker's come first, and every answer says so where it matters.
"""

from collections.abc import Callable, Mapping
from typing import Any

from stores.usecases.reckoning.bench import ReckonPlug
from stores.usecases.reckoning.joint import ReckonOrder
from stores.usecases.reckoning.oil import ReckonFork, ReckonMixture
from stores.usecases.reckoning.torque import ReckonTorque
from stores.usecases.reckoning.wear import ReckonWear
from stores.web.forms import NO, YES, Deed, Field, Inquiry
from stores.web.visit import Visit


def _states(_visit: Visit) -> Mapping[str, str]:
    from stores.handbook.torque.grades import states

    return {"": "–"} | {state: state for state in states()}


def _metals(_visit: Visit) -> Mapping[str, str]:
    from stores.handbook.consumables.baths import DENSITIES

    return {metal: metal for metal in DENSITIES}


def _put_on(_visit: Visit) -> Mapping[str, str]:
    from stores.handbook.consumables.paint import LOSSES

    return {way: way for way in LOSSES}


def _welded(_visit: Visit) -> Mapping[str, str]:
    from stores.handbook.consumables.welding import EFFICIENCIES

    return {way: way for way in EFFICIENCIES}


def _torque(visit: Visit) -> ReckonTorque:
    said = {each.name: visit.word(each.name).strip() for each in _TORQUE}
    bolt = " ".join(filter(None, (said.pop(name) for name in ("thread", "grade", "state"))))
    older = bool(said.pop("older"))
    return ReckonTorque(bolt, **said, older=older)


def _mixture(visit: Visit) -> ReckonMixture:
    said = {each.name: visit.word(each.name).strip() for each in _MIXTURE}
    return ReckonMixture(said.pop("ratio"), **said)


def _several(visit: Visit, name: str) -> tuple[str, ...]:
    """Return figures that are typed into one field, apart by spaces."""
    return tuple(visit.word(name).split())


def _fork(visit: Visit) -> ReckonFork:
    from stores.errors import BadValue

    legs, spacer = _several(visit, "legs"), _several(visit, "spacer")
    for what, typed, count in (("legs", legs, 2), ("spacer", spacer, 3)):
        if typed and len(typed) != count:
            raise BadValue(f"{what}: {count} figures, apart by spaces; not {len(typed)}")
    return ReckonFork(
        visit.word("bore").strip(),
        visit.word("rise").strip(),
        (legs[0], legs[1]) if legs else None,
        visit.word("level").strip(),
        (spacer[0], spacer[1], spacer[2]) if spacer else None,
    )


def _of(*names: str) -> Callable[[Visit, Callable[..., Any]], Any]:
    """Return what calls a calculator that takes plain texts, each from the field of that name."""
    return lambda visit, reckon: reckon(*(visit.word(name).strip() for name in names))


def _calculator(
    name: str,
    title: str,
    function: str,
    ask: str,
    words: str,
    *form: Field,
    **settings: Any,
) -> Inquiry:
    """Return the form of a calculator, named as the command line has it."""
    return Inquiry(
        f"reckon-{name}",
        title,
        "Reckon",
        f"reckoning.{function}" if ":" in function else f"reckoning:{function}",
        f"reckoning.{ask}" if ask else "",
        f"reckoning:{words}",
        *form,
        calculator=True,
        at_once=settings.pop("at_once", False),
        **settings,
    )


_TORQUE = (
    Field("thread", "Thread", hint="As M8, 1/4 BSF, 2BA"),
    Field("grade", "Mark on the head", hint="As 8.8, grade R; empty: the weakest is taken"),
    Field("state", "Thread and face are", "choice", choices=_states),
    Field("into", "Screwed into", hint="As aluminium, cast iron; empty: a nut or steel",
          option="--into"),
    Field("maker", "The maker's figure: it always wins", hint="As 25 N m, 18 to 20 lbf ft",
          option="--maker", more=True),
    Field("maker_state", "What the maker's figure is for", hint="As dry, oiled",
          option="--maker-state", more=True),
    Field("engaged", "Length of thread in the hole", hint="mm, as 12", option="--engaged",
          more=True),
    Field("nut", "Class of the nut", hint="As 8, 10", option="--nut", more=True),
    Field("seat", "What the head bears on", hint="As aluminium", option="--seat", more=True),
    Field("head", "Head", hint="hex, socket cap or nut", option="--head", more=True),
    Field("flats", "Across flats", hint="mm, where not the usual", option="--flats", more=True),
    Field("face", "Outside of the face that turns", hint="mm: washer or flange", option="--face",
          more=True),
    Field("hole", "Hole under the head", hint="mm", option="--hole", more=True),
    Field("length", "Length of the bolt", hint="mm", option="--length", more=True),
    Field("older", "Torsion as before 2001: mostly 9 to 12 per cent less", "tick",
          option="--older", more=True),
)  # fmt: skip
_MIXTURE = (
    Field("ratio", "Petrol to oil", hint="As 25:1, 4 %, half a pint to the gallon"),
    Field("petrol", "Petrol there is, or is added", hint="As 5 l, 1 gal-imp", option="--petrol"),
    Field("oil", "Oil there is", hint="As 200 ml: gives the ratio", option="--oil"),
    Field("tank", "In the tank already", hint="As 2 l", option="--tank"),
    Field("holds", "The ratio in the tank", hint="As 32:1; empty: plain petrol", option="--holds",
          more=True),
    Field("full", "What the tank is to hold in the end", hint="As 8 l", option="--full",
          more=True),
)  # fmt: skip
_OFF = Field("off", "Standard uncertainty of the tool", hint="mm; 0.005 for a micrometer",
             value="0.005", option="--off", more=True)  # fmt: skip
_PACK = Field("pack", "What a pack holds", hint="As 80 ml", option="--pack", more=True)

DEEDS: tuple[Deed, ...] = ()
INQUIRIES = (
    _calculator(
        "torque", "How tight", "torque:torque", "torque:ReckonTorque", "torque", *_TORQUE,
        make=_torque,
        intro="The maker's figure comes first. Dry or oiled is asked for, never assumed.",
    ),
    _calculator(
        "oil", "An oil grade", "oil:oil", "oil:AskOil", "oil",
        Field("grade", "Grade, as on the can", hint="As 20W-50, SAE 90 GL-4, ISO VG 32"),
        Field("bronze", "Bronze or brass in the oil", "choice",
              choices={"": "not known", YES: "yes", NO: "no"}, option="--bronze"),
        Field("hypoid", "It is a hypoid axle", "tick", option="--hypoid"),
        Field("edition", "Edition of the standard", "number", "A year, as 1991",
              option="--edition", more=True),
        line="How thick it is, what is like it",
    ),
    _calculator(
        "mixture", "Two-stroke mixture", "oil:mixture", "oil:ReckonMixture", "answers", *_MIXTURE,
        make=_mixture, line="Petrol and oil, topping up",
    ),
    _calculator(
        "compression", "Compression", "engine:compression", "engine:ReckonCompression",
        "compression",
        Field("ratio", "Compression ratio", hint="As 6.3 or 7.5:1"),
        Field("dry", "Dry test, by cylinder", hint="As 88, 71 or 6.1bar, 5.9bar", option="--dry"),
        Field("wet", "Wet test, oil in the bore", hint="As 92, 90; - where not done",
              option="--wet"),
        Field("maker", "The maker's lowest reading", hint="As 90 psi", option="--maker"),
        Field("barometer", "The day's pressure", hint="hPa, as 998.8", option="--barometer",
              more=True),
        Field("altitude_m", "Metres above the sea", hint="As 300", option="--altitude", more=True),
        Field("two_stroke", "It is a two-stroke", "tick", option="--two-stroke", more=True),
        Field("stroke", "Stroke", hint="mm, with the exhaust port", option="--stroke", more=True),
        Field("port", "Exhaust port", hint="mm: its top edge to the crown at bottom dead centre",
              option="--port", more=True),
        Field("unit", "Unit of bare readings", value="psi", option="--unit", more=True),
        line="What a cylinder should show, dry and wet test",
    ),
    _calculator(
        "order", "Order of tightening", "joint:order", "joint:ReckonOrder", "tightening_order",
        Field("holes", "Holes", hint="As 8 on 120, 2 x 5 at 80 x 45, 12 2 4 6:30 9"),
        Field("torque", "Final torque", hint="As 24, 18 lbf ft", option="--torque"),
        Field("maker", "The maker's own order", hint="As 3 1 4 2", option="--maker", more=True),
        Field("passes", "Other passes", hint="A word that is not known lists them",
              option="--passes", more=True),
        make=lambda visit: ReckonOrder(
            *(visit.word(name).strip() for name in ReckonOrder._fields)
        ),
        line="Of a cover or head, with its passes",
    ),
    _calculator(
        "grip", "The bolt for a joint", "bench:grip", "bench:ReckonGrip", "grip",
        Field("thread", "Thread", hint="As M8, 5/16 UNF"),
        Field("grip", "What is clamped", hint="mm, as 30, or 1 in"),
        Field("washers", "Thickness of all washers", hint="mm, as 3.3", option="--washers"),
        Field("into", "Screwed into, without a nut", hint="As aluminium", option="--into"),
        Field("nut", "Height of the nut", hint="mm", option="--nut", more=True),
        Field("hole", "Depth of thread in a blind hole", hint="mm", option="--hole", more=True),
        Field("length", "The bolt you have, under the head", hint="mm", option="--length",
              more=True),
        Field("threaded", "How much of it is threaded", hint="mm", option="--threaded", more=True),
        line="Its length, its thread in the joint",
    ),
    _calculator(
        "slots", "Castle nut", "bench:slots", "bench:ReckonSlots", "slots",
        Field("nut", "Thread of the nut", hint="As M12; or slots, counted"),
        Field("past_deg", "Degrees past the last slot, at the torque", hint="As 40",
              option="--past"),
        Field("holes", "Holes drilled", "choice", choices={"1": "one", "2": "two, crosswise"},
              value="1", option="--holes", more=True),
        Field("bolt", "Class of the bolt", hint="As 8.8", option="--bolt", more=True),
        Field("state", "Thread and face are", "choice", choices=_states, option="--state",
              more=True),
        Field("grip", "What is clamped: gives the added stress", hint="mm, as 30", option="--grip",
              more=True),
        Field("torque", "The torque reached", hint="As 24 N m", option="--torque", more=True),
        line="The turn to the next slot, never back",
    ),
    _calculator(
        "oiled", "A dry figure on an oiled thread", "bench:oiled", "", "answer",
        Field("torque", "The figure for dry threads", hint="As 25, 18 lbf ft"),
        Field("thread", "Thread", hint="As M8, 5/16 UNF"),
        Field("to", "How the thread is", "choice", choices=_states, value="oiled", option="--to"),
        Field("was", "What the figure is for", "choice", choices=_states, value="dry",
              option="--was", more=True),
        call=lambda visit, reckon: reckon(
            visit.word("torque").strip(), visit.word("thread").strip(),
            visit.word("to") or "oiled", visit.word("was") or "dry",
        ),
    ),
    _calculator(
        "plug", "Spark plug or drain plug", "bench:plug", "bench:ReckonPlug", "plug",
        Field("thread", "Thread", hint="As M10, M12, M14, M18"),
        Field("seat", "Seat of a spark plug", "choice", choices=("", "gasket", "taper"),
              option="--seat"),
        Field("head", "Its head, or a drain plug's case", "choice",
              choices=("", "aluminium", "cast iron"), option="--head"),
        Field("drain", "It is a drain plug", "tick", option="--drain"),
        Field("used", "A plug that was in before", "tick", option="--used", more=True),
        make=lambda visit: ReckonPlug(
            visit.word("thread").strip(), visit.word("seat"),
            "" if visit.word("drain") else visit.word("head"),
            visit.word("used") == "1", visit.word("drain") == "1",
            visit.word("head") if visit.word("drain") else "",
        ),
    ),
    _calculator(
        "rules", "Rules of the bench", "bench:rules", "", "rules",
        Field("subject", "Subject, part, or class", hint="As castle nut, 10.9; empty: all"),
        call=_of("subject"), at_once=True, line="With their reasons",
    ),
    _calculator(
        "fill", "What a case holds", "oil:fill", "oil:ReckonFill", "fill",
        Field("shape", "Inside measures, mm", hint="As lying 120 200, box 180 120 60, upright 80 "
              "100; several joined by +"),
        Field("to", "Level wanted", hint="mm, or lower edge of the level plug", option="--to"),
        Field("now", "Level now", hint="mm: gives what to add", option="--now"),
        Field("holds", "A volume", hint="ml: gives its level", option="--holds"),
        Field("inside", "Room that gears take below the level", hint="ml", option="--inside",
              more=True),
        Field("off", "How far each measure may be off", hint="mm", value="1", option="--off",
              more=True),
        line="To a level; how much to add",
    ),
    _calculator(
        "fork", "Fork oil", "oil:fork", "oil:ReckonFork", "answers",
        Field("bore", "Inside of the tube", hint="mm, as 32"),
        Field("rise", "How far the oil has to come up", hint="mm, as 15", option="--rise"),
        Field("legs", "Left and right", hint="mm from the top of the tube to the oil, as 148 162",
              option="--legs"),
        Field("level", "The maker's level, spacer in", hint="mm, as 140", option="--level"),
        Field("spacer", "The spacer", hint="mm: length, outside, inside, as 120 28 24",
              option="--spacer", more=True),
        make=_fork, line="By level: a smaller figure is more oil",
    ),
    _calculator(
        "battery", "Battery", "engine:battery", "engine:ReckonBattery", "battery",
        Field("volts", "Volts at rest", hint="As 12.4; two in series: 6.2 6.35"),
        Field("gravity", "Gravity of the acid", hint="As 1.230", option="--gravity"),
        Field("capacity_ah", "Capacity", hint="Ah, as 12: gives how to charge it",
              option="--capacity"),
        Field("nominal_v", "Volts, where not clear", "choice", choices=("", "6", "12"),
              option="--nominal", more=True),
        Field("rested_h", "Hours without load or charge", option="--rested", more=True),
        Field("acid_c", "Temperature of the acid", hint="C", value="26.7", option="--acid",
              more=True),
        Field("battery_c", "How warm it is while it charges", hint="C", option="--at", more=True),
        line="State of charge at rest",
    ),
    _calculator(
        "fit", "Limits and fits", "wear:fit", "", "fit",
        Field("size", "Size and class", hint="As 12 H7/k6; one part: 20 h6"),
        call=_of("size"), line="ISO 286",
    ),
    _calculator(
        "wear", "A reading against its limit", "wear:wear", "wear:ReckonWear", "wear",
        Field("reading", "What was measured", hint="mm; a part before it: gudgeon pin 14.96"),
        Field("nominal", "The size when new", hint="mm, as 20", option="--nominal"),
        Field("limit", "The maker's limit", hint="mm, as 19.90", option="--limit"),
        Field("larger", "Which way wear goes", "choice",
              choices={"": "the sizes tell", YES: "larger", NO: "smaller"}, option="--larger"),
        _OFF,
        make=lambda visit: ReckonWear(
            visit.word("reading").strip(), visit.word("nominal").strip(),
            visit.word("limit").strip(), {YES: True, NO: False}.get(visit.word("larger")),
            visit.word("off").strip() or ReckonWear._field_defaults["off"],
        ),
    ),
    _calculator(
        "bore", "Ovality and taper of a bore", "wear:bore", "wear:ReckonBore", "bore",
        Field("heights", "Readings", "lines",
              "A height a line, along and across: top 47.55 47.58"),
        Field("nominal", "The bore when new", hint="mm, as 47.5", option="--nominal"),
        Field("limit", "The maker's largest bore", hint="mm", option="--limit"),
        Field("piston", "The piston at its skirt", hint="mm: gives the clearance",
              option="--piston"),
        Field("stroke", "Stroke", hint="mm, for the taper allowed", option="--stroke", more=True),
        Field("oval", "The maker's limit of ovality", hint="mm", option="--oval", more=True),
        Field("taper", "The maker's limit of taper", hint="mm", option="--taper", more=True),
        _OFF,
    ),
    _calculator(
        "bead", "Sealant in a bead", "consumables:bead", "consumables:ReckonBead", "answer",
        Field("bead", "How thick the bead is", hint="mm, as 3"),
        Field("length", "The outline it follows", hint="mm, as 640"),
        Field("holes", "Bolt holes with a loop round them", "number", option="--holes"),
        Field("loop", "Diameter of such a loop", hint="mm, as 14", option="--loop"),
        _PACK,
    ),
    _calculator(
        "compound", "Sealant on a face, retaining compound", "consumables:compound",
        "consumables:ReckonCompound", "answer",
        Field("gap", "Gap", hint="As bush 47 14 0.03, face 100cm2 0.1, groove 6 6 1000"),
        _PACK,
    ),
    _calculator(
        "locking", "Threadlocker", "consumables:locking", "", "answer",
        Field("threads", "Threads", "lines", "So many of a thread a line: 24 M6"),
        call=lambda visit, reckon: reckon(
            [line.strip() for line in visit.word("threads").splitlines() if line.strip()]
        ),
    ),
    _calculator(
        "grease", "Grease for a bearing", "consumables:grease", "consumables:ReckonGrease",
        "answers",
        Field("bearing", "Bearing", hint="As 6204, or 20x47x14"),
        Field("mass", "Its mass", hint="g, as 106: gives the first fill", option="--mass"),
        Field("fill", "Share of the free space", hint="As 30%; empty: a third", option="--fill",
              more=True),
        Field("through", "The grease goes in through the ring", "tick", option="--through",
              more=True),
    ),
    _calculator(
        "paint", "Paint for an area", "consumables:paint", "consumables:ReckonPaint", "answers",
        Field("area", "Area, all sides", hint="As 1.2 m2"),
        Field("solids", "Solids by volume", hint="%, from the maker's sheet, as 45"),
        Field("film", "Dry film of a coat", hint="micrometres, as 40"),
        Field("coats", "Coats", "number", value="1", option="--coats"),
        Field("way", "Put on by", "choice", choices=_put_on, value="gun", option="--by", more=True),
        Field("loss", "What is lost", hint="As 30%; empty: by the way", option="--loss", more=True),
        Field("pack", "What a tin holds", hint="As 500 ml", option="--pack", more=True),
    ),
    _calculator(
        "mixing", "Paint, hardener and thinner", "consumables:mixing", "", "answers",
        Field("parts", "Parts, as on the tin", hint="As 4:1:1, 2:1"),
        Field("ready", "How much ready to use", hint="As 300 ml"),
        call=_of("parts", "ready"),
    ),
    _calculator(
        "sheet", "Gaskets from a sheet", "consumables:sheet", "consumables:ReckonSheet", "answers",
        Field("sheet", "The sheet", hint="mm, as 500x500, or A4"),
        Field("blank", "The gasket with its margin", hint="mm, as 180x120"),
        Field("wanted", "How many are wanted", "number", option="--count"),
        Field("gap", "Between them, and at the edge", hint="mm", value="5", option="--gap",
              more=True),
    ),
    _calculator(
        "lengths", "Hose, cable or wire", "consumables:lengths", "consumables:ReckonLengths",
        "lengths",
        Field("runs", "The runs", "lines", "mm, one a line, as 420"),
        Field("end", "Allowance at each end", hint="mm", value="0", option="--end"),
        Field("there", "Lengths that are there", "lines", "One a line, as 800", option="--from"),
        line="In all, and how to cut it",
    ),
    _calculator(
        "volts", "Voltage lost along a wire", "consumables:volts", "consumables:ReckonVolts",
        "answer",
        Field("wire", "Wire", hint="Its strands, as 14/0.30, or 0.0125ohm/m"),
        Field("length", "How long", hint="As 5m"),
        Field("amps", "The current", hint="A, as 8.75"),
        Field("both_ways", "It comes back by wire, not by the frame", "tick",
              option="--both-ways"),
    ),
    _calculator(
        "keeps", "How long a consumable keeps", "consumables:keeps", "consumables:AskKeeps",
        "keeps",
        Field("name", "What it is", hint="As lithium grease, DOT 4"),
        Field("made", "When it was made", hint="As 3 Nov 2025", option="--made"),
        Field("bought", "When it was bought", option="--bought"),
        Field("opened", "When it was first opened", option="--opened"),
    ),
    _calculator(
        "weld", "Welding", "consumables:weld", "consumables:ReckonWeld", "answers",
        Field("leg", "Leg of the fillet", hint="mm, as 5"),
        Field("length", "Length of the weld", hint="mm, as 400"),
        Field("way", "Welded with", "choice", choices=_welded, value="covered rod", option="--by"),
        Field("pack", "What a pack holds", hint="As 1 kg", option="--pack"),
        Field("cylinder", "Water capacity of a gas cylinder", hint="l, as 9", option="--cylinder",
              more=True),
        Field("bar", "On its gauge", hint="bar, as 200", option="--bar", more=True),
        Field("flow", "Flow of the gas", hint="l/min, as 10", option="--flow", more=True),
        line="Rods or wire for a fillet; how long the gas lasts",
    ),
    _calculator(
        "shrink", "Heat-shrink", "consumables:shrink", "consumables:ReckonShrink", "answers",
        Field("length", "Length when shrunk", hint="mm, as 30"),
        Field("over", "The largest it has to pass over", hint="mm, as 12", option="--over"),
        Field("under", "The smallest it has to grip", hint="mm, as 5", option="--under"),
    ),
    _calculator(
        "bath", "A bath", "consumables:bath", "consumables:ReckonBath", "answers",
        Field("bath", "How much, or the tank inside", hint="As 20 l; mm: box 600 400 300"),
        Field("citric", "Citric acid", hint="As 5%, or 50 g/l", option="--citric"),
        Field("part", "Mass of the part in it", hint="kg, as 12", option="--part"),
        Field("to", "Level with the part in", hint="mm; empty: full", option="--to"),
        Field("metal", "The part is of", "choice", choices=_metals, value="steel", option="--of",
              more=True),
        line="With a part in it; citric acid for it",
    ),
    _calculator(
        "convert", "Other units", "convert", "", "converted",
        Field("amount", "An amount with its unit", hint="As 18 lbf ft, 998.8 hPa to psi"),
        call=_of("amount"), line="Lengths, areas, torques, volumes, pressures",
    ),
)  # fmt: skip
