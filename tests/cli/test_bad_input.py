"""Bad input: one line on stderr that says what is wrong, status 1, and nothing changed."""

import multiprocessing
import os
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest
from conftest import Bench, Reply, every_command

from stores.wording.commands import MEANT, NOUNS, spelling

LONG = "x" * 10_000

REFUSED = {
    "unknown bag": (["find", "B002N"], "bag"),
    "mistyped bag": (["find", "A001K"], "did you mean A001N"),
    "swapped figures": (["find", "A010N"], "did you mean A001N"),
    "bag into which to strip": (["strip", "Engine", "cap", "-b", "A001K"], "did you mean A001N"),
    "thread of no table": (["reckon", "thread", "5/8", "NPT"], "near it: 1/2 NPT"),
    "trapezoidal without a pitch": (
        ["reckon", "thread", "Tr", "20"],
        "say which: Tr 20x2, Tr 20x4",
    ),
    "bearing and a size that is not its": (
        ["reckon", "hardware", "bearing", "6204", "30"],
        "20 x 47 x 14",
    ),
    "taper pin of no number": (
        ["reckon", "hardware", "taper", "pin", "no", "99"],
        "not in the tables",
    ),
    "unknown step": (["inspect", "9", "serviceable"], "no step 9"),
    "unknown item": (["inspect", "1.9", "serviceable"], "no item 1.9"),
    "unknown machine": (["strip", "Engine", "cap", "-m", "Dunlin"], "no machine called 'Dunlin'"),
    "a low line and nothing else": (["strip", "Engine", "cap", "_ _"], "nothing to read"),
    "unknown condition": (["inspect", "1.2", "splendid"], "I don't know the verdict 'splendid'"),
    "correct nothing": (["correct", "step", "1"], "say what to put right of step 1: "),
    "correct no step": (["correct", "step", "9", "--part", "cap"], "no step 9"),
    "correct no assembly": (["correct", "assembly", "Gearbox", "Engine"], "no assembly 'Gearbox'"),
    "correct to no name": (["correct", "machine", "--name", " "], "empty"),
    "correct at length": (["correct", "step", "1", "--note", LONG], "10,000 characters"),
    "correct a control character": (["correct", "step", "1", "--more", "a\x1b[31mb"], "control"),
    "correct a day": (["correct", "step", "1", "--came-off-on", "soon"], "not a day"),
    "correct before itself": (
        ["correct", "step", "1", "--came-off-before", "1"],
        "before or after itself",
    ),
    "correct to no machine": (["correct", "step", "1", "--to-machine", "Dunlin"], "no machine"),
    "correct a step as a line": (["correct", "line", "1", "5 M6x25 hex"], "Which one"),
    "correct to nothing": (["correct", "line", "1.2", "0 M6x25 hex"], "from 1 to"),
    "forget none": (["correct", "add", "1", "0 M6x25 hex"], "from 1 to"),
    "drop no line": (["correct", "drop", "1.9"], "no item 1.9"),
    "split off all": (["correct", "split", "1.2", "4 M8x20 hex"], "fewer than that"),
    "split off no count": (["correct", "split", "1.2", "M8x20 hex"], "fewer than that"),
    "join with itself": (["correct", "join", "1.2", "1.2"], "two lines of one step"),
    "split a step off whole": (["correct", "split-step", "1", "cap", "9.1"], "no step 9"),
    "join a step with itself": (["correct", "join-steps", "1", "1"], "before or after itself"),
    "survey of no kind": (["machine", "survey"], "what kind of machine is Orrick Plover"),
    "survey of an unknown kind": (
        ["machine", "survey", "--kind", "boat"],
        "Use one of: belt-treadle, ",
    ),
    "survey of a kind without a word": (
        ["machine", "survey", "--kind", " , "],
        "Use one of: belt-treadle, ",
    ),
    "survey of either": (
        ["machine", "survey", "--kind", "cultivator"],
        "gearbox-axle, stationary-engine",
    ),
    "machine of an unknown kind": (["machine", "add", "Tern", "--kind", "boat"], "Use one of"),
    "unknown act": (["undo", "99"], "no act 99"),
    "nothing like it": (["find", "left-handed", "hammer"], "nothing like"),
    "inventory of nothing like it": (["stock", "inventory", "hammer"], "is in the stores"),
    "inventory in no condition": (["stock", "inventory", "--of", "shiny"], "is not a condition"),
    "count 0": (["inspect", "1.2", "0", "serviceable"], "from 1 to"),
    "count -3": (["inspect", "1.2", "-3", "serviceable"], "from 1 to"),
    "count 1e9": (["inspect", "1.2", "1e9", "serviceable"], "whole number"),
    "count 1000000000": (["inspect", "1.2", "1000000000", "serviceable"], "from 1 to"),
    "count of words": (["piece", "move", "1.2", "bench", "-q", "some"], "whole number"),
    "more than there are": (["piece", "move", "1.2", "bench", "-q", "5"], "only 4 there"),
    "refit more than belong": (["refit", "1.2", "-q", "5"], "only 4"),
    "line of none": (["strip", "Engine", "cap", "0 M6x25 bolt"], "0"),
    "line of minus three": (["strip", "Engine", "cap", "-3 M6x25 bolt"], "3"),
    "line of 1e9": (["strip", "Engine", "cap", "1000000000 M6x25 bolt"], "1"),
    "three of none": (["strip", "Engine", "cap", "3 of 0 M6 nut"], "none"),
    "empty line": (["strip", "Engine", "cap", ""], "empty"),
    "empty part": (["strip", "Engine", "  "], "empty"),
    "empty assembly": (["strip", "Engine//Clutch", "cap"], "empty"),
    "long part": (["strip", "Engine", LONG], "10,000 characters"),
    "long assembly": (["strip", LONG, "cap"], "10,000 characters"),
    "long note": (["strip", "Engine", "cap", "-n", LONG], "10,000 characters"),
    "long line": (["strip", "Engine", "cap", LONG], "10,000 characters"),
    "long find": (["find", LONG], "10,000 characters"),
    "long name": (["machine", "add", LONG], "10,000 characters"),
    "control character": (["strip", "Engine", "cap\x07"], "control character"),
    "control in note": (["strip", "Engine", "cap", "-n", "a\x1b[31mb"], "control character"),
    "control in name": (["machine", "add", "Plover\x00"], "control character"),
    "same machine": (["machine", "add", "orrick  PLOVER"], "already"),
    "enter none": (["stock", "enter", "0 M6 nut"], "from 1 to"),
    "enter nothing": (["stock", "enter", " "], "nothing to enter"),
    "enter what was found and belongs": (["stock", "enter", "4 of 6 M6 nut"], "say what is there"),
    "enter an unknown pack": (["stock", "enter", "half a tube of flange sealant"], "how much"),
    "enter a bad day": (["stock", "enter", "5 M6 nut", "--opened", "3 Nov 2999"], "not come yet"),
    "enter too much": (["stock", "enter", "2000000 ml of engine oil"], "at most 1000 l"),
    "stock of nothing": (["stock", "left-handed hammer"], "nothing like"),
    "pack without a word": (["stock", "pack", "0.1"], "nothing like"),
    "least of no amount": (["stock", "least", "flange sealant", "some"], "how much"),
    "least of no thing": (["stock", "least", " ", "5"], "empty"),
    "reserve what is not there": (["stock", "reserve", "0.9"], "nothing like"),
    "reserve of a joint": (["stock", "reserve", "1.2"], "belongs to a joint, not to the stock"),
    "use what is not there": (["stock", "use", "0.9"], "nothing like"),
    "use in two ways": (["stock", "use", "0.9", "--spilt", "--gone-off"], "not both"),
    "left of what is not there": (["stock", "left", "0.9", "5 ml"], "nothing like"),
    "takes of no amount": (
        ["refit", "apply", "1", "flange sealant", "--takes", "some"],
        "how much",
    ),
    "takes of a rule without measures": (
        ["refit", "apply", "1", "flange sealant", "--takes", "bead"],
        "bead 3 mm x 640 mm",
    ),
    "takes of several kinds": (["refit", "apply", "1", "sealant", "--takes", "2 ml"], "which one"),
    "no day": (["strip", "Engine", "cap", "--on", "14.13.2026"], "not a day"),
    "a day to come": (["strip", "Engine", "cap", "--on", "2999-01-01"], "not come yet"),
    "a day that is a slip": (
        ["strip", "Engine", "cap", "--on", "3 Nov 2999"],
        "did you mean 3 Nov",
    ),
    "an assembly with a slip": (["strip", "Engin/Cluch", "cap"], "did you mean Engine / Clutch"),
    "an assembly without its group": (["strip", "Clutch", "cap"], "--new-assembly"),
    "a sentence for a place": (["piece", "move", "1.2", "same bag as clutch cover"], "A001N"),
    "a bag's code in a name": (["piece", "move", "1.2", "bag A001N"], "type just A001N"),
    "open bracket": (["strip", "Engine", "cap", "2 M6x30 bolt (should be M6x25"], "bracket"),
    "verdict without reason": (["inspect", "1.2", "condemned"], "say why"),
    "a list of no verdicts": (["inspect", "--list", "1.1; 1.2 fine"], "2 faults in the list"),
    "an empty list of verdicts": (["inspect", "--list", " ; "], "list is empty"),
    "a list and a verdict": (["inspect", "1.2", "good", "--list", "1.1 good"], "leave the rest"),
    "keys without a terminal": (["inspect", "1"], "give a list"),
    "inspect an assembly of none": (["inspect", "Gearbox"], "nothing is called 'Gearbox'"),
    "scrap of nothing said": (["piece", "scrap"], "say what is thrown out"),
    "scrap condemned, so many": (["piece", "scrap", "--condemned", "-q", "1"], "leave -q"),
    "nothing condemned": (["piece", "scrap", "--condemned", "--yes"], "is condemned"),
    "history of no step": (["history", "9"], "never was a step 9"),
    "history of no item": (["history", "1.9"], "never was an item 1.9"),
    "history of nothing": (["history", "Gearbox"], "nothing is called 'Gearbox'"),
    "all back but a word": (["outwork", "back", "Nobody", "--all-but", "1.2"], "nothing is away"),
    "as listed but a word": (["place", "count", "A001N", "--as-listed-but", "1.2"], "I can't read"),
    "back from nobody": (["outwork", "back", "Nobody & Sons"], "nothing"),
    "a step before itself": (["plan", "before", "1", "1"], "two steps"),
    "a step before none": (["plan", "before", "1", "9"], "no step 9"),
    "nothing to forget": (["plan", "before", "--forget", "1", "A001N"], "two steps"),
    "free of itself": (["plan", "free", "1", "1"], "two steps"),
    "access to none": (["plan", "access", "1", "9"], "no step 9"),
    "no time": (["plan", "takes", "1", "long"], "45 min"),
    "no unit of time": (["plan", "takes", "1", "45"], "45 min"),
    "no time at all": (["plan", "takes", "1", "0 min"], "a minute at least"),
    "time without end": (["plan", "takes", "1", "99999 h"], "60 days at most"),
    "too long a week": (["plan", "takes", "week", "169 h"], "168 hours"),
    "late without days": (["plan", "--late", "Dyke"], "name and days"),
    "late of nobody": (["plan", "--late", "Dyke=3"], "nothing is awaited"),
    "today of none": (["plan", "today", "--most", "0"], "At least 1"),
    "no sort of snag": (["snag", "1", "grubby", "x"], "I don't know the fault"),
    "either sort of snag": (["snag", "1", "n", "x"], "I don't know the fault"),
    "snag of no step": (["snag", "9", "leak", "x"], "no step 9"),
    "snag of nothing": (["snag", "1", "leak", " "], "empty"),
    "snag with a long side": (["snag", "1", "leak", "x", "--side", LONG], "10,000 characters"),
    "snag with no picture": (["snag", "1", "leak", "x", "--picture", "7"], "no picture 7"),
    "no snag to clear": (["snag", "clear", "3", "done"], "no snag 3"),
    "no snag to show": (["snag", "picture", "3", "1"], "no snag 3"),
    "renew without a reason": (["piece", "renew", "add", "circlip"], "say why"),
    "renew what is renewed": (["piece", "renew", "add", "gasket"], "renewed already"),
    "renew a number": (["piece", "renew", "add", "7"], "no kind"),
    "renew at length": (["piece", "renew", "add", LONG, "worn"], "10,000 characters"),
    "renew an item without a reason": (["piece", "renew", "add", "1.2"], "say why"),
    "renew an item of none": (["piece", "renew", "add", "9.1", "worn"], "no step 9"),
    "no rule to remove": (["piece", "renew", "remove", "clutch cover"], "is not always renewed"),
    "use again without a reason": (["piece", "renew", "remove", "1.4"], "say why"),
    "nothing decided": (["piece", "renew", "by-rule", "1.2"], "nothing was decided"),
    "by rule a kind": (["piece", "renew", "by-rule", "gasket"], "one item"),
    "order of nothing": (["order", "with", "Hollin"], "nothing to order"),
    "order of none": (["order", "with", "Hollin", "0 M6x25 hex"], "0"),
    "order with nobody": (["order", "with", " ", "2 M6x25 hex"], "empty"),
    "order at no sum": (["order", "with", "Hollin", "2 M6x25 hex = dear"], "not a sum"),
    "order at a third of a cent": (["order", "with", "H", "2 M6x25 hex = 0.333"], "not a sum"),
    "order for no day": (["order", "with", "H", "1.4", "--promised", "soon"], "not a day"),
    "order what is not short": (["order", "with", "H", "1.2"], "short of nothing"),
    "order of a step that is not": (["order", "with", "H", "9.1"], "no step 9"),
    "carriage of words": (["order", "with", "H", "1.4", "--carriage", "free"], "not a sum"),
    "no order came": (["order", "came", "7"], "no order 7"),
    "no order back": (["order", "back", "7", "1", "-n", "x"], "no order 7"),
    "back without a reason": (["order", "back", "7", "1"], "say why"),
    "no order to cancel": (["order", "cancel", "7"], "no order 7"),
    "no order to show": (["order", "show", "7"], "no order 7"),
    "no order to promise": (["order", "promised", "7", "none"], "no order 7"),
    "no order to price": (["order", "costs", "7", "1", "4"], "no order 7"),
    "price of words": (["order", "price", "M6x25 hex", "cheap"], "not a sum"),
    "price below nothing": (["order", "price", "M6x25 hex", "-4"], "not a sum"),
    "price without a sum": (["order", "price", "M6x25 hex"], "say what it costs"),
    "price of a count": (["order", "price", "20 M6x25 hex", "4"], "of a pack"),
    "a pack of none": (["order", "price", "M6x25 hex", "4", "--pack", "0"], "from 1"),
    "price of two packs": (["order", "price", "2 x 400 g lithium grease", "8"], "of one pack"),
    "a pack said twice": (
        ["order", "price", "400 g lithium grease", "8", "--pack", "2"],
        "leave --pack out",
    ),
    "price of no pack": (["order", "price", "lithium grease", "8"], "how much of it"),
    "price beyond all": (["order", "price", "M6x25 hex", "99999999"], "at most"),
    "no currency": (["order", "price", "--currency", "beans"], "three letters"),
    "spares without a share": (["order", "spares", "nut"], "how many per cent"),
    "spares beyond all": (["order", "spares", "nut", "1001"], "0 to 1000"),
    "spares at least too many": (
        ["order", "spares", "nut", "10", "--least", "99999"],
        "0 to 10,000",
    ),
    "spares up to no sum": (["order", "spares", "nut", "10", "--most", "cheap"], "not a sum"),
    "spares of nothing": (["order", "spares", " ", "10"], "empty"),
    "shopping for no assembly": (["shopping", "Gearbox"], "no assembly"),
    "mixed with nothing": (["piece", "mix", "1.2"], "two bags or lines at least"),
    "mixed with no bag": (["piece", "mix", "1.2", "A001K"], "did you mean A001N"),
    "mixed at length": (["piece", "mix", "1.2", "1.3", "-n", LONG], "10,000 characters"),
    "no mix-up": (["piece", "mixed", "7"], "no mix-up 7"),
    "nothing to sort": (["piece", "sort"], "nothing to sort"),
    "no batch": (["outwork", "batch", "put", "7", "1"], "no batch 7"),
    "batch of no firm": (["outwork", "batch", "begin", " ", "--for", "zinc"], "empty"),
    "batch for nothing": (["outwork", "batch", "begin", "Dyke", "--for", " "], "empty"),
    "no batch to send": (["outwork", "batch", "send", "7"], "no batch 7"),
    "no batch to mark": (["outwork", "batch", "mark", "7", "--packed"], "no batch 7"),
    "no mark": (["outwork", "batch", "mark", "7"], "mark it with"),
    "no day for a batch": (["outwork", "batch", "mark", "7", "--promised", "soon"], "not a day"),
    "no batch back": (["outwork", "batch", "back", "7"], "no batch 7"),
    "written off without a reason": (["outwork", "batch", "off", "7"], "say why"),
    "no batch for a note": (["outwork", "batch", "note", "7"], "no batch 7"),
    "bag in a bag": (["place", "stow", "A001N", "A001N"], "box"),
    "nothing to stow": (["place", "stow", "A001N"], "say what goes where"),
    "label of an unknown bag": (["labels", "C400T"], "bag"),
    "label 0": (["labels", "--start", "0"], "counted from 1"),
    "unknown stock": (["labels", "--stock", "a9-none", "-o", os.devnull], "a9-none"),
    "no folder": (["labels", "-o", "/no/such/folder/labels.pdf"], "folder"),
    "checklist into no folder": (["rebuild", "--pdf", "/no/such/folder/a.pdf"], "folder"),
    "summary into no folder": (["rebuild", "--summary", "--pdf", "/no/such/a.pdf"], "folder"),
    "summary of the next": (["rebuild", "--summary", "--next"], "which is it"),
    "nothing still on to come off": (["piece", "came-off", "1.2"], "nothing of 1.2"),
    "came off of no item": (["piece", "came-off", "1.9"], "no item 1.9"),
    "nothing still on to leave": (["piece", "left-on", "1.2"], "nothing of 1.2"),
    "left on minus one": (["piece", "left-on", "1.2", "-q", "-1"], "from 1 to"),
    "broke that is in its bag": (["piece", "broke", "1.2"], "condemned broken"),
    "broke at length": (["piece", "broke", "1.2", "--hole", LONG], "10,000 characters"),
    "more still on than there were": (
        ["strip", "Engine", "cap", "2 M6x25 bolt, 3 seized"],
        "only 2 were there",
    ),
    "broken, but where": (["strip", "Engine", "cap", "2 M6 stud, 1 broken"], "in its hole"),
    "a stack that does not add up": (["strip", "Engine", "cap", "2 shims: 0.3"], "1 thickness"),
    "a job or a part": (["strip", "Engine", "drain the oil"], "--job"),
    "a job with a place": (["strip", "Engine", "drain it", "--job", "-p", "bench"], "--part-to"),
    "apply nothing known": (["refit", "apply", "1.2", "magic"], "I don't know the sort"),
    "apply to no step": (["refit", "apply", "9", "grease"], "no step 9"),
    "apply at length": (["refit", "apply", "1", LONG], "10,000 characters"),
    "apply a control character": (["refit", "apply", "1", "grease\x07"], "control character"),
    "clearance without limits": (["figure", "clearance", "1", "end float"], "say its limits"),
    "clearance without a unit": (["figure", "clearance", "1", "end float", "0.1 to 0.2"], "unit"),
    "clearance the wrong way round": (
        ["figure", "clearance", "1", "play", "0.2 to 0.1 mm"],
        "smaller",
    ),
    "clearance of words": (["figure", "clearance", "1", "play", "a bit"], "a bit"),
    "clearance never asked for": (
        ["figure", "clearance", "1", "play", "--found", "0.1"],
        "nothing",
    ),
    "clearance at no step": (["figure", "clearance", "9", "play", "0.1 mm"], "no step 9"),
    "tighten what is off": (["refit", "tighten", "1.2"], "refit"),
    "tighten a range": (["refit", "tighten", "1.2", "7 to 9 N m"], "one figure"),
    "tighten no torque": (["refit", "tighten", "1.2", "hard"], "hard"),
    "tighten no step": (["refit", "tighten", "9"], "no step 9"),
    "sign for what is off": (["refit", "sign", "1", "A. Marl"], "not all back on"),
    "sign without a name": (["refit", "sign", "1", " "], "empty"),
    "sign no step": (["refit", "sign", "9", "A. Marl"], "no step 9"),
    "torque and finger-tight": (["refit", "1.2", "--torque", "8 N m", "--finger-tight"], "which"),
    "sign for finger-tight": (["refit", "1.2", "--finger-tight", "--by", "A. Marl"], "sign for"),
    "one torque for two": (["refit", "1", "--torque", "8 N m"], "for one line"),
    "a torque range put on": (["refit", "1.2", "--torque", "7-9 N m"], "one figure"),
    "refit a mistyped scan": (["refit", "A001K\nclutch cover"], "did you mean A001N"),
    "list into no folder": (["shopping", "--csv", "/no/such/folder/a.csv"], "folder"),
    "assembly not there": (["rebuild", "Gearbox"], "no assembly"),
    "buy of no pack": (["buy", "2 tubes of flange sealant"], "how much is in one tube"),
    "buy packs twice": (["buy", "2 x 50 ml medium threadlocker", "-q", "3"], "which is it"),
    "buy an item for stock": (["buy", "1.4", "--stock"], "named in words"),
    "buy at no price": (["buy", "20 M6 nut", "--price", "cheap"], "not a sum"),
    "buy an assortment of no counts": (["buy", "assortment: M4 nut, M5 nut"], "what it holds"),
    "order the list for stock": (["order", "with", "H", "--list", "--stock"], "leave one out"),
    "order an item for stock": (["order", "with", "H", "1.4", "--stock"], "named in words"),
    "costs of one and of all": (
        ["machine", "costs", "--all-machines", "-m", "Orrick"],
        "leave --machine out",
    ),
    "paid to nobody": (
        ["stock", "enter", "50 ml flange sealant", "--price", "6"],
        "needs a supplier",
    ),
    "paid for two things": (
        ["stock", "enter", "50 g lithium grease", "9 M6 nut", "--from", "H", "--price", "6"],
        "each by itself",
    ),
    "buy nothing": (["buy", "0 M6x25 bolt"], "0"),
    "buy for one that needs none": (["buy", "1.2"], "short of nothing"),
    "count of no place": (["place", "count", "box 77", "A001N"], "no box or shelf"),
    "count of no place, nothing said of it": (["place", "count", "box 77"], "no box or shelf"),
    "count of a mistyped bag": (["place", "count", "A001K", "1.2=4"], "did you mean A001N"),
    "count that is none": (["place", "count", "A001N", "1.2=some"], "as a count of 1.2"),
    "count of minus three": (["place", "count", "A001N", "1.2=-3"], "as a count of 1.2"),
    "count of an unknown item": (["place", "count", "A001N", "1.9=3"], "no item 1.9"),
    "a bag counted in a bag": (["place", "count", "A001N", "A001N"], "by its items"),
    "count without a reason": (["place", "count", "A001N", "1.2=3", "--accept"], "say why"),
    "count from no file": (["place", "count", "A001N", "--file", "/no/such/file"], "no file"),
    "close with work left": (["machine", "close"], "to settle before"),
    "reopen what is open": (["machine", "close", "--reopen", "why"], "not closed out"),
    "reopen without a reason": (["machine", "close", "--reopen", ""], "the reason"),
    "reopen and look": (["machine", "close", "--look", "--reopen", "why"], "by itself"),
    "hardware of a wheel": (["reckon", "hardware", "wheel", "nut"], "only the maker says"),
    "hardware of a plug": (["reckon", "hardware", "spark", "plug"], "stores reckon plug"),
    "hardware of a head": (
        ["reckon", "hardware", "cylinder", "head", "stud"],
        "only the maker says",
    ),
    "hardware of a drain": (["reckon", "hardware", "drain", "plug"], "stores reckon plug"),
    "keep what is not left over": (["piece", "keep", "1"], "nothing of step 1 is left over"),
    "keep nothing at all": (["piece", "keep", "all", "left", "over"], "is left over"),
    "scrap nothing at all": (["piece", "scrap", "all", "left", "over", "--yes"], "is left over"),
    "for parts, no machine": (["machine", "for-parts", "Nobody"], "no machine called"),
    "wanted back of a machine to restore": (
        ["machine", "for-parts", "Orrick", "--wants", "1"],
        "not kept for parts",
    ),
    "work by nobody knows what": (["inspect", "1", "serviceable", "--by", "Harris"], "--work"),
    "a long handover": (["record", "handover", LONG], "10,000 characters"),
    "inventory into no folder": (
        ["stock", "inventory", "--pdf", "a.pdf", "--xlsx", "/no/such/folder/a.xlsx"],
        "folder",
    ),
    "handover with words into no folder": (
        ["record", "handover", "pan under the sump", "--pdf", "/no/such/folder/a.pdf"],
        "folder",
    ),
    "a number beyond 64 bits": (
        ["snag", "clear", "18446744073709551616"],
        "larger than a database keeps",
    ),
    "a number of 400 figures": (["find", "9" * 400], "a number of 400 figures"),
    "a number of 5,000 figures": (["reckon", "slots", "9" * 5000], "a number of 5,000 figures"),
    "a file's name that is no text": (["record", "export", "a\udcff.jsonl"], "no text"),
    "handover into no folder": (["record", "handover", "--pdf", "/no/such/folder/a.pdf"], "folder"),
    "book into no folder": (["machine", "book", "/no/such/folder/a.pdf"], "folder"),
    "parts list not there": (["order", "parts-list", "/no/such/list.csv"], "no file"),
    "parts list without a name": (["order", "parts-list", "--accept"], "which file"),
    "copy into no folder": (
        ["record", "copy", "/no/such/folder/a.db"],
        "no folder /no/such/folder",
    ),
    "copy of labels from nowhere": (
        ["record", "copy", "a.db", "--templates", "/no/such"],
        "label files",
    ),
    "labels said printed that wait nowhere": (["labels", "--printed", "a.pdf"], "no label"),
    "export into no folder": (["record", "export", "/no/such/folder/a.jsonl"], "folder"),
    "replay of nothing": (["record", "reload", "/no/such/file.jsonl"], "no file"),
    "serve on no port": (["serve", "--port", "99999"], "use one from 1024 to 65535"),
    "serve to the internet": (["serve", "--phone", "--address", "8.8.8.8"], "local network"),
    "serve at no address": (["serve", "--phone", "--address", "shed"], "local network"),
    "serve an address to nobody": (["serve", "--address", "192.168.1.20"], "add --phone"),
    "forget no device": (["serve", "--forget", "0"], "no device 0"),
    "forget a name": (["serve", "--forget", "phone"], "no number of a device"),
    "card into no folder": (
        ["serve", "--card", "/no/such/folder/a.pdf", "--address", "192.168.1.20"],
        "folder",
    ),
    "card and list": (["serve", "--card", "a.pdf", "--devices"], "one of them at a time"),
    "a place that is none": (["strip", "Frame", "seat", "-b", "lost"], "stores piece lose"),
}


@pytest.mark.parametrize(("words", "said"), REFUSED.values(), ids=REFUSED)
def test_is_refused_in_one_line(clutch: Bench, words: list[str], said: str) -> None:
    line = clutch.refused(*words)
    assert said in line
    assert len(line) < 400


@pytest.mark.parametrize(
    "text", ["M6x40x3x2x1", "4 Mx25", "½¾ x ⅛ bolt", "M0 nut", "6 M6x1000000 bolt"]
)
def test_a_thread_nobody_can_read_is_kept_as_written_or_refused(clutch: Bench, text: str) -> None:
    """Stripping must not stop: what cannot be read is kept as it was said, never dropped."""
    reply = clutch.type("strip", "Engine", "oddity", text, "--json")
    if reply.status:
        assert reply.status == 1
        assert reply.err.count("\n") == 1
    else:
        assert clutch.json("find", "oddity")["items"][1]["written"] == text


def test_a_usage_error_keeps_status_2(clutch: Bench) -> None:
    for words in (
        ["strip"],
        ["strip", "Engine", "cap", "--nonsense"],
        ["nonsense"],
        ["find", "-x"],
    ):
        reply = clutch.type(*words)
        assert reply.status == 2
        assert (reply.out, reply.err.count("\n")) == ("", 1)
        assert "--help'" in reply.err


@pytest.mark.parametrize(
    "mark", ["\x1b[31m", "\u202e", "\u200f", "\x9b2J", "\u2067", "\x7f", "\ud800"]
)
def test_nothing_typed_steers_the_terminal(clutch: Bench, mark: str) -> None:
    """Names of files, of commands, of options and what a calculator is asked, said back."""
    for words in (
        (f"strip{mark}",),
        ("find", "x", f"--{mark}"),
        ("reckon", "rules", f"plating{mark}"),
        ("parts", f"/no{mark}/list.csv"),
        ("photo", "add", f"{mark}.jpg"),
        ("labels", "-o", f"/no{mark}/a.pdf"),
        ("history", "--most", mark),
        ("--stores", f"/no{mark}/x.db", "history"),
    ):
        reply = clutch.type(*words)
        assert reply.out + reply.err, words
        assert mark not in reply.out + reply.err, words
        assert reply.err.count("\n") == (reply.status != 0)


@pytest.mark.parametrize("mark", ["\u061c", "\u200e", "\u200f", "\u202e", "\u2067", "\ue000"])
def test_a_mark_of_direction_is_kept_in_no_name(clutch: Bench, mark: str) -> None:
    assert "control character" in clutch.refused("strip", "Engine", f"c{mark}ap")
    assert "control character" in clutch.refused("piece", "move", "1.1", f"b{mark}ox 1")
    assert mark not in clutch.refused(
        "figure", "clearance", "1", "end float", f"0.1 to 0.2 mm{mark}"
    )


@pytest.mark.skipif(os.name == "nt", reason="needs a shell that closes files")
@pytest.mark.parametrize("closed", ["1", "2", "1 2"])
def test_with_nowhere_to_answer_it_is_recorded_all_the_same(clutch: Bench, closed: str) -> None:
    shut = " ".join(f"{each}>&-" for each in closed.split())
    command = f'exec "$0" -m stores --stores "$1" strip Engine cap {shut}'
    done = subprocess.run(
        ["sh", "-c", command, sys.executable, str(clutch.file)], capture_output=True, text=True
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "cap" in clutch("find", "cap")


class TestFile:
    def test_no_stores_here(self, tmp_path: Path) -> None:
        said = Bench(tmp_path / "none.db").refused("find", "A001N")
        assert "stores machine add" in said
        assert not (tmp_path / "none.db").exists()

    @pytest.mark.parametrize(
        "content", [b"", b"not a database, but a shopping list\n" * 50, b"\x00" * 4096]
    )
    def test_a_file_that_is_no_database(self, tmp_path: Path, content: bytes) -> None:
        file = tmp_path / "list.txt"
        file.write_bytes(content)
        reply = Bench(file).type("history")
        assert (reply.status, reply.err.count("\n")) == (1, 1)
        assert "not a stores file" in reply.err
        assert file.read_bytes() == content

    def test_a_database_of_another_program(self, tmp_path: Path) -> None:
        file = tmp_path / "other.db"
        with sqlite3.connect(file) as connection:
            connection.execute("CREATE TABLE song (title)")
        connection.close()
        before = file.read_bytes()
        for words in (["history"], ["machine", "add", "Plover"]):
            reply = Bench(file).type(*words)
            assert (reply.status, reply.err.count("\n")) == (1, 1)
            assert "not a stores" in reply.err
        assert file.read_bytes() == before

    def test_a_stores_from_a_newer_program(self, clutch: Bench) -> None:
        with sqlite3.connect(clutch.file) as connection:
            connection.execute("UPDATE alembic_version SET version_num = '9999'")
        connection.close()
        assert "newer version" in clutch.refused("find", "A001N")

    def test_a_damaged_file(self, clutch: Bench) -> None:
        with sqlite3.connect(clutch.file) as connection:
            connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        connection.close()
        content = bytearray(clutch.file.read_bytes())
        content[4096:] = b"\xaa" * (len(content) - 4096)
        clutch.file.write_bytes(content)
        reply = clutch.type("find", "A001N")
        assert (reply.status, reply.err.count("\n")) == (1, 1)
        assert "damaged" in reply.err

    def test_a_folder(self, tmp_path: Path) -> None:
        assert "folder" in Bench(tmp_path).type("history").err

    @pytest.mark.parametrize("name", ["", ".", "/"])
    @pytest.mark.parametrize("words", [("history",), ("machine", "add", "Orrick Plover")])
    def test_a_folder_without_a_name(self, name: str, words: tuple[str, ...]) -> None:
        reply = Bench(Path("none.db")).type("--stores", name, *words)
        assert (reply.status, reply.out, reply.err.count("\n")) == (1, "", 1)
        assert "is a folder: give the stores file itself" in reply.err

    def test_an_address_that_no_driver_knows(self, tmp_path: Path) -> None:
        for address in ("nonsense://host/db", "sqlite:///", "mysql+nodriver://x/y"):
            reply = Bench(Path()).type("--stores", address, "history")
            assert reply.status == 1, address
            assert reply.err.count("\n") == 1

    @pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
    def test_a_read_only_folder_can_be_read_but_not_written(
        self, clutch: Bench, tmp_path: Path
    ) -> None:
        """Tried as a user who may not write there; root may write anywhere."""
        for above in tmp_path.parents:
            if above == Path(tempfile.gettempdir()) or above.owner() != tmp_path.owner():
                break
            above.chmod(above.stat().st_mode | 0o011)
        clutch.file.chmod(0o444)
        tmp_path.chmod(0o555)
        try:
            look = as_nobody(lambda: clutch.type("find", "A001N"))
            write = as_nobody(lambda: clutch.type("strip", "Engine", "cap"))
        finally:
            tmp_path.chmod(0o755)
        assert look.status == 0, look.err
        assert "clutch cover" in look.out
        assert (write.status, write.err.count("\n")) == (1, 1)
        assert "read-only" in write.err


def as_nobody(work: Callable[[], Reply]) -> Reply:
    """Do something in a child that is an ordinary user."""
    ours, theirs = multiprocessing.get_context("fork").Pipe(duplex=False)
    child = os.fork()
    if not child:
        try:
            if os.getuid() == 0:
                os.setgid(65534)
                os.setuid(65534)
            theirs.send(work())
        finally:
            os._exit(0)
    theirs.close()
    os.waitpid(child, 0)
    try:
        reply: Reply = ours.recv()
    except EOFError:
        pytest.skip("not allowed to become another user, and not a plain user")
    return reply


@pytest.mark.parametrize("noun", sorted({*NOUNS} - {*every_command()}))
def test_an_empty_word_is_no_command(clutch: Bench, noun: str) -> None:
    reply = clutch.type(noun, "")
    assert (reply.status, reply.out, reply.err.count("\n")) == (2, "", 1)
    assert "no such command ''" in reply.err


def test_a_word_of_another_name_is_told_the_command_that_is_meant(bench: Bench) -> None:
    for word, name in MEANT.items():
        meant = spelling(name)
        assert f"no such command '{word}'. Did you mean '{meant}'?" in bench.type(word).err
        assert bench(*meant.split(), "--help").startswith(f"Usage: stores {meant} ")


def test_a_word_that_is_near_to_none_is_told_none(bench: Bench) -> None:
    assert "Did you mean" not in bench.type("xylophone").err
