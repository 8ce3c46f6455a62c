"""What only a folder can do wrong: links, permissions, full disks, killed writers."""

import errno
import multiprocessing
import os
import signal
import stat
import time
from pathlib import Path

import pytest

from rxlearn.store import folder as module
from rxlearn.store.folder import FolderStore, StoreFault, Unreadable, open_store

posix = pytest.mark.skipif(os.name != "posix", reason="POSIX permissions, links and signals")
NAME = "plan.json"


def test_the_folder_comes_from_the_environment_or_the_home(monkeypatch, tmp_path):
    monkeypatch.setenv("RXLEARN_HOME", str(tmp_path / "mine"))
    assert open_store().folder == tmp_path / "mine"
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("USERPROFILE", str(tmp_path))
    monkeypatch.setenv("RXLEARN_HOME", "~/theirs")
    assert open_store().folder == tmp_path / "theirs"
    for empty in (lambda: monkeypatch.setenv("RXLEARN_HOME", ""),
                  lambda: monkeypatch.delenv("RXLEARN_HOME")):
        empty()
        assert open_store().folder == tmp_path / "my-receiver"
        assert Path(open_store().place) == Path("~/my-receiver")


def test_reading_makes_no_folder_and_writing_does(tmp_path):
    store = FolderStore(tmp_path / "a" / "b")
    assert store.read(NAME) is None
    assert not (tmp_path / "a").exists()
    store.update(NAME, lambda _: "x")
    assert (tmp_path / "a" / "b" / NAME).read_text() == "x"


def test_a_file_where_the_folder_should_be_is_told(tmp_path):
    (tmp_path / "file").write_text("mine")
    for place in (tmp_path / "file", tmp_path / "file" / "below"):
        store = FolderStore(place)
        for use in (lambda: store.read(NAME), lambda: store.update(NAME, lambda _: "x")):
            with pytest.raises(StoreFault, match="a file where a folder is wanted"):
                use()
    assert (tmp_path / "file").read_text() == "mine"


@posix
def test_a_folder_or_a_pipe_in_the_file_s_place_is_not_read(tmp_path):
    os.mkfifo(tmp_path / "pipe.json")
    (tmp_path / NAME).mkdir()
    store = FolderStore(tmp_path)
    for name in ("pipe.json", NAME):
        with pytest.raises(Unreadable, match="is not a file"):
            store.read(name)
        assert (tmp_path / store.set_aside(name, "why")).exists()
        assert store.read(name) is None


@posix
def test_links_are_followed_and_stay(tmp_path):
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "receiver").symlink_to(tmp_path / "elsewhere")
    (tmp_path / "synced").mkdir()
    (tmp_path / "synced" / "real.json").write_text("old")
    (tmp_path / "elsewhere" / NAME).symlink_to(tmp_path / "synced" / "real.json")
    store = FolderStore(tmp_path / "receiver")
    store.update(NAME, lambda text: text + "+new")
    assert (tmp_path / "synced" / "real.json").read_text() == "old+new"
    aside = store.set_aside(NAME, "why")
    assert (tmp_path / "elsewhere" / aside).read_text() == "old+new"
    assert store.read(NAME) is None
    store.update(NAME, lambda _: "again")
    assert (tmp_path / "synced" / "real.json").read_text() == "again"
    assert (tmp_path / "elsewhere" / NAME).is_symlink() and (tmp_path / "receiver").is_symlink()


@posix
def test_links_in_a_circle_are_told(tmp_path):
    (tmp_path / NAME).symlink_to(tmp_path / NAME)
    with pytest.raises(StoreFault, match="cannot be read"):
        FolderStore(tmp_path).read(NAME)


@posix
def test_the_file_s_permissions_stay(tmp_path):
    store = FolderStore(tmp_path)
    store.update(NAME, lambda _: "one")
    (tmp_path / NAME).chmod(0o640)
    store.update(NAME, lambda _: "two")
    assert stat.S_IMODE((tmp_path / NAME).stat().st_mode) == 0o640


def as_nobody(tmp_path, deed):
    """Run ``deed()`` in a child without special rights; return what it tells."""
    for place in (tmp_path, *tmp_path.parents):
        if os.getuid() == 0 and place.owner() == "root" and str(place).startswith("/tmp/"):
            place.chmod(place.stat().st_mode | 0o055)
    ours, theirs = multiprocessing.Pipe()

    def child():
        if os.getuid() == 0:
            os.setgid(65534)
            os.setuid(65534)
        try:
            theirs.send(repr(deed()))
        except StoreFault as fault:
            theirs.send(str(fault))

    process = multiprocessing.get_context("fork").Process(target=child)
    process.start()
    theirs.close()
    process.join(20)
    assert ours.poll(), "the child told nothing"
    return ours.recv()


@posix
def test_a_read_only_folder_is_told_and_what_is_there_is_read(tmp_path):
    place = tmp_path / "receiver"
    FolderStore(place).update(NAME, lambda _: "kept")
    (place / ".lock").unlink(missing_ok=True)
    place.chmod(0o555)
    try:
        told = as_nobody(tmp_path, lambda: FolderStore(place).update(NAME, lambda _: "x"))
        assert "may not be written in: give yourself permission" in told and told.endswith(".")
        assert as_nobody(tmp_path, lambda: FolderStore(place).read(NAME)) == "'kept'"
        assert "may not be written in" in as_nobody(
            tmp_path, lambda: FolderStore(place / "new").update(NAME, lambda _: "x"))
    finally:
        place.chmod(0o755)
    assert (place / NAME).read_text() == "kept"


@posix
def test_a_write_protected_file_is_not_replaced(tmp_path):
    place = tmp_path / "receiver"
    FolderStore(place).update(NAME, lambda _: "protected")
    (place / NAME).chmod(0o444)
    place.chmod(0o777)
    (place / ".lock").chmod(0o666)
    told = as_nobody(tmp_path, lambda: FolderStore(place).update(NAME, lambda _: "x"))
    assert "may not be written in" in told
    assert (place / NAME).read_text() == "protected"


@posix
def test_an_unreadable_file_is_told(tmp_path):
    place = tmp_path / "receiver"
    FolderStore(place).update(NAME, lambda _: "secret")
    (place / NAME).chmod(0o000)
    assert "may not be read" in as_nobody(tmp_path, lambda: FolderStore(place).read(NAME))


@pytest.mark.parametrize("call", ["open", "fsync", "replace"])
@pytest.mark.parametrize("number, says", [
    (errno.ENOSPC, "is full, so nothing was changed"), (errno.EDQUOT, "is full"),
    (errno.EROFS, "may not be written in"), (errno.EIO, "cannot be written in"),
])
def test_a_disk_that_fails_at_any_step_leaves_the_old_text(
    monkeypatch, tmp_path, call, number, says
):
    store = FolderStore(tmp_path)
    for text in ("one", "two"):
        store.update(NAME, lambda _, text=text: text)
    real = getattr(os, call)

    def fail(target, *rest, **named):
        if call == "fsync" or ".new" in str(target):
            raise OSError(number, os.strerror(number))
        return real(target, *rest, **named)

    with store.hold():  # the lock's own file is not the one that fails here
        monkeypatch.setattr(module.os, call, fail)
        with pytest.raises(StoreFault, match=says):
            store.update(NAME, lambda _: "three")
        monkeypatch.undo()
    assert store.read(NAME) == "two"
    assert store.read(f"{NAME}.previous") in ("one", "two")
    assert not list(tmp_path.glob(".*.new"))
    store.update(NAME, lambda _: "three")
    assert store.read(NAME) == "three"


@posix
def test_a_real_limit_on_file_size_leaves_the_old_text(tmp_path):
    import resource

    store = FolderStore(tmp_path)
    store.update(NAME, lambda _: "short")

    def write_long():
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))
        return FolderStore(tmp_path).update(NAME, lambda _: "x" * 5000)

    for path in (tmp_path, tmp_path / ".lock", tmp_path / NAME):
        path.exists() and path.chmod(0o777)
    assert "is full, so nothing was changed" in as_nobody(tmp_path, write_long)
    assert store.read(NAME) == "short"


def _count(place, times):
    store = FolderStore(place, patience=60)
    for _ in range(times):
        store.update(NAME, lambda text: str(int(text or 0) + 1))


def test_processes_take_turns(tmp_path):
    context = multiprocessing.get_context("spawn")
    writers = [context.Process(target=_count, args=(tmp_path, 50)) for _ in range(2)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(60)
        assert writer.exitcode == 0
    assert FolderStore(tmp_path).read(NAME) == "100"


@posix
def test_the_bytes_are_on_the_disk_before_the_name_is_theirs(monkeypatch, tmp_path):
    store = FolderStore(tmp_path)
    store.update(NAME, lambda _: "one")
    steps, fsync, replace = [], os.fsync, os.replace
    monkeypatch.setattr(module.os, "fsync", lambda handle: (steps.append("sync"), fsync(handle)))
    monkeypatch.setattr(module.os, "replace", lambda fresh, target: (
        steps.append(Path(target).name), replace(fresh, target)))
    old = open(tmp_path / NAME)  # someone who has the file open keeps the whole old text
    store.update(NAME, lambda _: "two")
    with old:
        assert old.read() == "one"
    # The file, its name, then the folder's list of names; first for the version before.
    assert steps == ["sync", f"{NAME}.previous", "sync", "sync", NAME, "sync"]


def _write_long(place):
    store = FolderStore(place, patience=60)
    for turn in range(60):
        store.update(NAME, lambda _, turn=turn: str(turn % 10) * 1_000_000)


def test_a_reader_never_sees_half_a_text(tmp_path):
    store = FolderStore(tmp_path)
    store.update(NAME, lambda _: "x" * 1_000_000)
    writer = multiprocessing.get_context("spawn").Process(target=_write_long, args=(tmp_path,))
    writer.start()
    seen = set()
    while writer.is_alive():
        text = store.read(NAME)
        assert len(text) == 1_000_000 and len(set(text)) == 1
        seen.add(text[0])
    assert writer.exitcode == 0 and len(seen) > 3


def _write_for_ever(place):
    store = FolderStore(place, patience=60)
    while True:
        store.update(NAME, lambda text: str(int((text or "0 ").split()[0]) + 1) + " x" * 20_000)


@posix
def test_a_writer_killed_at_any_moment_leaves_a_whole_text_and_no_lock(tmp_path):
    store = FolderStore(tmp_path, patience=5)
    store.update(NAME, lambda _: "0" + " x" * 20_000)
    context = multiprocessing.get_context("fork")
    before = 0
    for turn in range(25):
        writer = context.Process(target=_write_for_ever, args=(tmp_path,))
        writer.start()
        time.sleep(0.02 + 0.0037 * turn)
        os.kill(writer.pid, signal.SIGKILL)
        writer.join()
        for name in (NAME, f"{NAME}.previous"):
            text = store.read(name)
            assert text is None or text.endswith(" x" * 20_000) and text.split()[0].isdigit()
        now = int(store.read(NAME).split()[0])
        assert now >= before
        before = int(store.update(
            NAME, lambda text: str(int(text.split()[0]) + 1) + " x" * 20_000).split()[0])
        assert not list(tmp_path.glob(".*.new"))  # what a killed writer left is cleared away
    assert before > 25
