"""Keep a lesson's stills when it is saved.

JupyterLab saves a widget as a reference into the running kernel.  Opened again
without that kernel, a trusted notebook says "model not found" in its place,
although the same output holds a picture.  So before one of our notebooks is
written, references that have a still beside them go, and so does the widget
state, which doubles the file.  The notebook on the learner's screen is untouched.
"""

from __future__ import annotations

WIDGET_VIEW = "application/vnd.jupyter.widget-view+json"
MARK = "rxlearn"


def keep_stills(serverapp) -> None:
    """Register the hook with the contents manager of ``serverapp``."""
    serverapp.contents_manager.register_pre_save_hook(before_save)


def before_save(model=None, path="", contents_manager=None, **_) -> None:
    """Drop dead references from ``model`` in place if it is a notebook of ours; never raise."""
    try:
        if isinstance(model, dict) and model.get("type") == "notebook":
            drop_dead_widgets(model.get("content"))
    except Exception as fault:
        log = getattr(contents_manager, "log", None)
        if log is not None:
            log.warning("rxlearn: %s was saved as it is: %s", path, fault)


def drop_dead_widgets(notebook) -> bool:
    """Drop widget references that have a still, and the widget state, from ``notebook``.

    ``notebook`` is a notebook as JSON (nbformat 4) and is changed in place, and
    only if some output in it carries our mark in its metadata.  Return whether
    it is ours.
    """
    ours = [output for output in _outputs(notebook) if _is_marked(output)]
    for output in ours:
        data = output.get("data")
        if isinstance(data, dict) and "text/html" in data:
            data.pop(WIDGET_VIEW, None)
    if ours and isinstance(notebook.get("metadata"), dict):
        notebook["metadata"].pop("widgets", None)
    return bool(ours)


def _outputs(notebook):
    """Yield the outputs of every code cell; whatever is not shaped like one is passed over."""
    cells = notebook.get("cells") if isinstance(notebook, dict) else None
    for cell in cells if isinstance(cells, list) else ():
        outputs = cell.get("outputs") if isinstance(cell, dict) else None
        for output in outputs if isinstance(outputs, list) else ():
            if isinstance(output, dict):
                yield output


def _is_marked(output) -> bool:
    metadata = output.get("metadata")
    return isinstance(metadata, dict) and MARK in metadata
