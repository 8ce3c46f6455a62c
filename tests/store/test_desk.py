"""The plan on the store: never lost, never overwritten unseen, always a word on it."""

import json
import multiprocessing
import os
import signal
import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rxlearn.plan.document import Change, NewerPlan, Plan, PlanFault
from rxlearn.store.desk import PLAN_NAME, Conflict, load_plan, save_changes
from rxlearn.store.folder import FolderStore, MemoryStore, StoreFault

PREVIOUS = f"{PLAN_NAME}.previous"


def change(value, status="wished"):
    return Change(value=value, status=status, origin="a test")


@pytest.fixture(params=["folder", "memory"])
def store(request, tmp_path):
    return FolderStore(tmp_path / "receiver") if request.param == "folder" else MemoryStore()


def put(store, name, data):
    """Write bytes by the back door."""
    with store.hold():
        store._put(name, data)


def saved(store, *qs):
    for loaded_q in qs:
        seen = load_plan(store).plan
        save_changes(store, {"preselector.loaded_q": change(float(loaded_q))}, seen)


def test_without_a_plan_the_demo_plan_comes_with_a_word(store):
    loaded = load_plan(store)
    assert loaded.plan == Plan.demo()
    assert "no receiver plan yet" in loaded.notice and store.place in loaded.notice
    assert store.read(PLAN_NAME) is None


def test_what_is_saved_is_loaded_without_a_word(store):
    seen = load_plan(store).plan
    outcome = save_changes(store, {"preselector.loaded_q": change(70.0, "measured")}, seen)
    assert outcome.notice == ""
    assert load_plan(store) == type(load_plan(store))(outcome.plan, "")
    assert outcome.plan.entry("preselector.loaded_q").status == "measured"


def test_other_fields_changed_elsewhere_are_kept(store):
    saved(store, 60)
    seen = load_plan(store).plan
    save_changes(store, {"region": change(1)}, seen)
    save_changes(store, {"preselector.circuits": change(2)}, seen)
    plan = load_plan(store).plan
    assert [plan.value(key) for key in ("region", "preselector.circuits", "preselector.loaded_q")] \
        == [1, 2, 60.0]


def test_the_same_field_changed_elsewhere_is_asked_again(store):
    seen = load_plan(store).plan
    save_changes(store, {"intermediate_frequency": change(3.2e6)}, seen)
    before = store.read(PLAN_NAME)
    both = {"intermediate_frequency": change(3.3e6), "region": change(1)}
    with pytest.raises(Conflict) as caught:
        save_changes(store, both, seen)
    told = str(caught.value)
    assert "3.2768 MHz" in told and "3.2 MHz" in told and "3.3 MHz" in told
    assert [clash.key for clash in caught.value.clashes] == ["intermediate_frequency"]
    assert store.read(PLAN_NAME) == before
    outcome = save_changes(store, both, caught.value.plan)  # seen, chosen again
    assert outcome.plan.value("intermediate_frequency") == 3.3e6


def test_a_measured_value_is_not_overwritten_unseen_by_the_same_number(store):
    seen = load_plan(store).plan
    save_changes(store, {"intermediate_frequency": change(3.2768e6, "measured")}, seen)
    with pytest.raises(Conflict, match="measured"):
        save_changes(store, {"intermediate_frequency": change(3.2e6)}, seen)


def test_the_same_change_made_twice_is_no_conflict(store):
    seen = load_plan(store).plan
    for _ in range(2):
        save_changes(store, {"intermediate_frequency": change(3.2e6)}, seen)


def test_a_change_that_will_not_do_changes_nothing(store):
    saved(store, 60)
    seen, before = load_plan(store).plan, store.read(PLAN_NAME)
    for changes in ({"region": change(9)}, {"no.such": change(1)},
                    {"intermediate_frequency": change(3.6e6)}):
        with pytest.raises(PlanFault):
            save_changes(store, changes, seen)
    assert store.read(PLAN_NAME) == before


def test_two_good_changes_that_do_not_go_together_are_refused(store):
    """Each notebook's change is good by what it saw; together they break a rule."""
    seen = load_plan(store).plan
    save_changes(store, {"lower_band.high": change(9e6)}, seen)
    with pytest.raises(PlanFault, match="low edge the lower one|inside|exchange"):
        save_changes(store, {"upper_band.low": change(8e6)}, seen)


DAMAGE = {
    "cut short": lambda data: data[: len(data) // 2], "emptied": lambda data: b"",
    "zeroed": lambda data: bytes(len(data)), "not text": lambda data: b"\xff" + data[1:],
    "another document": lambda data: b'{"format": "shopping"}',
    "a broken rule": lambda data: data.replace(b'3.2768', b'3.6'),
    "huge": lambda data: data + b" " * 100_000_000, "nested": lambda data: b"[" * 200_000,
}


@pytest.mark.parametrize("spoil", DAMAGE.values(), ids=DAMAGE)
def test_a_damaged_plan_is_set_aside_and_the_version_before_it_used(store, spoil):
    saved(store, 60, 70)
    damaged = spoil(store.read(PLAN_NAME).encode())
    put(store, PLAN_NAME, damaged)
    loaded = load_plan(store)
    assert loaded.plan.value("preselector.loaded_q") == 60.0
    [aside] = [word.rstrip(".") for word in loaded.notice.split() if ".damaged-" in word]
    assert "version before" in loaded.notice
    if isinstance(store, FolderStore):
        assert (store.folder / aside).read_bytes() == damaged
    else:
        assert store._get(aside) == damaged
    assert load_plan(store) == type(loaded)(loaded.plan, "")  # told once, then in order
    saved(store, 80)
    assert load_plan(store).plan.value("preselector.loaded_q") == 80.0


def test_both_versions_damaged_are_both_set_aside_and_named(store):
    saved(store, 60, 70)
    put(store, PLAN_NAME, b"{")
    put(store, PREVIOUS, b"[")
    loaded = load_plan(store)
    assert loaded.plan == Plan.demo()
    assert loaded.notice.count(".damaged-") == 2 and "demo plan" in loaded.notice
    assert store.read(PLAN_NAME) is None and store.read(PREVIOUS) is None


def test_a_missing_plan_is_brought_back_from_the_version_before(store):
    saved(store, 60, 70)
    store._move(PLAN_NAME, "elsewhere.json")
    loaded = load_plan(store)
    assert loaded.plan.value("preselector.loaded_q") == 60.0
    assert "missing" in loaded.notice and "begin afresh" in loaded.notice


def test_saving_on_a_damaged_plan_sets_it_aside_first(store):
    saved(store, 60, 70)
    seen = load_plan(store).plan
    put(store, PLAN_NAME, b"{")
    outcome = save_changes(store, {"region": change(1)}, seen)
    assert ".damaged-" in outcome.notice
    assert outcome.plan.value("region") == 1 and outcome.plan.value("preselector.loaded_q") == 60.0


def test_saving_where_everything_vanished_keeps_what_the_notebook_has(store):
    saved(store, 60)
    seen = load_plan(store).plan
    put(store, PLAN_NAME, b"{")
    outcome = save_changes(store, {"region": change(1)}, seen)
    assert outcome.plan.value("preselector.loaded_q") == 60.0


def test_a_newer_plan_is_left_as_it_is(store):
    newer = json.dumps(json.loads(Plan.demo().to_text()) | {"version": 3})
    put(store, PLAN_NAME, newer.encode())
    loaded = load_plan(store)
    assert loaded.plan == Plan.demo() and "bring rxlearn up to date" in loaded.notice
    with pytest.raises(NewerPlan, match="left as it is"):
        save_changes(store, {"region": change(1)}, loaded.plan)
    assert store.read(PLAN_NAME) == newer and store.read(PREVIOUS) is None


def test_a_newer_version_before_a_damaged_one_is_not_lost_either(store):
    newer = json.dumps(json.loads(Plan.demo().to_text()) | {"version": 3})
    put(store, PREVIOUS, newer.encode())
    put(store, PLAN_NAME, b"{")
    assert "bring rxlearn up to date" in load_plan(store).notice
    assert store.read(PLAN_NAME) == newer


def test_unknown_fields_survive_a_save(store):
    newer = json.loads(Plan.demo().to_text())
    newer["values"]["detector.kind"] = {"value": "diode", "status": "wished", "origin": "later"}
    put(store, PLAN_NAME, json.dumps(newer).encode())
    saved(store, 60)
    again = json.loads(store.read(PLAN_NAME))
    assert again["values"]["detector.kind"] == newer["values"]["detector.kind"]


def test_a_plan_that_could_not_be_read_back_is_not_written(store):
    demo = json.loads(Plan.demo().to_text())
    padded = demo | {"padding": "x" * (199_500 - len(json.dumps(demo)))}
    text = json.dumps(padded)
    put(store, PLAN_NAME, text.encode())
    changes = {"receiver.name": change("n" * 80), "lower_band.name": change("n" * 80)} | {
        key: Change(value=Plan.demo().value(key), status="measured", origin="o" * 120)
        for key in Plan.demo().entries if not key.endswith("name")
    }
    with pytest.raises(PlanFault, match="too large"):
        save_changes(store, changes, load_plan(store).plan)
    assert store.read(PLAN_NAME) == text


class Stuck(MemoryStore):
    """A store in which nothing can be written or moved."""

    def _put(self, name, data):
        raise StoreFault("The disk is stuck: wait.")

    def _move(self, name, new_name):
        raise StoreFault("The disk is stuck: wait.")


def test_a_damaged_plan_that_cannot_be_moved_is_not_written_over():
    store = Stuck()
    store._texts = {PLAN_NAME: b"{", PREVIOUS: Plan.demo().to_text().encode()}
    loaded = load_plan(store)
    assert loaded.plan == Plan.demo() and "could not be set aside" in loaded.notice
    with pytest.raises(StoreFault, match="Nothing was saved"):
        save_changes(store, {"region": change(1)}, loaded.plan)
    assert store._texts[PLAN_NAME] == b"{"


def test_a_store_that_cannot_be_opened_shows_the_demo_plan(tmp_path):
    (tmp_path / "file").write_text("mine")
    store = FolderStore(tmp_path / "file")
    loaded = load_plan(store)
    assert loaded.plan == Plan.demo() and "a folder is wanted" in loaded.notice
    with pytest.raises(StoreFault, match="a folder is wanted"):
        save_changes(store, {"region": change(1)}, loaded.plan)


@given(st.lists(st.tuples(st.integers(0, 2500), st.integers(0, 7)), min_size=1, max_size=4),
       st.integers(0, 2500))
@settings(max_examples=150)
def test_turned_bits_and_lost_ends_lose_nothing(bits, length):
    store = MemoryStore()
    saved(store, 60, 70)
    data = bytearray(store._get(PLAN_NAME))
    for at, bit in bits:
        data[at % len(data)] ^= 1 << bit
    data = bytes(data[: max(length, len(data) // 3)])
    put(store, PLAN_NAME, data)
    loaded = load_plan(store)
    asides = [at for name, at in store._texts.items()
              if ".damaged-" in name and not name.endswith(".txt")]
    if asides:
        assert asides == [data] and loaded.plan.value("preselector.loaded_q") == 60.0
        assert ".damaged-" in loaded.notice
    else:  # still a good plan: as in any file that people may edit, a digit can turn unseen
        assert store._get(PLAN_NAME) == data
        assert Plan.from_text(data.decode()) == loaded.plan


@given(st.binary(max_size=300))
@settings(max_examples=150)
def test_any_bytes_in_the_plan_s_place_are_set_aside_whole(data):
    store = MemoryStore()
    put(store, PLAN_NAME, data)
    loaded = load_plan(store)
    assert loaded.plan == Plan.demo() and ".damaged-" in loaded.notice
    assert data in store._texts.values()


def _save_many(place, key, values):
    store = FolderStore(place, patience=60)
    for value in values:
        save_changes(store, {key: change(value)}, load_plan(store).plan)


def test_two_processes_that_write_different_fields_lose_nothing(tmp_path):
    context = multiprocessing.get_context("spawn")
    jobs = [("preselector.loaded_q", [50.0 + step for step in range(1, 51)]),
            ("recentring.capacitance", [step * 1e-12 for step in range(1, 51)])]
    writers = [context.Process(target=_save_many, args=(tmp_path, *job)) for job in jobs]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(120)
        assert writer.exitcode == 0
    loaded = load_plan(FolderStore(tmp_path))
    assert loaded.notice == ""
    assert loaded.plan.value("preselector.loaded_q") == 100.0
    assert loaded.plan.value("recentring.capacitance") == 50e-12


def _save_for_ever(place):
    store = FolderStore(place, patience=60)
    while True:
        seen = load_plan(store).plan
        loaded_q = seen.value("preselector.loaded_q") % 900 + 2
        save_changes(store, {"preselector.loaded_q": change(loaded_q)}, seen)


@pytest.mark.skipif(os.name != "posix", reason="needs SIGKILL and fork")
def test_a_killed_notebook_leaves_a_good_plan_every_time(tmp_path):
    store = FolderStore(tmp_path, patience=10)
    saved(store, 60)
    context = multiprocessing.get_context("fork")
    values = set()
    for turn in range(25):
        writer = context.Process(target=_save_for_ever, args=(tmp_path,))
        writer.start()
        time.sleep(0.03 + 0.0031 * turn)
        os.kill(writer.pid, signal.SIGKILL)
        writer.join()
        loaded = load_plan(store)
        assert loaded.notice == ""
        values.add(loaded.plan.value("preselector.loaded_q"))
        save_changes(store, {"region": change(turn % 3 + 1)}, loaded.plan)
    assert len(values) > 5  # the writers did write
