"""Answers and predictions: kept, bounded, and safe between processes and sessions."""

import json
import math
import multiprocessing

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.store import progress as module
from rxlearn.store.folder import FolderStore, MemoryStore, StoreFault
from rxlearn.store.progress import KEPT, PROGRESS_NAME, ProgressFault, recall, remember


@pytest.fixture(params=["folder", "memory"])
def store(request, tmp_path):
    return FolderStore(tmp_path / "receiver") if request.param == "folder" else MemoryStore()


def put(store, name, data):
    with store.hold():
        store._put(name, data)


def test_nothing_is_recalled_before_the_first_answer(store):
    assert recall(store, "answer", "basics/image") == []


def test_records_come_back_in_order_by_kind_and_key(store):
    for number in range(3):
        assert remember(store, "answer", "basics/image", {"given": f"{number} MHz"}) == ""
    remember(store, "prediction", "basics/image", {"guess": 1.5, "seed": 7})
    remember(store, "answer", "basics/other", {"right": True, "hints": [1, 2], "note": None})
    assert [row["given"] for row in recall(store, "answer", "basics/image")] == [
        "0 MHz", "1 MHz", "2 MHz"]
    assert recall(store, "prediction", "basics/image") == [{"guess": 1.5, "seed": 7}]
    assert recall(store, "answer", "basics/other") == [
        {"right": True, "hints": [1, 2], "note": None}]


def test_a_second_session_recalls_what_the_first_kept(tmp_path):
    remember(FolderStore(tmp_path), "answer", "q1", {"given": "3.5 MHz"})
    assert recall(FolderStore(tmp_path), "answer", "q1") == [{"given": "3.5 MHz"}]
    kept = json.loads((tmp_path / PROGRESS_NAME).read_text(encoding="utf-8"))
    assert kept["records"]["answer"]["q1"][0]["at"].endswith("Z")


def test_only_the_newest_are_kept():
    store = MemoryStore()
    for number in range(KEPT + 5):
        remember(store, "answer", "q1", {"number": number})
    assert [row["number"] for row in recall(store, "answer", "q1")] == list(range(5, KEPT + 5))


json_like = st.recursive(
    st.none() | st.booleans() | st.integers(-10**15, 10**15)
    | st.floats(allow_nan=False, allow_infinity=False, min_value=-1e250, max_value=1e250)
    | st.text(st.characters(codec="utf-8"), max_size=30),
    lambda inner: st.lists(inner, max_size=4)
    | st.dictionaries(st.text(st.characters(codec="utf-8"), max_size=9), inner, max_size=4),
    max_leaves=12,
)


@given(st.dictionaries(st.text(st.characters(codec="utf-8"), max_size=9), json_like, max_size=4))
@settings(max_examples=150)
def test_any_record_comes_back_as_it_was(record):
    store = MemoryStore()
    remember(store, "answer", "q1", record)
    [again] = recall(store, "answer", "q1")
    assert again == record
    assert json.dumps(again) == json.dumps(record)  # types too: 1 is not 1.0 nor True


def test_numbers_of_numpy_are_kept_as_numbers(store):
    remember(store, "answer", "q1", {"a": np.float64(1.5), "b": np.int64(2), "c": np.bool_(True)})
    assert recall(store, "answer", "q1") == [{"a": 1.5, "b": 2, "c": True}]


def looped():
    record = {}
    record["self"] = record
    return record


@pytest.mark.parametrize("record", [
    None, 3, "text", [1], {1: 2}, {"a": math.nan}, {"a": math.inf}, {"a": {1, 2}}, {"a": b"x"},
    {"a": object()}, {"a": 1j}, {"a": "x" * 5000}, {"a": "\ud800"}, {"a": 10**70}, looped(),
    {"a": {"b": {None: 1}}}, json.loads("[" * 30 + "]" * 30),
], ids=lambda record: type(record).__name__)
def test_what_cannot_be_kept_is_refused_in_a_sentence(store, record):
    with pytest.raises(ProgressFault) as caught:
        remember(store, "answer", "q1", record)
    assert str(caught.value).endswith(".")
    assert store.read(PROGRESS_NAME) is None


@pytest.mark.parametrize("word", ["", "A", "a b", "../x", None, 3, "x" * 101, "<b>", "a\n"])
def test_kinds_and_keys_are_words(store, word):
    for kind, key in ((word, "q1"), ("answer", word)):
        with pytest.raises(ProgressFault):
            remember(store, kind, key, {})
        with pytest.raises(ProgressFault):
            recall(store, kind, key)


@pytest.mark.parametrize("data", [
    b"", b"{", b"\xff\xff", b"[]", b'{"format": "rxlearn progress", "version": 1, "records": 3}',
    b'{"format": "rxlearn progress", "version": 1, "records": {"answer": {"q1": [{"at": 1}]}}}',
    b"[" * 100_000, b'{"format": "rxlearn progress", "version": true, "records": {}}',
    b'{"format": "rxlearn progress", "version": 0, "records": {}}',
])
def test_a_damaged_file_is_set_aside_and_named(store, data):
    put(store, PROGRESS_NAME, data)
    assert recall(store, "answer", "q1") == []
    notice = remember(store, "answer", "q1", {"given": "x"})
    [aside] = [word.rstrip(";.,") for word in notice.split() if ".damaged-" in word]
    assert store._get(aside) == data
    assert recall(store, "answer", "q1") == [{"given": "x"}]


def test_after_damage_answers_go_on_from_the_version_before(store):
    for number in range(3):
        remember(store, "answer", "q1", {"number": number})
    put(store, PROGRESS_NAME, b"{")
    assert recall(store, "answer", "q1") == [{"number": 0}, {"number": 1}]
    assert "version before" in remember(store, "answer", "q1", {"number": 3})
    assert [row["number"] for row in recall(store, "answer", "q1")] == [0, 1, 3]


def test_both_versions_damaged_begin_afresh(store):
    put(store, PROGRESS_NAME, b"{")
    put(store, f"{PROGRESS_NAME}.previous", b"[")
    assert recall(store, "answer", "q1") == []
    assert ".damaged-" in remember(store, "answer", "q1", {"number": 1})
    assert recall(store, "answer", "q1") == [{"number": 1}]


def test_progress_of_a_newer_rxlearn_is_left_as_it_is(store):
    newer = '{"format": "rxlearn progress", "version": 2, "records": []}'
    put(store, PROGRESS_NAME, newer.encode())
    assert recall(store, "answer", "q1") == []
    with pytest.raises(StoreFault, match="newer rxlearn"):
        remember(store, "answer", "q1", {})
    assert store.read(PROGRESS_NAME) == newer


def test_members_that_a_newer_rxlearn_wrote_are_kept(store):
    put(store, PROGRESS_NAME, json.dumps({
        "format": "rxlearn progress", "version": 1, "class": "Tuesday", "records": {
            "answer": {"q1": [{"at": "2027", "record": {"x": 0.1}, "mentor": "seen"}]}},
    }).encode())
    remember(store, "answer", "q1", {"x": 2})
    again = json.loads(store.read(PROGRESS_NAME))
    assert again["class"] == "Tuesday"
    assert again["records"]["answer"]["q1"][0] == {
        "at": "2027", "record": {"x": 0.1}, "mentor": "seen"}


def test_a_file_that_grows_too_large_loses_its_older_half(monkeypatch):
    monkeypatch.setattr(module, "LARGEST_TEXT", 5000)
    store = MemoryStore()
    for number in range(60):
        remember(store, "answer", f"q{number % 2}", {"number": number, "text": "x" * 80})
        assert len(store.read(PROGRESS_NAME)) <= 5000
        assert recall(store, "answer", f"q{number % 2}")[-1]["number"] == number
    with pytest.raises(StoreFault, match="too large"):
        for number in range(60):
            remember(store, "answer", f"r{number}", {"text": "x" * 80})


def _answer(place, key):
    store = FolderStore(place, patience=60)
    for number in range(50):
        remember(store, "answer", key, {"number": number})


def test_two_processes_lose_no_answer(tmp_path):
    context = multiprocessing.get_context("spawn")
    writers = [context.Process(target=_answer, args=(tmp_path, key)) for key in ("q1", "q2")]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(120)
        assert writer.exitcode == 0
    for key in ("q1", "q2"):
        kept = recall(FolderStore(tmp_path), "answer", key)
        assert [row["number"] for row in kept] == list(range(50))
