"""What a saved lesson keeps and loses, and that nobody else's notebook is touched."""

from __future__ import annotations

import copy
import logging

import nbformat
import pytest
from hypothesis import given
from hypothesis import strategies as st
from jupyter_server.services.contents.filemanager import FileContentsManager

from rxlearn.server import saving

STATE = {"application/vnd.jupyter.widget-state+json": {"state": {}, "version_major": 2}}


def output(*, marked: bool, still: bool = True, kind: str = "display_data") -> dict:
    data = {saving.WIDGET_VIEW: {"model_id": "abc"}, "text/plain": "said in words"}
    if still:
        data["text/html"] = "<img alt='said in words'>"
    made = {"output_type": kind, "data": data, "metadata": {"rxlearn": {}} if marked else {}}
    return made | ({"execution_count": 1} if kind == "execute_result" else {})


def notebook(*outputs: dict) -> dict:
    cell = nbformat.v4.new_code_cell("lesson()", outputs=[nbformat.from_dict(o) for o in outputs])
    made = nbformat.v4.new_notebook(cells=[nbformat.v4.new_markdown_cell("# Words"), cell])
    made.metadata["widgets"] = STATE
    return made


@pytest.mark.parametrize("kind", ["display_data", "execute_result"])
def test_our_output_keeps_its_still_and_loses_the_dead_reference(kind):
    made = notebook(output(marked=True, kind=kind))
    assert saving.drop_dead_widgets(made) is True
    [kept] = made.cells[1].outputs
    assert set(kept["data"]) == {"text/plain", "text/html"}
    assert "widgets" not in made.metadata
    nbformat.validate(made)


def test_a_reference_without_a_still_stays():
    made = notebook(output(marked=True, still=False))
    saving.drop_dead_widgets(made)
    assert saving.WIDGET_VIEW in made.cells[1].outputs[0]["data"]


def test_a_strangers_output_in_our_lesson_stays():
    made = notebook(output(marked=True), output(marked=False))
    saving.drop_dead_widgets(made)
    assert saving.WIDGET_VIEW in made.cells[1].outputs[1]["data"]


def test_another_notebook_is_untouched():
    made = notebook(output(marked=False), {"output_type": "stream", "name": "stdout", "text": "x"})
    before = copy.deepcopy(made)
    assert saving.drop_dead_widgets(made) is False
    assert made == before


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3)
    | st.dictionaries(
        st.sampled_from(["cells", "outputs", "data", "metadata", "rxlearn", "text/html"]), inner
    ),
    max_leaves=20,
)


@given(JSON)
def test_no_shape_of_content_raises(content):
    saving.before_save(model={"type": "notebook", "content": content}, path="a.ipynb")
    if isinstance(content, dict):
        saving.drop_dead_widgets(content)


@pytest.mark.parametrize("model", [None, {}, {"type": "file", "content": "x"}, "text"])
def test_other_models_pass_by(model):
    before = copy.deepcopy(model)
    saving.before_save(model=model, path="a")
    assert model == before


def test_the_hook_does_its_work_in_a_real_contents_manager(tmp_path):
    manager = FileContentsManager(root_dir=str(tmp_path))
    manager.register_pre_save_hook(saving.before_save)
    made = notebook(output(marked=True))
    manager.save({"type": "notebook", "format": "json", "content": made}, "lesson.ipynb")
    text = (tmp_path / "lesson.ipynb").read_text()
    assert "widget-view" not in text and "widget-state" not in text
    assert "said in words" in text
    nbformat.read(tmp_path / "lesson.ipynb", as_version=4)


def test_a_fault_in_the_hook_is_logged_and_the_notebook_saved(tmp_path, monkeypatch, caplog):
    def fail(_):
        raise RuntimeError("broken on purpose")

    monkeypatch.setattr(saving, "drop_dead_widgets", fail)
    manager = FileContentsManager(root_dir=str(tmp_path), log=logging.getLogger("contents"))
    manager.register_pre_save_hook(saving.before_save)
    manager.save({"type": "notebook", "format": "json", "content": notebook()}, "a.ipynb")
    assert (tmp_path / "a.ipynb").is_file()
    assert "broken on purpose" in caplog.text
