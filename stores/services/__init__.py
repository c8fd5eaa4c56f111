"""One function for each thing a person does. Each is one act, whole or not at all."""

from stores.services.acts import act_named, add_machine, audit, check_machine, undo
from stores.services.common import Done
from stores.services.judging import inspect, specify
from stores.services.labels import due_bags, labels_printed
from stores.services.moving import assign, lose, move, recover, scrap, stow
from stores.services.refitting import refit
from stores.services.stripping import loose, strip
from stores.services.supply import buy, send, take_back

__all__ = [
    "Done",
    "act_named",
    "add_machine",
    "assign",
    "audit",
    "buy",
    "check_machine",
    "due_bags",
    "inspect",
    "labels_printed",
    "loose",
    "lose",
    "move",
    "recover",
    "refit",
    "scrap",
    "send",
    "specify",
    "stow",
    "strip",
    "take_back",
    "undo",
]
