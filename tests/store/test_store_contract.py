"""One contract for every store: the same tests for a folder and for memory."""

import threading

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.store.folder import LARGEST_FILE, FolderStore, MemoryStore, StoreFault, Unreadable


class InFolder:
    """A folder store, and a back door to its bytes."""

    def __init__(self, folder):
        self.folder = folder / "receiver"
        self.store = FolderStore(self.folder, patience=0.2)

    def put(self, name, data):
        self.folder.mkdir(exist_ok=True)
        (self.folder / name).write_bytes(data)

    def get(self, name):
        return (self.folder / name).read_bytes()

    def names(self):
        return {path.name for path in self.folder.glob("*")} - {".lock"}


class InMemory:
    """A memory store, and a back door to its bytes."""

    def __init__(self, _):
        self.store = MemoryStore(patience=0.2)

    def put(self, name, data):
        self.store._put(name, data)

    def get(self, name):
        return self.store._get(name)

    def names(self):
        return set(self.store._texts)


@pytest.fixture(params=[InFolder, InMemory])
def kept(request, tmp_path):
    return request.param(tmp_path)


def test_nothing_is_there_before_the_first_write(kept):
    assert kept.store.read("plan.json") is None


def test_what_was_written_is_read(kept):
    assert kept.store.update("plan.json", lambda text: f"{text} µΩ\n") == "None µΩ\n"
    assert kept.store.read("plan.json") == "None µΩ\n"
    assert kept.get("plan.json") == "None µΩ\n".encode()


def test_the_version_before_is_kept(kept):
    for text in ("one", "two", "three"):
        kept.store.update("plan.json", lambda _, text=text: text)
    assert kept.store.read("plan.json") == "three"
    assert kept.store.read("plan.json.previous") == "two"


def test_writing_the_same_again_keeps_the_version_before(kept):
    for text in ("one", "two", "two"):
        kept.store.update("plan.json", lambda _, text=text: text)
    assert kept.store.read("plan.json.previous") == "one"


def test_a_function_that_fails_changes_nothing(kept):
    kept.store.update("plan.json", lambda _: "one")
    names = kept.names()

    def fail(text):
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        kept.store.update("plan.json", fail)
    assert kept.store.read("plan.json") == "one" and kept.names() == names
    kept.store.update("plan.json", lambda text: text + "!")  # the turn was given back


def test_what_is_no_text_is_not_read_and_not_written_over(kept):
    kept.put("plan.json", b"\xff\xfe\x00bad")
    for use in (lambda: kept.store.read("plan.json"),
                lambda: kept.store.update("plan.json", lambda _: "new")):
        with pytest.raises(Unreadable, match="plan.json is not text"):
            use()
    assert kept.get("plan.json") == b"\xff\xfe\x00bad"


def test_what_is_too_large_is_not_read_and_not_written(kept):
    kept.put("plan.json", b"x" * (LARGEST_FILE + 1))
    with pytest.raises(Unreadable, match="larger than 8 MB"):
        kept.store.read("plan.json")
    with pytest.raises(StoreFault, match="would be larger"):
        kept.store.update("other.json", lambda _: "x" * (LARGEST_FILE + 1))
    assert kept.store.read("other.json") is None


def test_what_is_set_aside_has_a_name_of_its_own_and_its_reason_beside_it(kept):
    names = set()
    for number in range(5):
        kept.put("plan.json", b"\xff%d" % number)
        aside = kept.store.set_aside("plan.json", "It is broken\ud800.")
        names.add(aside)
        assert aside.startswith("plan.damaged-20") and aside.endswith(".json")
        assert kept.get(aside) == b"\xff%d" % number
        assert kept.get(f"{aside}.txt").startswith(b"It is broken")
        assert kept.store.read("plan.json") is None
    assert len(names) == 5


def test_there_must_be_something_to_set_aside(kept):
    with pytest.raises(StoreFault, match="no plan.json"):
        kept.store.set_aside("plan.json", "why")


@pytest.mark.parametrize("name", ["", "../x", "/etc/passwd", "a/b", "a\\b", ".hidden", "A.json",
                                  "a..b", "a\n", "a\0", "x" * 101, None, 3])
def test_a_name_cannot_leave_the_shelf(kept, name):
    for use in (lambda: kept.store.read(name), lambda: kept.store.set_aside(name, "why"),
                lambda: kept.store.update(name, lambda _: "x")):
        with pytest.raises(StoreFault, match="A name on the shelf"):
            use()


def test_a_turn_may_be_nested_in_one_thread(kept):
    with kept.store.hold(), kept.store.hold():
        kept.store.update("plan.json", lambda _: "x")
    assert kept.store.read("plan.json") == "x"


def test_other_threads_wait_and_give_up_in_a_sentence(kept):
    told = []

    def write():
        try:
            kept.store.update("plan.json", lambda _: "other")
        except StoreFault as fault:
            told.append(str(fault))

    with kept.store.hold():
        other = threading.Thread(target=write)
        other.start()
        other.join(10)
    assert len(told) == 1 and "has been writing in" in told[0] and "try again" in told[0]
    assert kept.store.read("plan.json") is None


def test_threads_lose_nothing(kept):
    kept.store._patience = 30

    def count():
        for _ in range(25):
            kept.store.update("plan.json", lambda text: str(int(text or 0) + 1))

    threads = [threading.Thread(target=count) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert kept.store.read("plan.json") == "100"


@given(text=st.text(st.characters(codec="utf-8"), max_size=100))
@settings(max_examples=100, deadline=None)
def test_any_text_comes_back_as_it_was(tmp_path_factory, text):
    for kept in (InFolder(tmp_path_factory.mktemp("any")), InMemory(None)):
        kept.store.update("plan.json", lambda _: text)
        assert kept.store.read("plan.json") == text
