"""The devices that may use the stores over the network, and how one is let in.

A device is let in by a code that works once and for ten minutes. It then keeps a secret of 256 bits
as a cookie; here only the digest of that is kept, in a file of its own beside the record, which
nobody but its owner may read. Nothing of it is in the record itself.
"""

import contextlib
import os
import secrets
import sqlite3
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path

from stores.errors import NotFound, StorageError
from stores.text import clean

__all__ = ["DAYS", "Device", "Devices", "Pairing", "beside", "cookie_name", "moment"]

DAYS = 90
"""For so long a device stays paired."""
MINUTES = 10
"""For so long a code can be used."""
_FRESH = 5 * 60
"""Seconds: a code with less to go is not shown any more."""
_SEEN_EVERY = 60
"""Seconds: that a device was seen is not noted more often."""
_NAME_AT_MOST = 40
_DAY = 86400


def cookie_name(scheme: str) -> str:
    """Return what the cookie is called. One for HTTPS has a name of its own, which no page over
    HTTP may set: a browser refuses that, and the phone could not be paired over HTTP again."""
    return "__Host-device" if scheme == "https" else "device"


def beside(where: str, ending: str) -> Path:
    """Return where what belongs to a stores and not into it is kept: beside its file, as
    ``stores.devices``; for a database elsewhere, in this person's own folder for such things."""
    if "://" not in where:
        file = Path(where).expanduser().absolute()
        return file.with_name(f"{file.stem}.{ending}")
    from stores.storage.opening import address_of

    address = address_of(where)
    name = "".join(each if each.isalnum() else "-" for each in address.database or "stores")
    plain = f"{address.host}:{address.port}/{address.database}"
    return _own_folder() / f"{name}-{sha256(plain.encode()).hexdigest()[:8]}.{ending}"


def _own_folder() -> Path:
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData/Local") / "stores"
    if sys.platform == "darwin":
        return Path.home() / "Library/Application Support/stores"
    return Path(os.environ.get("XDG_STATE_HOME") or Path.home() / ".local/state") / "stores"


@dataclass(frozen=True, slots=True)
class Device:
    """A device that is paired: its number, its name, and when it was paired and last seen, in
    seconds since 1970."""

    number: int
    name: str
    paired: float
    seen: float


class Devices:
    """The paired devices of a stores. Several programs may use the file at once."""

    def __init__(self, file: Path, clock: Callable[[], float] = time.time) -> None:
        self.file = file
        self._clock = clock

    def add(self, name: str) -> tuple[Device, str]:
        """Let a device in; return it and the secret that it is to keep.

        Raises:
            StorageError: the file cannot be written.
        """
        secret, now = secrets.token_urlsafe(32), self._clock()
        with self._open(create=True) as connection:
            number = connection.execute(
                "INSERT INTO device (name, digest, paired, seen) VALUES (?, ?, ?, ?)",
                (name, _digest(secret), now, now),
            ).lastrowid
        return Device(number or 0, name, now, now), secret

    def known(self, secret: str) -> Device | None:
        """Return the device that has this secret, None for a secret of no device, or of one that
        was let in too long ago. It is noted as seen."""
        if not self.file.exists():
            return None
        now = self._clock()
        with self._open() as connection:
            row = connection.execute(
                "SELECT number, name, paired, seen FROM device WHERE digest = ? AND paired > ?",
                (_digest(secret), now - DAYS * _DAY),
            ).fetchone()
            if row is None:
                return None
            device = Device(*row)
            if now - device.seen > _SEEN_EVERY:
                with contextlib.suppress(sqlite3.OperationalError):  # another one writes: no matter
                    connection.execute(
                        "UPDATE device SET seen = ? WHERE number = ?", (now, device.number)
                    )
        return device

    def listed(self) -> list[Device]:
        """Return the devices that are let in, the newest last.

        Raises:
            StorageError: the file cannot be read, or is something else.
        """
        if not self.file.exists():
            return []
        with self._open() as connection:
            rows = connection.execute(
                "SELECT number, name, paired, seen FROM device WHERE paired > ? ORDER BY number",
                (self._clock() - DAYS * _DAY,),
            ).fetchall()
        return [Device(*row) for row in rows]

    def forget(self, number: int) -> Device:
        """Let a device in no longer; return it.

        Raises:
            NotFound: there is no such device.
            StorageError: the file cannot be written.
        """
        for device in self.listed():
            if device.number == number:
                with self._open() as connection:
                    connection.execute("DELETE FROM device WHERE number = ?", (number,))
                return device
        raise NotFound(
            f"no device {number} is paired: 'stores serve --devices' shows those that are"
        )

    @contextlib.contextmanager
    def _open(self, *, create: bool = False) -> Iterator[sqlite3.Connection]:
        try:
            if create:
                self.file.parent.mkdir(parents=True, exist_ok=True)
                with contextlib.suppress(FileExistsError):
                    os.close(os.open(self.file, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600))
            if os.name == "posix" and self.file.stat().st_mode & 0o077:
                self.file.chmod(0o600)
            with contextlib.closing(sqlite3.connect(self.file, timeout=10)) as connection:
                connection.execute("PRAGMA secure_delete = ON")
                if create:
                    connection.execute(
                        "CREATE TABLE IF NOT EXISTS device (number INTEGER PRIMARY KEY "
                        "AUTOINCREMENT, name TEXT NOT NULL, digest TEXT NOT NULL UNIQUE, "
                        "paired REAL NOT NULL, seen REAL NOT NULL)"
                    )
                yield connection
                connection.commit()
        except sqlite3.DatabaseError as error:
            raise StorageError(
                f"the paired devices in {self.file} cannot be used ({error}): if nothing else "
                "helps, delete that file and pair the devices again"
            ) from error
        except OSError as error:
            raise StorageError(
                f"the paired devices cannot be kept in {self.file}: {error.strerror or error}"
            ) from error


class Pairing:
    """The codes that let a device in: each works once, and for ten minutes.

    ``address`` is the one of the network, as ``http://192.168.1.20:8711``. ``told`` is called with
    each device that is let in.
    """

    def __init__(
        self,
        devices: Devices,
        address: str,
        *,
        told: Callable[[Device], None] | None = None,
        clock: Callable[[], float] = time.time,
    ) -> None:
        self.devices = devices
        self.address = address
        self._told = told
        self._clock = clock
        self._codes: dict[str, tuple[str, float]] = {}
        self._lock = threading.Lock()

    def offered(self) -> str:
        """Return the address with the code to show: the newest one, or a new one where that is
        used or old."""
        with self._lock:
            self._drop_old()
            newest = max(self._codes.values(), key=lambda each: each[1], default=("", 0.0))
            if newest[1] - self._clock() < _FRESH:
                newest = (secrets.token_urlsafe(16), self._clock() + MINUTES * 60)
                self._codes[_digest(newest[0])] = newest
            return f"{self.address}/in/{newest[0]}"

    def works(self, code: str) -> bool:
        """Tell whether a code can be used."""
        with self._lock:
            self._drop_old()
            return _digest(code) in self._codes

    def use(self, code: str, name: str) -> str | None:
        """Let a device in by a code; return the secret that it is to keep, None if the code was
        used, is too old or none of ours.

        Raises:
            BadValue, NotationError: a name that cannot be kept; the code stays good.
            StorageError: the device cannot be kept.
        """
        named = clean(name, "the name", most=_NAME_AT_MOST)
        with self._lock:
            self._drop_old()
            if self._codes.pop(_digest(code), None) is None:
                return None
        device, secret = self.devices.add(named)
        if self._told:
            self._told(device)
        return secret

    def _drop_old(self) -> None:
        now = self._clock()
        self._codes = {key: each for key, each in self._codes.items() if each[1] > now}


def moment(seconds: float) -> str:
    """Return a moment in UTC, as the record writes them, of seconds since 1970."""
    return datetime.fromtimestamp(seconds, UTC).isoformat(timespec="seconds")


def _digest(secret: str) -> str:
    return sha256(secret.encode("utf-8", "replace")).hexdigest()
