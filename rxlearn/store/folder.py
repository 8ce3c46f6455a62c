"""The shelf on which texts are kept by name: in a folder, or in memory.

Both keep one contract (:class:`Store`): a text is replaced whole or not at
all, its previous version stays beside it, writers take turns, and a damaged
text is moved aside under a name of its own, never thrown away.
"""

from __future__ import annotations

import errno
import glob
import os
import re
import secrets
import shutil
import stat
import threading
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import Protocol

from filelock import FileLock, Timeout

HOME_VARIABLE = "RXLEARN_HOME"
"""Environment variable that names the folder; without it, ``~/my-receiver``."""

LARGEST_FILE = 8_000_000
"""Largest file, in bytes, that is read or written."""

PATIENCE = 10.0
"""Seconds that a writer waits for its turn."""

_NAME = re.compile(r"[a-z][a-z0-9-]*(\.[a-z0-9-]+)*")
_FULL = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}
_FORBIDDEN = {errno.EACCES, errno.EPERM, errno.EROFS}


class StoreFault(ValueError):
    """What could not be read or written, and what to do, in one sentence."""


class Unreadable(StoreFault):
    """What is kept under a name is not readable text; it should be set aside."""


class Store(Protocol):
    """A shelf for texts by name (small letters, digits, hyphens and points)."""

    @property
    def place(self) -> str:
        """Where the shelf is, in words for the learner."""

    def read(self, name: str) -> str | None:
        """Return the text, None if there is none; raise Unreadable if it is no text."""

    def update(self, name: str, function: Callable[[str | None], str]) -> str:
        """Replace the text by ``function(text)`` in one turn and return the new text.

        The version before it is kept as ``<name>.previous``.  If ``function``
        raises, nothing is written.  Raises :class:`StoreFault` if writing fails;
        the old text is then still there.
        """

    def set_aside(self, name: str, reason: str) -> str:
        """Move a damaged text to a dated name of its own and return that name.

        ``reason`` is kept beside it as ``<new name>.txt``.
        """

    def hold(self):
        """Context manager: keep all other writers waiting; may be nested in one thread."""


class _Shelf(ABC):
    """What every store does alike, on top of five primitives that work on bytes."""

    place: str

    @abstractmethod
    def hold(self): ...

    @abstractmethod
    def _get(self, name: str) -> bytes | None: ...

    @abstractmethod
    def _put(self, name: str, data: bytes) -> None: ...

    @abstractmethod
    def _move(self, name: str, new_name: str) -> None: ...

    @abstractmethod
    def _exists(self, name: str) -> bool: ...

    def read(self, name: str) -> str | None:
        """Return the text kept under ``name``, None if there is none.

        Raises :class:`Unreadable` for what is no UTF-8 text or too large,
        :class:`StoreFault` if it may not be read.
        """
        data = self._get(_checked(name))
        if data is None:
            return None
        if len(data) > LARGEST_FILE:
            raise Unreadable(f"{name} is larger than {LARGEST_FILE // 1_000_000} MB.")
        try:
            return data.decode("utf-8")
        except UnicodeDecodeError:
            raise Unreadable(f"{name} is not text.") from None

    def update(self, name: str, function: Callable[[str | None], str]) -> str:
        """Replace the text kept under ``name`` by ``function(text)``; see :class:`Store`."""
        with self.hold():
            current = self.read(name)
            text = function(current)
            data = text.encode("utf-8")
            if len(data) > LARGEST_FILE:
                raise StoreFault(
                    f"{name} would be larger than {LARGEST_FILE // 1_000_000} MB and was not "
                    "written: shorten what is to be kept."
                )
            if text != current:
                if current is not None:
                    self._put(f"{name}.previous", current.encode("utf-8"))
                self._put(name, data)
            return text

    def set_aside(self, name: str, reason: str) -> str:
        """Move a damaged text to a dated name of its own; see :class:`Store`."""
        _checked(name)
        with self.hold():
            if not self._exists(name):
                raise StoreFault(f"There is no {name} in {self.place} to set aside.")
            stem, point, suffix = name.partition(".")
            dated = f"{stem}.damaged-{datetime.now():%Y%m%d-%H%M%S}"
            number, new_name = 1, f"{dated}{point}{suffix}"
            while self._exists(new_name):
                number += 1
                new_name = f"{dated}-{number}{point}{suffix}"
            self._move(name, new_name)
            with suppress(StoreFault):  # the text itself is what matters
                self._put(f"{new_name}.txt", (reason + "\n").encode("utf-8", "replace"))
            return new_name


class MemoryStore(_Shelf):
    """A store that lasts as long as the session: for tests, and where there is no disk."""

    def __init__(self, *, patience: float = PATIENCE) -> None:
        self.place = "the memory of this session"
        self._texts: dict[str, bytes] = {}
        self._turn = threading.RLock()
        self._patience = patience

    @contextmanager
    def hold(self) -> Iterator[None]:
        """Keep all other threads' writing waiting; raise :class:`StoreFault` after a while."""
        if not self._turn.acquire(timeout=self._patience):
            raise _waited(self.place, self._patience)
        try:
            yield
        finally:
            self._turn.release()

    def _get(self, name: str) -> bytes | None:
        return self._texts.get(name)

    def _put(self, name: str, data: bytes) -> None:
        self._texts[name] = data

    def _move(self, name: str, new_name: str) -> None:
        self._texts[new_name] = self._texts.pop(name)

    def _exists(self, name: str) -> bool:
        return name in self._texts


class FolderStore(_Shelf):
    """A store in a folder, made on the first write.  Symbolic links are followed, not replaced."""

    def __init__(self, folder: str | os.PathLike[str], *, patience: float = PATIENCE) -> None:
        self.folder = Path(os.path.abspath(os.path.expanduser(folder)))
        self.place = _at_home(self.folder)
        self._patience = patience
        self._lock = FileLock(self.folder / ".lock")

    @contextmanager
    def hold(self) -> Iterator[None]:
        """Keep all other writers, in this process and others, waiting.

        Raises :class:`StoreFault` if the folder cannot be written in or the
        turn does not come within the store's patience.
        """
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            turn = self._lock.acquire(timeout=self._patience, poll_interval=0.01)
        except Timeout:
            raise _waited(self.place, self._patience) from None
        except (OSError, NotImplementedError) as error:
            raise self._fault(error, "written in") from None
        with turn:
            yield

    def _get(self, name: str) -> bytes | None:
        path = self.folder / name
        try:
            if not stat.S_ISREG(path.stat().st_mode):
                raise Unreadable(f"{name} is not a file.")
            with path.open("rb") as file:
                return file.read(LARGEST_FILE + 1)
        except FileNotFoundError:
            return None
        except OSError as error:
            raise self._fault(error, "read") from None

    def _put(self, name: str, data: bytes) -> None:
        try:
            _replace(Path(os.path.realpath(self.folder / name)), data)
        except OSError as error:
            raise self._fault(error, "written in") from None

    def _move(self, name: str, new_name: str) -> None:
        path, new_path = self.folder / name, self.folder / new_name
        try:
            if path.is_symlink() and path.is_file():
                # The link stays, so that the next plan is written where it points.
                target = Path(os.path.realpath(path))
                shutil.copyfile(target, new_path)
                target.unlink()
            else:
                path.rename(new_path)
            _sync_folder(self.folder)
        except OSError as error:
            raise self._fault(error, "written in") from None

    def _exists(self, name: str) -> bool:
        return os.path.lexists(self.folder / name)

    def _fault(self, error: BaseException, deed: str) -> StoreFault:
        number = getattr(error, "errno", None)
        if number in _FULL:
            return StoreFault(
                f"The disk that holds {self.place} is full, so nothing was changed there: "
                "free some space, then save again."
            )
        if number in _FORBIDDEN:
            return StoreFault(
                f"{self.place} may not be {deed}: give yourself permission, or set "
                f"{HOME_VARIABLE} to a folder of your own and start again."
            )
        if number in (errno.ENOTDIR, errno.EEXIST):
            return StoreFault(
                f"{self.place} is, or lies below, a file where a folder is wanted: rename that "
                f"file, or set {HOME_VARIABLE} to another folder and start again."
            )
        why = getattr(error, "strerror", None) or "this kind of disk cannot keep writers in turn"
        return StoreFault(
            f"{self.place} cannot be {deed} ({why}): set {HOME_VARIABLE} to another folder and "
            "start again."
        )


def open_store() -> FolderStore:
    """Return the store in the folder that ``RXLEARN_HOME`` names, else in ``~/my-receiver``."""
    return FolderStore(os.environ.get(HOME_VARIABLE) or Path("~") / "my-receiver")


def _checked(name: str) -> str:
    if not isinstance(name, str) or len(name) > 100 or not _NAME.fullmatch(name):
        raise StoreFault(
            "A name on the shelf is made of small letters, digits, hyphens and points."
        )
    return name


def _waited(place: str, patience: float) -> StoreFault:
    return StoreFault(
        f"Another notebook has been writing in {place} for {patience:g} seconds: wait until it "
        "has finished, then try again."
    )


def _at_home(folder: Path) -> str:
    """The folder as the learner would write it, with ``~`` for their home."""
    with suppress(RuntimeError, ValueError):
        return str(Path("~") / folder.relative_to(Path.home()))
    return str(folder)


def _replace(target: Path, data: bytes) -> None:
    """Put ``data`` in place of ``target`` at one stroke, and onto the disk.

    The caller holds the folder's lock: any other unfinished file is what a
    killed writer left.
    """
    if target.exists() and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, "read-only", str(target))
    for leftover in target.parent.glob(f".{glob.escape(target.name)}.*.new"):
        leftover.unlink(missing_ok=True)
    fresh = target.with_name(f".{target.name}.{secrets.token_hex(6)}.new")
    try:
        with open(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666), "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            shutil.copymode(target, fresh)
        os.replace(fresh, target)
    except BaseException:
        with suppress(OSError):
            fresh.unlink(missing_ok=True)
        raise
    _sync_folder(target.parent)


def _sync_folder(folder: Path) -> None:
    """Bring the folder's list of names onto the disk, where the system can do that."""
    with suppress(OSError):  # Windows opens no folders, some disks sync none
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
