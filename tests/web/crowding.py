"""A workshop full of devices: clients that read and write at the same time, and what came of it."""

import random
import re
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from secrets import token_hex

import httpx2

from stores.storage import Store
from stores.usecases.context import Context
from stores.usecases.history import audit

CLIENTS = 20


@dataclass
class Crowd:
    """What the clients of a served record saw. Times are in seconds, by the wall clock."""

    acts: list[str] = field(default_factory=list)
    twice: list[str] = field(default_factory=list)
    amiss: list[str] = field(default_factory=list)
    writes: list[float] = field(default_factory=list)
    reads: list[float] = field(default_factory=list)
    by_client: dict[int, list[float]] = field(default_factory=dict)


def crowd(address: str, rounds: int, clients: int = CLIENTS) -> Crowd:
    """Let so many clients work at once, each so many ``rounds`` of four
    pages and a form, so that a fifth of the requests writes."""
    seen = Crowd()
    begin = threading.Barrier(clients)

    def work(number: int) -> None:
        try:
            with httpx2.Client(base_url=address, headers={"Origin": address}, timeout=60) as client:
                begin.wait(60)
                _Person(seen, client, number).works(rounds)
        except Exception as error:
            seen.amiss.append(f"client {number}: {error!r}")

    threads = [threading.Thread(target=work, args=(number,)) for number in range(clients)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return seen


class _Person:
    """One client: strips, moves, inspects and takes back, and looks at pages in between."""

    def __init__(self, seen: Crowd, client: httpx2.Client, number: int) -> None:
        self.seen, self.client, self.number = seen, client, number
        self.chance = random.Random(number)
        self.code = ""
        self.told_act = ""

    def works(self, rounds: int) -> None:
        forms = self.forms()
        name = ""
        for at in range(rounds):
            bag = f"/bag/{self.code}" if self.code and name != "move" else "/told"
            looks = ["/", "/next", bag]  # and what is told of the form
            self.chance.shuffle(looks)
            for page in looks:
                self.look(page)
            name, values = next(forms)
            told = self.send(name, values, again=at % 4 == 3)
            if name == "strip":
                found = re.search(r'class="bagcode">(\w+)<', told)
                self.code = found[1] if found else ""

    def forms(self) -> Iterator[tuple[str, dict[str, str]]]:
        """What is recorded, in turn; who has an even number moves first and inspects after it."""
        at = 0
        while True:
            at += 1
            what = f"part {self.number}.{at}"
            yield "strip", {"assembly": f"Crowd/{self.number % 5}", "part": what, "bag": "new",
                            "lines": "2 M6x25 hex\n1 spring", "new_assembly": "1"}  # fmt: skip
            moved = {"what": self.code, "to": f"box {self.number % 3}", "new_place": "1"}
            inspected = {"what": self.code, "verdict": "serviceable"}
            first, then = ("move", moved), ("inspect", inspected)
            if self.number % 2:
                first, then = then, first
            yield first
            yield "undo", {"number": self.told_act, "by": "act"}
            yield then
            self.code = ""

    def look(self, page: str) -> str:
        begun = time.perf_counter()
        answer = self.client.get(page)
        self.seen.reads.append(time.perf_counter() - begun)
        if answer.status_code != 200:
            self.seen.amiss.append(f"{page}: {answer.status_code}")
        return answer.text

    def send(self, name: str, values: dict[str, str], *, again: bool) -> str:
        """Send a form, as our script does it; ``again`` a second time, as if the reply was lost."""
        key = token_hex(12)
        begun = time.perf_counter()
        sent = values | {"key": key}
        answer = self.client.post(f"/do/{name}", data=sent, headers={"Stores-Send": "1"})
        took = time.perf_counter() - begun
        self.seen.writes.append(took)
        self.seen.by_client.setdefault(self.number, []).append(took)
        if answer.status_code != 200:
            refusal = re.search(r'id="error".*?<p>(.*?)</p>', answer.text, re.DOTALL)
            words = refusal[1] if refusal else answer.text[:200]
            self.seen.amiss.append(f"{name} {values}: {answer.status_code} {words}")
            return ""
        self.seen.acts.append(key)
        if again:
            repeated = self.client.post(f"/do/{name}", data=sent, headers={"Stores-Send": "1"})
            self.seen.twice.append(key)
            if repeated.status_code != 409:
                self.seen.amiss.append(f"{name} sent twice: {repeated.status_code}")
        told = self.look(answer.json()["to"])
        act = re.search(r'name="number" value="(\d+)"', told)
        self.told_act = act[1] if act else ""
        return told


def held_against(seen: Crowd, store: Store) -> None:
    """Hold the record against what the clients were told: each act there once, nothing else, and
    every piece accounted for."""
    assert not seen.amiss, "\n".join(sorted(set(seen.amiss)))
    with store.reading() as connection:
        keys = [
            key
            for (key,) in connection.exec_driver_sql("SELECT key FROM act WHERE key IS NOT NULL")
        ]
    assert sorted(key for key in keys if key) == sorted(seen.acts)
    assert list(audit(Context(store)).faults) == []


def at(times: list[float], share: float) -> float:
    """Return the time that this share of all does not go beyond."""
    return sorted(times)[min(len(times) - 1, int(len(times) * share))]
