// The command behind the button "Run this lesson".
//
// JupyterLab's own "run all" throws the reader to the last cell. This one runs
// every cell and leaves the page and the selected cell where they are.
//
// It also tells the panels of a notebook when its kernel is gone: the widget library
// notices only a restart that was asked for, not a kernel that died or was shut down.
//
// The file is the whole extension, written by hand in the shape that JupyterLab
// loads (a module federation container), so that nothing has to be built.
(function () {
  "use strict";
  let shared = {};

  /** Return the notebook module that JupyterLab itself has loaded. */
  async function notebookModule() {
    const versions = Object.values(shared["@jupyterlab/notebook"] || {});
    const inUse = versions.find((version) => version.loaded) || versions[0];
    return (await inUse.get())();
  }

  const GONE = new Set(["restarting", "autorestarting", "terminating", "dead"]);

  /** Tell every panel in the notebook's outputs, scrolled out of the page or not. */
  function tellPanels(panel) {
    for (const cell of panel.content.widgets) {
      const shown = cell.outputArea ? cell.outputArea.node.querySelectorAll(".rx-panel") : [];
      for (const node of shown) node.dispatchEvent(new Event("rx-kernel-gone"));
    }
  }

  /** Return a function that watches the session of a notebook panel, once each. */
  function watcher() {
    const watched = new WeakSet();
    return (panel) => {
      if (panel === null || watched.has(panel)) return;
      watched.add(panel);
      panel.sessionContext.statusChanged.connect((_, status) => {
        if (GONE.has(status)) tellPanels(panel);
      });
      panel.sessionContext.kernelChanged.connect((_, change) => {
        if (change.oldValue) tellPanels(panel);
      });
    };
  }

  const plugin = {
    id: "rxlearn:run-lesson",
    description: "Runs every cell of a lesson without moving the page.",
    autoStart: true,
    activate: async (app) => {
      const { NotebookActions } = await notebookModule();
      const current = () => {
        const panel = app.shell.currentWidget;
        return panel && panel.content && panel.sessionContext && panel.content.widgets
          ? panel
          : null;
      };
      const watch = watcher();
      if (app.shell.currentChanged) app.shell.currentChanged.connect(() => watch(current()));
      app.commands.addCommand("rxlearn:run-lesson", {
        label: "Run this lesson",
        caption: "Bring every figure and question of this lesson to life",
        describedBy: { args: { type: "object", properties: {} } },
        isEnabled: () => current() !== null,
        execute: async () => {
          const panel = current();
          if (panel === null) return false;
          watch(panel);
          await panel.sessionContext.ready;
          return NotebookActions.runCells(
            panel.content, panel.content.widgets, panel.sessionContext
          );
        },
      });
      // In a narrow window, or a much enlarged one, the file list would leave the lesson no room.
      app.restored.then(() => {
        if (window.innerWidth < 1000 && app.shell.collapseLeft) app.shell.collapseLeft();
      });
    },
  };

  window._JUPYTERLAB = window._JUPYTERLAB || {};
  window._JUPYTERLAB.rxlearn = {
    init: (scope) => {
      shared = scope;
    },
    get: async (name) => {
      if (name !== "./extension") throw new Error(`rxlearn has no module ${name}`);
      return () => ({ __esModule: true, default: plugin });
    },
  };
})();
